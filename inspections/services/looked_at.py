"""What a closed inspection ends of earlier years: somebody has been back at these places."""

from __future__ import annotations

from datetime import datetime

from inspections.judgement.vocabulary import Answer
from inspections.models import Assessment, Check, DueBack, Entry, Finding, Inspection
from inspections.models.findings import FindingState


def end_what_was_looked_at(inspection: Inspection, entries: list[Entry], at: datetime) -> None:
    """End the earlier findings of places this inspection has looked at, and every line that a new one replaces.

    What is held, or repaired and found sound, waits for the workshop's own word; but where something was found at
    its spot again, the new finding's line stands for both. A place that was not seen this time either has a new
    line, reckoned from when it was last seen: the old one would only say the same again.

    Args:
        entries: the standing ones of the inspection.
    """
    looked_at = [entry for entry in entries if entry.answer != Answer.NOT_SEEN]
    found = {entry.spot_id for entry in looked_at if entry.answer == Answer.FINDING} - {None}
    spots = {entry.spot_id for entry in looked_at} - {None}
    earlier = (
        Finding.objects.select_for_update(no_key=True).filter(boat=inspection.boat).exclude(inspection=inspection)
    )
    ended = list(
        earlier.filter(
            spot__in=spots,
            state__in=[FindingState.OPEN, FindingState.WATCHED, FindingState.DECLINED, FindingState.DEFERRED],
        ).order_by("pk")
    )
    ended += earlier.filter(spot__in=found, state=FindingState.REPAIRED).order_by("pk")
    for finding in ended:
        finding.state = FindingState.SEEN_AGAIN
        finding.ended_at = at
    Finding.objects.bulk_update(ended, ["state", "ended_at"])
    lines = DueBack.objects.filter(boat=inspection.boat, ended_at__isnull=True)
    lines.filter(finding__in=ended).update(ended_at=at)
    lines.filter(finding__in=list(earlier.filter(spot__in=found, state=FindingState.HELD))).update(ended_at=at)
    lines.filter(
        finding__state=FindingState.VERIFIED, finding__ended_at__lte=inspection.opened_at, spot__in=spots
    ).update(ended_at=at)
    _end_places_answered_now(inspection, entries, at)


def _end_places_answered_now(inspection: Inspection, entries: list[Entry], at: datetime) -> None:
    """Places of earlier inspections that were not seen then: their lines and judgements have done their work."""
    answered = {entry.answers_id for entry in entries if entry.answers_id is not None}
    keys = set(Check.objects.filter(pk__in=answered).values_list("component_id", "key"))
    spots = {entry.spot_id for entry in entries} - {None}
    unseen = (
        Entry.objects.of_yard(inspection.yard_id)
        .filter(inspection__boat=inspection.boat, answer=Answer.NOT_SEEN, due_backs__ended_at__isnull=True)
        .exclude(inspection=inspection)
        .select_related("answers")
        .distinct()
    )
    answered_now = [
        entry.pk
        for entry in unseen
        if entry.spot_id in spots
        or (entry.answers is not None and (entry.answers.component_id, entry.answers.key) in keys)
        or (entry.component_id, f"unseen_{entry.pk.hex}") in keys
    ]
    DueBack.objects.filter(entry__in=answered_now, ended_at__isnull=True).update(ended_at=at)
    Assessment.objects.filter(entry__in=answered_now, superseded_at__isnull=True).update(superseded_at=at)


__all__ = ["end_what_was_looked_at"]
