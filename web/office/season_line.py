"""What is printed of one boat of a season."""

from __future__ import annotations

from typing import NamedTuple

from django.utils.safestring import SafeString


class SeasonLine(NamedTuple):
    """One boat, as it is printed; what is missing is empty. What is no SafeString may have been typed by somebody.

    Attributes:
        at, inspection_at, quote_at: addresses.
        way: how far she is, drawn.
        counts: of findings, the most urgent priority first.
        first, more: what blocks her.
    """

    name: str
    at: SafeString
    about: SafeString
    launch: SafeString
    week: SafeString
    stage: SafeString
    way: SafeString
    inspection_at: SafeString
    answered: int
    checks: int
    counts: tuple[int, ...]
    not_seen: int
    quote_at: SafeString
    quote: SafeString
    quote_day: SafeString
    hours: SafeString
    due: SafeString
    overdue: bool
    first: str
    more: str


__all__ = ["SeasonLine"]
