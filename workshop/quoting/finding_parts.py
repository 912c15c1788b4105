"""What a quote freezes of a finding besides the finding itself: the rest of the judgement, and earlier years."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class HoldPart:
    """What holds a place where a tool or a part is missing: `say` finishes "meanwhile …" in English.

    In another language it is the whole sentence.
    """

    say: str
    until: date


@dataclass(frozen=True, slots=True)
class DryingPart:
    """From when wet wood may be sealed, at `target_pct` % of dry mass. None where that air never dries it so far.

    `likely_on` and `cautious_on` are under cover in the yard's own air, `shed_likely_on` in a heated shed.
    """

    target_pct: Decimal
    likely_on: date | None
    cautious_on: date | None
    shed_likely_on: date | None
    wash_first: bool
    too_late: bool


@dataclass(frozen=True, slots=True)
class JudgedPart:
    """What the rules said beyond condition and risk.

    `due_on` is the day that the sentences of the judgement name; a manager's word may have moved the finding's own.
    """

    due_on: date
    do_not: tuple[str, ...]
    hold: HoldPart | None
    drying: DryingPart | None


@dataclass(frozen=True, slots=True)
class EarlierPart:
    """What an earlier year saw at the same spot.

    `moisture_pct` is the highest reading at the spot, % of dry mass; `photo` the SHA-256 of the first picture, or
    empty.
    """

    on: date
    size_mm: Decimal | None
    moisture_pct: Decimal | None
    photo: str


__all__ = ["DryingPart", "EarlierPart", "HoldPart", "JudgedPart"]
