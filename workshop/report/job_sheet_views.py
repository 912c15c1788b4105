"""What the template of a job sheet sets: words and figures, nothing to be reckoned any more."""

from __future__ import annotations

from dataclasses import dataclass

from workshop.report.views import Row


@dataclass(frozen=True, slots=True)
class PlaceView:
    """A finding that the job puts right, with the name of its QR code."""

    code: str
    place: str
    tag: str
    signs: str
    do_not: tuple[str, ...]
    due_back: str


@dataclass(frozen=True, slots=True)
class StepView:
    """A step as it is set; `said` tells that it was ticked or left out, and `why` the reason that was given."""

    number: int
    text: str
    not_before: str
    wait: str
    reasons: tuple[str, ...]
    seals: bool
    said: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class FiguresView:
    """Figures worked out for an operation: holes or seams, with what they rest on."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WorkView:
    """An operation as it is set."""

    name: str
    amount: str
    places: tuple[str, ...]
    conditions: tuple[str, ...]
    needs: tuple[str, ...]
    tools: tuple[str, ...]
    steps: tuple[StepView, ...]
    ready: str
    figures: tuple[FiguresView, ...]
    limits: str


@dataclass(frozen=True, slots=True)
class HoldView:
    """Something the job still waits for."""

    what: str
    who: str
    expected: str
    meanwhile: str
    put_right: str = ""


@dataclass(frozen=True, slots=True)
class JobSheetView:
    """Everything the template sets."""

    language: str
    paper: str
    yard: str
    boat: str
    title: str
    state: str
    approved: bool
    dated: str
    facts: tuple[Row, ...]
    opening_up: str
    not_sealed: tuple[str, ...]
    places: tuple[PlaceView, ...]
    holds: tuple[HoldView, ...]
    meanwhile: tuple[str, ...]
    works: tuple[WorkView, ...]
    materials: tuple[Row, ...]
    no_materials: str
    cautions: tuple[Row, ...]
    waits_note: str
    metered: tuple[str, ...] = ()


__all__ = ["FiguresView", "HoldView", "JobSheetView", "PlaceView", "StepView", "WorkView"]
