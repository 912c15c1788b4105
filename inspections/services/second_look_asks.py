"""A manager asks the technician back: a check in the boat's open inspection, or in the one that is opened next.

The check holds the closing of its inspection like any other, because somebody asked for it. The first answer to
it takes the place of what was doubted where both are of one inspection (see `entry_rows`): the finding goes on
with it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Max

from inspections.models import Check, Finding, Inspection, SecondLookAsk, Sign
from inspections.selectors.second_looks import second_looks
from inspections.services.acknowledging import findings_acknowledge
from inspections.services.taken_over import check_of_spot, opening_steps_of
from yard.models import Boat, Member
from yard.refusals import Refused

NOTE_LENGTH = 300


@transaction.atomic
def second_look_ask(*, finding: Finding, note: str, by: Member, at: datetime) -> SecondLookAsk:
    """Ask for a second look at a finding, and say what to look for. The same again changes nothing.

    Raises:
        Refused: the finding has ended or is repaired, has no spot on a part that is still there, is asked about
            already, or its place was looked at again since; no note, or a long one.
    """
    words = " ".join(note.split())
    if not 1 <= len(words) <= NOTE_LENGTH:
        raise Refused(
            "note", "is missing or too long", f"say what to look for, in at most {NOTE_LENGTH} characters"
        )
    boat_inspections = Inspection.objects.of_yard(finding.yard_id).filter(boat=finding.boat_id)
    # With the boat's row nobody opens an inspection of hers meanwhile, with the inspection's nobody closes it.
    Boat.objects.select_for_update(no_key=True).get(pk=finding.boat_id)
    opened = boat_inspections.filter(closed_at__isnull=True).order_by("-season_year")
    inspection: Inspection | None = opened.select_for_update(no_key=True).first()
    rows = Finding.objects.select_related(
        "spot", "component__component_class", "entry__answers", "inspection", "yard"
    )
    held: Finding = rows.select_for_update(of=("self",), no_key=True).get(pk=finding.pk)
    if held.ended_at is not None:
        raise Refused("finding", f"it is {held.get_state_display()}", "ask about one that is still open")
    if held.state == Finding.State.REPAIRED:
        raise Refused("finding", "it is repaired and waits to be verified", "verify it on its job's page")
    if held.spot is None or held.component is None or held.component.removed_on is not None:
        raise Refused(
            "finding", "it has no spot on a part of the boat", "have it recorded at a spot; then ask about that"
        )
    waiting = asks_not_answered([held.pk]).get(held.pk)
    if waiting is not None:
        if waiting.note == words:
            return waiting
        raise Refused(
            "finding",
            f"{waiting.by.name} has asked already: {waiting.note}",
            "take that back, or wait for the look",
        )
    ask: SecondLookAsk = SecondLookAsk.objects.create(
        yard_id=held.yard_id, finding=held, entry_id=held.entry_id, by=by, note=words, asked_at=at
    )
    if inspection is not None:
        ask.asked_as = _check_now(inspection, held, ask)
        ask.save(update_fields=["asked_as"])
    findings_acknowledge(findings=[held], by=by, at=at)
    return ask


@transaction.atomic
def second_look_withdraw(*, ask: SecondLookAsk, by: Member, at: datetime) -> SecondLookAsk:
    """Take an ask back, and its check with it. Taken back twice is taken back.

    Raises:
        Refused: somebody has looked already.
    """
    if ask.asked_as is not None:
        # With the inspection's row no answer to the check arrives meanwhile.
        Inspection.objects.select_for_update(no_key=True).get(pk=ask.asked_as.inspection_id)
    held: SecondLookAsk = SecondLookAsk.objects.select_for_update(no_key=True).get(pk=ask.pk)
    if held.withdrawn_at is not None:
        return held
    check = held.asked_as
    if check is not None and check.entries.exists():
        raise Refused("finding", "somebody has looked already", "read what they said")
    held.withdrawn_at, held.withdrawn_by = at, by
    held.asked_as = None
    held.save(update_fields=["withdrawn_at", "withdrawn_by", "asked_as"])
    if check is not None and check.key == _key(held):
        check.delete()
    elif check is not None:
        # It is there without the ask as well, because the spot is taken over each spring.
        rows = Finding.objects.select_related("spot", "component__component_class", "entry__answers", "inspection")
        finding = rows.get(pk=held.finding_id)
        _tell_anew(check, finding, second_looks(check.yard, [finding.pk]).get(finding.pk, ""), None)
    return held


def asks_not_answered(findings: Collection[UUID]) -> dict[UUID, SecondLookAsk]:
    """By finding, the ask that nobody has answered yet; one query."""
    rows = (
        SecondLookAsk.objects.filter(
            finding__in=findings, withdrawn_at__isnull=True, asked_as__entries__isnull=True
        )
        .select_related("by", "asked_as")
        .order_by("asked_at", "pk")
    )
    return {ask.finding_id: ask for ask in rows}


def asks_waiting(boat: Boat) -> dict[UUID, SecondLookAsk]:
    """By spot, what was asked since the boat's last inspection was closed."""
    rows = (
        SecondLookAsk.objects.of_yard(boat.yard_id)
        .filter(finding__boat=boat, asked_as__isnull=True, withdrawn_at__isnull=True)
        .filter(finding__state__in=Finding.LASTING)
        .select_related("by", "finding")
        .order_by("asked_at", "pk")
    )
    return {ask.finding.spot_id: ask for ask in rows if ask.finding.spot_id is not None}


def asks_become_checks(inspection: Inspection, asks: Mapping[UUID, SecondLookAsk]) -> None:
    """Tie the asks that waited to the checks that the new inspection has taken over for their spots."""
    if not asks:
        return
    checks = Check.objects.filter(inspection=inspection, spot__in=asks, key__startswith="spot_")
    of_spot = {check.spot_id: check for check in checks}
    for spot_id, ask in asks.items():
        ask.asked_as = of_spot.get(spot_id)
        ask.save(update_fields=["asked_as"])


def _check_now(inspection: Inspection, finding: Finding, ask: SecondLookAsk) -> Check:
    """The check that asks it in an open inspection: the one that the spot has from earlier years, or one more."""
    there = _taken_over(inspection, finding)
    if there is not None:
        _tell_anew(there, finding, "", ask)
        return there
    check = _told(inspection, finding, "", ask)
    check.key = _key(ask)
    last = inspection.checks.aggregate(last=Max("position"))["last"]
    check.position = 0 if last is None else last + 1
    check.save(force_insert=True)
    return check


def _taken_over(inspection: Inspection, finding: Finding) -> Check | None:
    """The spot's own check, where the finding is of an earlier inspection: nobody is asked the same thing twice."""
    if finding.inspection_id == inspection.pk:
        return None
    there: Check | None = inspection.checks.filter(spot=finding.spot_id).order_by("position", "pk").first()
    if there is None:
        return None
    if there.entries.exists():
        raise Refused(
            "finding",
            f"the place was looked at again in {inspection.season_year}",
            "ask about what was found there then",
        )
    if SecondLookAsk.objects.filter(asked_as=there).exists():
        raise Refused("finding", "somebody has asked about this spot already", "wait for that look")
    return there


def _tell_anew(check: Check, finding: Finding, why_again: str, ask: SecondLookAsk | None) -> None:
    """Put other words on a check that nobody has answered. A tablet has them once it has fetched the boat again."""
    told = _told(check.inspection, finding, why_again, ask)
    check.origin, check.prompt, check.look_for = told.origin, told.prompt, told.look_for
    check.save(update_fields=["origin", "prompt", "look_for"])


def _told(inspection: Inspection, finding: Finding, why_again: str, ask: SecondLookAsk | None) -> Check:
    names = dict(Sign.objects.of_yard(inspection.yard_id).values_list("code", "name"))
    return check_of_spot(inspection, finding, names, why_again, opening_steps_of(inspection), ask=ask)


def _key(ask: SecondLookAsk) -> str:
    return f"again_{ask.pk}"


__all__ = [
    "asks_become_checks",
    "asks_not_answered",
    "asks_waiting",
    "second_look_ask",
    "second_look_withdraw",
]
