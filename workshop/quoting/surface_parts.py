"""What a quote freezes of finished surfaces: those worked on as a whole, and patches that go with a strip."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class SurfacePart:
    """A surface that a job works on as a whole: `finish` is a code, `reasons` are sentences, the weightiest first.

    `due_on` is the day by which it is to be stripped; None where its history asks for no strip.
    """

    id: int
    name: str
    finish: str
    area_m2: Decimal
    due_on: date | None
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TakenOffPart:
    """A strip that takes off the patches of a job: of which surface, due by when, and as which job of this quote.

    `job` is the position of the strip in the quote; 0 where it is not part of it.
    """

    surface: str
    by: date | None
    job: int


__all__ = ["SurfacePart", "TakenOffPart"]
