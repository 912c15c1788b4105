"""What a new inspection takes over from earlier years: spots that are somebody's business, places not seen."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from types import MappingProxyType
from uuid import UUID

from django.db.models import Q

from inspections.judgement.vocabulary import Answer, Sides
from inspections.models import Check, Entry, Finding, Inspection, SecondLookAsk, Sign
from inspections.models.findings import FindingState
from inspections.models.inspections import CheckOrigin
from inspections.selectors.entries import standing_entries
from inspections.selectors.second_looks import second_looks
from yard.models import Boat, Component

# The component and the key of an opening step.
Step = tuple[int, str]

ORIGIN_OF = {
    # Nobody has decided on it yet: it was put off.
    FindingState.OPEN: CheckOrigin.DEFERRED,
    FindingState.WATCHED: CheckOrigin.WATCHED,
    FindingState.HELD: CheckOrigin.HELD,
    FindingState.DECLINED: CheckOrigin.DECLINED,
    FindingState.DEFERRED: CheckOrigin.DEFERRED,
    FindingState.REPAIRED: CheckOrigin.REPAIRED,
    FindingState.VERIFIED: CheckOrigin.REPAIRED,
}
# As long as nobody has decided about the work, a second look comes before the decision.
UNDECIDED = (CheckOrigin.WATCHED, CheckOrigin.DEFERRED)
STILL_THERE = (*UNDECIDED, CheckOrigin.HELD, CheckOrigin.DECLINED)
PROMPT_LENGTH = 300


def last_inspection(boat: Boat, season_year: int) -> Inspection | None:
    """The boat's inspection before this season."""
    found: Inspection | None = (
        Inspection.objects.of_yard(boat.yard_id)
        .filter(boat=boat, season_year__lt=season_year)
        .order_by("-season_year")
        .first()
    )
    return found


def checks_taken_over(
    inspection: Inspection,
    last: Inspection | None,
    covered: Collection[tuple[int, str]],
    asks: Mapping[UUID, SecondLookAsk] = MappingProxyType({}),
) -> Iterator[Check]:
    """Checks, without a position yet, for what is taken over.

    Args:
        last: the inspection before this one.
        covered: component and key of the checks that the templates ask anyway.
        asks: by spot, what a manager has asked for since the last inspection.
    """
    spots = set()
    for check in _checks_of_spots(inspection, last, asks):
        spots.add(check.spot_id)
        yield check
    if last is not None:
        yield from _checks_of_places_not_seen(inspection, last, covered, spots)


def _checks_of_spots(
    inspection: Inspection, last: Inspection | None, asks: Mapping[UUID, SecondLookAsk]
) -> Iterator[Check]:
    wanted = Q(state__in=Finding.LASTING)
    if last is not None:
        # Repaired and verified since: the repair itself is looked at once more.
        wanted |= Q(state=FindingState.VERIFIED, ended_at__gte=last.opened_at)
    findings = (
        Finding.objects.of_yard(inspection.yard_id)
        .filter(wanted, boat=inspection.boat, spot__isnull=False, component__removed_on__isnull=True)
        .exclude(inspection=inspection)
        .select_related("spot", "component__component_class", "entry__answers", "inspection")
        .order_by("-found_at", "-pk")
    )
    again = second_looks(inspection.yard, [finding.pk for finding in findings])
    steps = opening_steps_of(inspection)
    names = dict(Sign.objects.of_yard(inspection.yard_id).values_list("code", "name"))
    seen = set()
    for finding in findings:
        if finding.spot_id not in seen:  # the newest speaks for the spot
            seen.add(finding.spot_id)
            ask = None if finding.spot_id is None else asks.get(finding.spot_id)
            yield check_of_spot(inspection, finding, names, again.get(finding.pk, ""), steps, ask=ask)


def check_of_spot(
    inspection: Inspection,
    finding: Finding,
    names: Mapping[str, str],
    why_again: str,
    steps: Collection[Step],
    *,
    ask: SecondLookAsk | None = None,
) -> Check:
    """The question about a spot where something was found, without a position yet.

    Args:
        finding: at a spot of a part.
        names: of signs, by code.
        why_again: why its judgement asks for a second look; empty where it doesn't.
        steps: of this inspection.
        ask: a manager's own word that it be looked at again.
    """
    assert finding.spot is not None
    assert finding.component is not None
    entry = finding.entry
    origin = ORIGIN_OF[FindingState(finding.state)]
    what = ", ".join(names.get(code, code).lower() for code in entry.signs) or "earlier finding"
    size = f", {entry.size_mm.normalize():f} mm" if entry.size_mm is not None else ""
    year = finding.inspection.season_year
    told, look_for = f"{origin.label} {year}", [entry.note]
    if ask is not None:
        look_for.insert(0, f"{ask.by.name} asks: {ask.note}")
        if origin in STILL_THERE:
            origin = CheckOrigin.SECOND_LOOK
            told = f"{origin.label} by {ask.by.name}"
    elif why_again and origin in STILL_THERE:
        look_for.insert(0, f"Look once more, because {why_again}.")
        if origin in UNDECIDED:
            origin = CheckOrigin.SECOND_LOOK
            told = f"{origin.label} in {year}, because {why_again}"
    return Check(
        yard_id=inspection.yard_id,
        inspection=inspection,
        component=finding.component,
        spot=finding.spot,
        origin=origin,
        key=f"spot_{finding.spot.tag.lower()}",
        prompt=_cut(f"{finding.spot.name}: {what}{size}; {told}. What is it now?"),
        look_for="\n".join(filter(None, look_for)),
        answer_kind="signs",
        usual_signs=list(dict.fromkeys([*entry.signs, *finding.component.component_class.usual_signs])),
        after=_opened_for(entry.answers, steps),
        contact=finding.component.component_class.contact,
        both_sides=entry.sides in (Sides.NONE, Sides.ONE),
        photo_wanted=True,
    )


def _checks_of_places_not_seen(
    inspection: Inspection, last: Inspection, covered: Collection[tuple[int, str]], spots: Collection[object]
) -> Iterator[Check]:
    """Places of the last inspection that were not seen, or of which nothing was said: silence is no answer."""
    newest: dict[int, Entry] = {}
    outside: list[tuple[Entry, Component]] = []
    for entry in standing_entries(last).select_related("component"):
        if entry.answers_id is not None:
            newest[entry.answers_id] = entry  # they come oldest first
        elif entry.answer == Answer.NOT_SEEN and entry.component is not None:
            outside.append((entry, entry.component))
    steps = opening_steps_of(inspection)
    for check in last.checks.select_related("component", "template_version"):
        answer = newest.get(check.pk)
        if answer is not None and answer.answer != Answer.NOT_SEEN:
            continue
        if check.component.removed_on is not None or (check.component_id, check.key) in covered:
            continue
        if check.spot_id is not None and check.spot_id in spots:
            continue
        why = "unanswered" if answer is None else f"not seen: {answer.not_seen_reason}"
        yield Check(
            yard_id=inspection.yard_id,
            inspection=inspection,
            component=check.component,
            spot_id=check.spot_id,
            origin=CheckOrigin.NOT_SEEN,
            key=check.key,
            prompt=check.prompt,
            look_for="\n".join(filter(None, [f"In {last.season_year} {why}.", check.look_for])),
            answer_kind=check.answer_kind,
            reading=check.reading,
            usual_signs=check.usual_signs,
            after=_opened_for(check, steps),
            contact=check.contact,
            both_sides=check.both_sides,
            photo_wanted=check.photo_wanted,
        )
    for entry, component in outside:
        if component.removed_on is None and (entry.spot_id is None or entry.spot_id not in spots):
            yield Check(
                yard_id=inspection.yard_id,
                inspection=inspection,
                component=component,
                spot_id=entry.spot_id,
                origin=CheckOrigin.NOT_SEEN,
                key=f"unseen_{entry.pk.hex}",
                prompt=_cut(
                    f"What of the place not seen in {last.season_year}? {entry.note or entry.not_seen_reason}"
                ),
                look_for=f"In {last.season_year} not seen: {entry.not_seen_reason}.",
                answer_kind="signs",
                usual_signs=[],
                contact=[],
            )


def opening_steps_of(inspection: Inspection) -> frozenset[Step]:
    """What comes off in an inspection, each by its part and key."""
    return frozenset(inspection.opening_steps.values_list("component_id", "key"))


def _opened_for(asked: Check | None, steps: Collection[Step]) -> list[str]:
    """What has to come off before the place can be seen, as far as the templates still say so."""
    return [] if asked is None else [key for key in asked.after if (asked.component_id, key) in steps]


def _cut(prompt: str) -> str:
    one_line = " ".join(prompt.split())
    return one_line if len(one_line) <= PROMPT_LENGTH else f"{one_line[: PROMPT_LENGTH - 1]}…"


__all__ = ["ORIGIN_OF", "check_of_spot", "checks_taken_over", "last_inspection", "opening_steps_of"]
