"""A manager's word against the computed judgement, with the reason. Both stay visible."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.db import transaction

from inspections.judgement.vocabulary import DueBackKind, Priority
from inspections.models import Assessment, Finding, Overruling
from inspections.models.findings import FindingState
from inspections.services.acknowledging import findings_acknowledge
from inspections.services.asking import ask_for_assessment, ask_for_jobs
from inspections.services.due_back import due_back_set
from yard.models import Member
from yard.refusals import Refused, RefusedMany
from yard.selectors import today_at

# Beyond this a day is a slip of the pen: the longest interval that a class may have is as long.
LONGEST = timedelta(days=366 * 20)
REASON_LENGTH = 2000


@transaction.atomic
def finding_overrule(
    *,
    finding: Finding,
    by: Member,
    priority: Priority | str,
    due_back_on: date,
    reason: str,
    at: datetime,
) -> Overruling:
    """Say otherwise than the judgement. An earlier overruling is withdrawn by it; the same again changes nothing.

    Raises:
        RefusedMany: no manager of the yard, an unknown priority, a day that has passed or lies too far off, no
            reason, or a finding that has ended or is not judged yet.
    """
    held: Finding = (
        Finding.objects.select_related("yard").select_for_update(of=("self",), no_key=True).get(pk=finding.pk)
    )
    assessment: Assessment | None = Assessment.objects.filter(finding=held, superseded_at__isnull=True).first()
    wanted = _checked(held, assessment, by, priority, due_back_on, reason, at)
    assert assessment is not None
    standing = Overruling.objects.filter(finding=held, withdrawn_at__isnull=True).first()
    if standing is not None:
        same = (standing.by_id, standing.priority, standing.due_back_on, standing.reason)
        if same == (by.pk, wanted, due_back_on, reason.strip()):
            return standing
        standing.withdrawn_at = at
        standing.save(update_fields=["withdrawn_at"])
    overruling: Overruling = Overruling.objects.create(
        yard_id=held.yard_id,
        finding=held,
        assessment=assessment,
        by=by,
        priority=wanted.value,
        due_back_on=due_back_on,
        reason=reason.strip(),
        made_at=at,
    )
    watched = wanted is Priority.WATCH
    due_back_set(
        finding=held,
        due_on=due_back_on,
        kind=DueBackKind.LOOK_AGAIN if watched else DueBackKind.PUT_RIGHT,
        reason=overruling.reason,
        at=at,
    )
    _set_state(held, wanted)
    findings_acknowledge(findings=[held], by=by, at=at)
    ask_for_jobs([held.inspection_id], yard=held.yard, at=at)
    return overruling


@transaction.atomic
def overruling_withdraw(*, overruling: Overruling, at: datetime) -> Overruling:
    """Let the computed judgement hold again. Withdrawn twice is withdrawn."""
    held: Finding = (
        Finding.objects.select_related("yard")
        .select_for_update(of=("self",), no_key=True)
        .get(pk=overruling.finding_id)
    )
    standing: Overruling = Overruling.objects.get(pk=overruling.pk)
    if standing.withdrawn_at is not None:
        return standing
    standing.withdrawn_at = at
    standing.save(update_fields=["withdrawn_at"])
    assessment = Assessment.objects.filter(finding=held, superseded_at__isnull=True).first()
    if assessment is None or held.ended_at is not None:
        return standing
    due_back_set(
        finding=held,
        due_on=assessment.due_back_on,
        kind=assessment.due_back_kind,
        reason=assessment.reasons[0],
        at=at,
    )
    _set_state(held, Priority(assessment.priority))
    ask_for_assessment([held.entry_id], yard=held.yard, at=at)
    ask_for_jobs([held.inspection_id], yard=held.yard, at=at)
    return standing


def _checked(
    finding: Finding,
    assessment: Assessment | None,
    by: Member,
    priority: Priority | str,
    due_back_on: date,
    reason: str,
    at: datetime,
) -> Priority:
    refusals = []
    if by.yard_id != finding.yard_id or not by.is_manager:
        refusals.append(Refused("by", f"{by.name} is no manager of this yard", "ask a manager"))
    if finding.ended_at is not None:
        refusals.append(
            Refused("finding", f"it is {finding.get_state_display()}", "overrule one that is still open")
        )
    elif assessment is None:
        refusals.append(Refused("finding", "it is not judged yet", "wait a moment and look again"))
    words = [word.value for word in Priority]
    if priority not in words:
        refusals.append(Refused("priority", f"{priority!r} is not known", f"give one of: {', '.join(words)}"))
    today = today_at(finding.yard, at)
    if not today <= due_back_on <= today + LONGEST:
        refusals.append(
            Refused(
                "due_back_on",
                f"{due_back_on.isoformat()} has passed or lies too far off",
                f"give a day from {today.isoformat()} to {(today + LONGEST).isoformat()}",
            )
        )
    if not 1 <= len(reason.strip()) <= REASON_LENGTH:
        refusals.append(
            Refused("reason", "is missing or too long", f"say why, in at most {REASON_LENGTH} characters")
        )
    if refusals:
        raise RefusedMany(refusals)
    return Priority(priority)


def _set_state(finding: Finding, priority: Priority) -> None:
    if finding.state in (FindingState.OPEN, FindingState.WATCHED):
        finding.state = FindingState.WATCHED if priority is Priority.WATCH else FindingState.OPEN
        finding.save(update_fields=["state"])


__all__ = ["finding_overrule", "overruling_withdraw"]
