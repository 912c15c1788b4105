"""A boat's spots on her plan, with what stands for each today."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.urls import reverse

from inspections.judgement.vocabulary import Priority
from inspections.models import Finding
from web.base.drawings import ground_at
from workshop.report.context import tag_text
from workshop.report.plan import Drawing, Ground, Mark, plan_drawing
from workshop.services.standing import Standing, standing_of
from yard.models import Boat, BoatDrawing, Spot


@dataclass(frozen=True, slots=True)
class SpotLine:
    """A spot with its number on the plan and the finding that is somebody's business there."""

    number: int
    spot: Spot
    finding: Finding | None
    standing: Standing | None

    @property
    def priority(self) -> str:
        """Code, or empty where nothing is open or nothing is judged."""
        return str(self.standing.priority.value) if self.standing is not None else ""


def spot_lines(boat: Boat) -> list[SpotLine]:
    """Every spot of the boat's parts, the most urgent first, in a fixed number of queries."""
    spots = list(
        Spot.objects.of_yard(boat.yard_id)
        .filter(component__boat=boat)
        .select_related("component")
        .order_by("created_at", "id")
    )
    findings = list(
        Finding.objects.of_yard(boat.yard_id)
        .filter(boat=boat, state__in=Finding.LASTING, spot__isnull=False)
        .select_related("entry", "component", "spot")
        .order_by("found_at", "id")
    )
    standing = standing_of(findings)
    newest: dict[UUID, Finding] = {finding.spot_id: finding for finding in findings if finding.spot_id is not None}
    order = {str(priority.value): turn for turn, priority in enumerate(Priority)}

    def urgency(spot: Spot) -> tuple[int, str, str]:
        finding = newest.get(spot.pk)
        stands = standing.get(finding.pk) if finding is not None else None
        turn = order[str(stands.priority.value)] if stands is not None else len(order)
        return turn, str(spot.component), spot.name

    return [
        _line(number, spot, newest.get(spot.pk), standing)
        for number, spot in enumerate(sorted(spots, key=urgency), start=1)
    ]


def boat_plan(boat: Boat, lines: Iterable[SpotLine], *, length_text: str) -> Drawing:
    """The plan with the spots whose position is known."""
    placed = [line for line in lines if line.spot.plan_x is not None and line.spot.plan_y is not None]
    places = "; ".join(f"{line.number} {line.spot.name}, {line.spot.component}" for line in placed)
    return plan_drawing(
        loa_mm=boat.loa_mm,
        beam_mm=boat.beam_mm,
        marks=[_mark(line) for line in placed],
        label=f"Deck plan of {boat.name}, bow to the right, with her spots: {places or 'none yet'}.",
        length_text=length_text,
        ground=_ground(boat),
    )


def _ground(boat: Boat) -> Ground | None:
    """The yard's own drawing of her, where there is one."""
    drawing: BoatDrawing | None = getattr(boat, "drawing", None)
    if drawing is None:
        return None
    return ground_at(reverse("api:boat-drawing", args=[boat.pk]), drawing)


def spot_plan(boat: Boat, spot: Spot, priority: str) -> Drawing | None:
    """The plan with one spot, or None where its position is not known."""
    if spot.plan_x is None or spot.plan_y is None:
        return None
    return plan_drawing(
        loa_mm=boat.loa_mm,
        beam_mm=boat.beam_mm,
        marks=[Mark(spot.plan_x, spot.plan_y, 1, tag_text(spot.tag), priority)],
        label=f"Plan of {boat.name}, bow to the right, with the place of {spot.name} on {spot.component}.",
        width=76.0,
        full=False,
    )


def plan_to_press(boat: Boat, spot: Spot) -> Drawing:
    """The whole plan with the spot where it is now, if it is anywhere."""
    placed = [] if spot.plan_x is None or spot.plan_y is None else [Mark(spot.plan_x, spot.plan_y, 1, "", "")]
    return plan_drawing(
        loa_mm=boat.loa_mm,
        beam_mm=boat.beam_mm,
        marks=placed,
        label=f"Plan of {boat.name}, bow to the right: press where {spot.name} is.",
        ground=_ground(boat),
    )


def _line(number: int, spot: Spot, finding: Finding | None, standing: Mapping[UUID, Standing]) -> SpotLine:
    return SpotLine(number, spot, finding, standing.get(finding.pk) if finding is not None else None)


def _mark(line: SpotLine) -> Mark:
    spot = line.spot
    assert spot.plan_x is not None
    assert spot.plan_y is not None
    return Mark(spot.plan_x, spot.plan_y, line.number, tag_text(spot.tag), line.priority)


def marks_shown(lines: Sequence[SpotLine]) -> list[str]:
    """The priorities that stand on the plan, for its legend."""
    return [str(priority.value) for priority in Priority if any(line.priority == priority for line in lines)]


__all__ = ["SpotLine", "boat_plan", "marks_shown", "plan_to_press", "spot_lines", "spot_plan"]
