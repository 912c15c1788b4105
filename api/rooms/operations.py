"""Operations of a job as a client writes them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from api.fields import MAX_ID, Amount, Identifier, Sheet, Text, Whole
from workshop.estimating.hours import ThreePoint
from workshop.services.jobs import OperationSheet
from yard.refusals import Refused


class HoursSheet(Sheet):
    low = Amount(max_digits=7, decimal_places=2, min_value=0, max_value=10_000)
    likely = Amount(max_digits=7, decimal_places=2, min_value=0, max_value=10_000)
    high = Amount(max_digits=7, decimal_places=2, min_value=0, max_value=10_000)


class OperationLine(Sheet):
    treatment = Text(max_length=40, help_text="code of one of the yard's treatments")
    finding = Identifier(required=False, allow_null=True, help_text="of the job's inspection")
    surface = Whole(
        max_value=MAX_ID, required=False, allow_null=True, help_text="of the boat, for work on the whole of it"
    )
    quantity = Amount(max_digits=8, decimal_places=2, max_value=10_000, help_text="units of the treatment")
    hours = HoursSheet(required=False, allow_null=True, help_text="for all of it; the catalogue's when left out")


def operation_sheets(lines: Iterable[dict[str, Any]]) -> list[OperationSheet]:
    """What was sent, as the services take it.

    Raises:
        Refused: hours that are not in order; the field says of which line.
    """
    return [_operation(line, place) for place, line in enumerate(lines)]


def _operation(line: dict[str, Any], place: int) -> OperationSheet:
    hours = line.get("hours")
    try:
        estimate = None if hours is None else ThreePoint(**hours)
    except Refused as refusal:
        raise refusal.under(f"operations[{place}].hours") from refusal
    return OperationSheet(
        treatment=line["treatment"],
        finding=line.get("finding"),
        quantity=line["quantity"],
        hours=estimate,
        surface=line.get("surface"),
    )


__all__ = ["HoursSheet", "OperationLine", "operation_sheets"]
