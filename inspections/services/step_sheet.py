"""What a tablet says of an opening-up step: read from JSON, and everything that is wrong with it named at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from inspections.documents import Fields
from inspections.models.opening import StepOutcome
from inspections.services.entry_sheet import EARLIEST, LATEST, MOST_OFFSET_MS, digest_of


@dataclass(frozen=True, slots=True)
class StepSheet:
    """A step that was done, or was not possible.

    Args:
        step: key of the step.
        outcome: `done` or `not_possible`.
        reason: why it was not possible.
        author, clock_offset_ms, sequence: as with an entry.
    """

    id: UUID
    step: int
    outcome: str
    observed_at: datetime
    reason: str = ""
    author: int | None = None
    sequence: int | None = None
    clock_offset_ms: int | None = None

    def digest(self) -> str:
        """As of an entry."""
        return digest_of(self)


_NAMES = tuple(StepSheet.__slots__)


def is_about_step(document: object) -> bool:
    """Whether a document of a batch speaks of an opening-up step, and not of a place."""
    return isinstance(document, Mapping) and "step" in document


def read(document: Mapping[str, object]) -> StepSheet:
    """Read what is said of one step.

    Raises:
        RefusedMany: everything that is wrong, each with its field.
    """
    fields = Fields(document, known=_NAMES)
    entry_id = fields.made_id("id", required=True)
    step = fields.key("step")
    if step is None and not fields.refusals:
        fields.refuse("step", "is missing", "give the id of an opening-up step of the inspection")
    outcome = fields.one_of("outcome", StepOutcome.values)
    if not fields.given("outcome"):
        fields.refuse("outcome", "is missing", f"give one of: {', '.join(StepOutcome.values)}")
    observed_at = fields.moment("observed_at", low=EARLIEST, high=LATEST)
    reason = fields.text("reason", longest=300)
    if outcome == StepOutcome.NOT_POSSIBLE and not fields.given("reason"):
        fields.refuse("reason", "is missing", "say why it was not possible")
    if outcome == StepOutcome.DONE and fields.given("reason"):
        fields.refuse("reason", "the step was done", "leave it out, or say not_possible")
    author = fields.key("author")
    sequence = fields.whole("sequence", low=0, high=2**31 - 1)
    offset = fields.whole("clock_offset_ms", low=-MOST_OFFSET_MS, high=MOST_OFFSET_MS)
    fields.raise_refusals()
    assert entry_id is not None
    assert step is not None
    assert observed_at is not None
    return StepSheet(entry_id, step, outcome, observed_at, reason, author, sequence, offset)


__all__ = ["StepSheet", "is_about_step", "read"]
