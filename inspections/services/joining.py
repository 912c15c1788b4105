"""Doubles: one sign that was seen twice is one finding. The other rests with it, whole, until the join is undone.

Whether work stands in the way is known a floor above; `workshop.services.doubles` asks that first.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from uuid import UUID

from django.db import transaction

from inspections.judgement.vocabulary import DueBackKind, Priority
from inspections.models import Assessment, Finding, FindingJoin, Overruling
from inspections.models.findings import FindingState
from inspections.services.acknowledging import findings_acknowledge
from inspections.services.asking import ask_for_assessment, ask_for_jobs
from inspections.services.due_back import due_back_end, due_back_set
from yard.models import Member
from yard.refusals import Refused

REASON_LENGTH = 300
# What is declined, held or repaired is the decider's or the workshop's, and would be lost to sight.
MAY_REST = (FindingState.OPEN, FindingState.WATCHED, FindingState.DEFERRED)


@transaction.atomic
def finding_join(*, joined: Finding, kept: Finding, reason: str, by: Member, at: datetime) -> FindingJoin:
    """Let one finding speak for another, which is the same sign seen twice. The same again changes nothing.

    The one that is joined leaves the due-back book, its proposed job and every count; its entry, pictures and
    judgements stay to be read.

    Raises:
        Refused: both are one, of two boats or parts; the one that is kept is of an earlier inspection, or has
            ended; the other has ended, has others joined to it, or is the workshop's; no reason, or a long one.
    """
    words = " ".join(reason.split())
    if not 1 <= len(words) <= REASON_LENGTH:
        raise Refused("reason", "is missing or too long", f"say why, in at most {REASON_LENGTH} characters")
    if joined.pk == kept.pk:
        raise Refused("into", "is the same finding", "name the other one")
    rows = Finding.objects.select_related("inspection", "component", "yard").order_by("pk")
    held = {
        row.pk: row for row in rows.filter(pk__in=[joined.pk, kept.pk]).select_for_update(of=("self",), no_key=True)
    }
    goes, stays = held[joined.pk], held[kept.pk]
    there = FindingJoin.objects.filter(joined=goes, undone_at__isnull=True).first()
    if there is not None:
        if there.kept_id == stays.pk:
            return there
        raise Refused("finding", "it is joined to another already", "undo that first")
    _refuse_unlike(goes, stays)
    join: FindingJoin = FindingJoin.objects.create(
        yard_id=goes.yard_id, kept=stays, joined=goes, by=by, reason=words, state_before=goes.state, made_at=at
    )
    goes.state, goes.ended_at = FindingState.JOINED, at
    goes.save(update_fields=["state", "ended_at"])
    due_back_end(finding=goes, at=at)
    findings_acknowledge(findings=[goes, stays], by=by, at=at)
    ask_for_jobs([goes.inspection_id], yard=goes.yard, at=at)
    return join


@transaction.atomic
def finding_unjoin(*, join: FindingJoin, by: Member, at: datetime) -> FindingJoin:
    """Undo a join: the finding is what it was before, and judged anew. Undone twice is undone.

    Raises:
        Refused: the finding was withdrawn by a later entry meanwhile.
    """
    finding: Finding = (
        Finding.objects.select_related("yard").select_for_update(of=("self",), no_key=True).get(pk=join.joined_id)
    )
    held: FindingJoin = FindingJoin.objects.select_for_update(no_key=True).get(pk=join.pk)
    if held.undone_at is not None:
        return held
    if finding.state != FindingState.JOINED:
        raise Refused("finding", f"it is {finding.get_state_display()}", "there is nothing to part any more")
    held.undone_at, held.undone_by = at, by
    held.save(update_fields=["undone_at", "undone_by"])
    _stand_alone(finding, held, at)
    return held


def unjoin_from_withdrawn(withdrawn: Collection[UUID], at: datetime) -> None:
    """A finding that is withdrawn speaks for nothing: what was joined to it stands alone again."""
    joins = FindingJoin.objects.filter(
        kept__in=withdrawn, undone_at__isnull=True, joined__state=FindingState.JOINED
    )
    resting = Finding.objects.filter(pk__in=joins.values("joined")).select_related("yard").order_by("pk")
    for finding in resting.select_for_update(of=("self",), no_key=True):
        join = joins.get(joined=finding)
        join.undone_at = at
        join.save(update_fields=["undone_at"])
        _stand_alone(finding, join, at)


def _stand_alone(finding: Finding, join: FindingJoin, at: datetime) -> None:
    finding.state, finding.ended_at = FindingState(join.state_before), None
    finding.save(update_fields=["state", "ended_at"])
    judged = Assessment.objects.filter(finding=finding, superseded_at__isnull=True).first()
    word = Overruling.objects.filter(finding=finding, withdrawn_at__isnull=True).first()
    if word is not None:
        watched = word.priority == Priority.WATCH
        kind = DueBackKind.LOOK_AGAIN if watched else DueBackKind.PUT_RIGHT
        due_back_set(finding=finding, due_on=word.due_back_on, kind=kind, reason=word.reason, at=at)
    elif judged is not None:
        due_back_set(
            finding=finding, due_on=judged.due_back_on, kind=judged.due_back_kind, reason=judged.reasons[0], at=at
        )
    ask_for_assessment([finding.entry_id], yard=finding.yard, at=at)
    ask_for_jobs([finding.inspection_id], yard=finding.yard, at=at)


def _refuse_unlike(goes: Finding, stays: Finding) -> None:
    if (goes.yard_id, goes.boat_id) != (stays.yard_id, stays.boat_id):
        raise Refused("into", "is on another boat", "join findings of one boat")
    if goes.component_id != stays.component_id:
        raise Refused("into", "is on another part of the boat", "join findings at one part; else leave both")
    if stays.ended_at is not None:
        raise Refused("into", f"it is {stays.get_state_display()}", "keep one that is still open")
    if goes.state not in MAY_REST:
        raise Refused(
            "finding",
            f"it is {goes.get_state_display()}",
            "leave it as it is" if goes.ended_at is not None else "keep this one and join the other to it",
        )
    if goes.inspection.season_year > stays.inspection.season_year:
        raise Refused(
            "into", f"is of {stays.inspection.season_year}, and this one was seen later", "keep the later one"
        )
    if goes.doubles.filter(undone_at__isnull=True).exists():
        raise Refused("finding", "others are joined to it", "join those to the other one, or undo that first")


__all__ = ["finding_join", "finding_unjoin", "unjoin_from_withdrawn"]
