"""What is printed of one boat of a season."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString


@dataclass(frozen=True, slots=True)
class SeasonLine:
    """One boat, as it is printed; what is missing is empty.

    Attributes:
        at, inspection_at, quote_at: addresses.
        way: how far she is, drawn.
        counts: of findings, the most urgent priority first.
        first, more: what blocks her.
    """

    name: str
    at: str
    about: str
    launch: str
    week: str
    stage: str
    way: SafeString
    inspection_at: str
    answered: int
    checks: int
    counts: tuple[int, ...]
    not_seen: int
    quote_at: str
    quote: str
    quote_day: str
    hours: str
    due: str
    overdue: bool
    first: str
    more: str


__all__ = ["SeasonLine"]
