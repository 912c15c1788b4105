"""The steps of a job, ticked one after another; and the meter, that says when wood is dry."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from typing import Final

from django.db import transaction

from inspections.models import Finding
from workshop.estimating.steps import DRYING
from workshop.models import Job, MeterReading, Operation, StepTick
from workshop.models.jobs import WorkedIn
from workshop.selectors.job_steps import JobSteps, StepState, WorkState, job_steps
from workshop.services.jobs import findings_of, job_locked
from yard.models import Member
from yard.refusals import Refused
from yard.selectors import today_at

WORDS_LENGTH: Final = 300
WETTEST_PCT: Final = Decimal(120)


@transaction.atomic
def step_tick(
    *,
    job: Job,
    operation: Operation,
    step: int,
    by: Member,
    at: datetime,
    note: str = "",
    reason: str = "",
) -> StepTick:
    """Say that a step is done. One that is ticked already stays as it was ticked first.

    A step whose wait is not over, and one that comes before its turn, is taken with a reason; the reason stays.

    Args:
        operation: any of those that are done together.
        step: counted from 1.
        reason: why before its time or out of turn; may be left empty where it is neither.

    Raises:
        Refused: the job is not in work, it has no such step, or a reason is wanted and was not given.
    """
    job = job_locked(job, Job.State.IN_WORK, doing="ticked")
    refuse_foreign(job, by)
    steps = job_steps(job, on_date=today_at(job.yard, at))
    work, state = _found(steps, operation, step)
    if state.done is not None:
        return state.done
    early = state.is_early(at, today_at(job.yard, at))
    objections = list(_out_of_turn(steps, work, state))
    remedies = ["tick those first"] if objections else []
    if early:
        problem, remedy = _too_early(steps, work, state)
        objections.append(problem)
        remedies.append(remedy)
    if objections and not reason.strip():
        raise Refused(
            "reason", "; ".join(objections), f"{', '.join(remedies)}, or give the reason for doing it now"
        )
    return _said(
        steps,
        work,
        state,
        StepTick.Kind.DONE,
        by=by,
        at=at,
        note=note,
        reason=reason,
        allowed_on=state.days.not_before if early else None,
    )


@transaction.atomic
def step_take_back(
    *, job: Job, operation: Operation, step: int, by: Member, at: datetime, note: str = ""
) -> StepTick:
    """Take a tick back. It stays in the history, and the step is open again. Twice is as good as once.

    Raises:
        Refused: the job is not in work, it has no such step, or the step was not ticked.
    """
    job = job_locked(job, Job.State.IN_WORK, doing="ticked")
    refuse_foreign(job, by)
    steps = job_steps(job, on_date=today_at(job.yard, at))
    work, state = _found(steps, operation, step)
    if state.words is None:
        raise Refused("step", f"{step} was not ticked", "there is nothing to take back")
    if state.words.last.kind == StepTick.Kind.TAKEN_BACK:
        return state.words.last
    return _said(steps, work, state, StepTick.Kind.TAKEN_BACK, by=by, at=at, note=note)


def steps_leave_out(*, job: Job, by: Member, at: datetime, reason: str) -> list[StepTick]:
    """Say of every open step that it was left out, and why; for a job that is locked.

    Where nobody ticked a step, the job is one whose steps are not kept, and nothing is asked.

    Raises:
        Refused: some steps are ticked, some are open, and there is no reason.
    """
    ticked = job.ticks.exists()
    if not ticked:
        return []
    steps = job_steps(job, on_date=today_at(job.yard, at))
    left = list(steps.open_steps())
    if not left or not steps.some_ticked:
        return []
    if not reason.strip():
        told = "; ".join(f"step {state.number} of {work.group.first.treatment.name}" for work, state in left[:3])
        more = f" and {len(left) - 3} more" if len(left) > 3 else ""
        raise Refused("left_out_because", f"still open: {told}{more}", "tick them, or say why they were left out")
    return [_said(steps, work, state, StepTick.Kind.LEFT_OUT, by=by, at=at, reason=reason) for work, state in left]


@transaction.atomic
def meter_read(
    *, job: Job, finding: Finding, moisture_pct: Decimal, by: Member, at: datetime, note: str = ""
) -> MeterReading:
    """Write down what the meter said at a finding. At or below what the next step allows, the drying is over.

    Raises:
        Refused: the job is not agreed or is done, the finding is none of its, or the reading can't be.
    """
    job = job_locked(job, Job.State.APPROVED, Job.State.IN_WORK, Job.State.STOPPED, doing="metered")
    refuse_foreign(job, by)
    if finding.pk not in {each.pk for each in findings_of(job)}:
        raise Refused("finding", "is none of this job", "name one that the job puts right")
    try:
        read = moisture_pct.quantize(Decimal("0.1")) if moisture_pct.is_finite() else Decimal(-1)
    except InvalidOperation:
        read = Decimal(-1)
    if not 0 <= read <= WETTEST_PCT:
        raise Refused("moisture_pct", f"is {moisture_pct}", f"give % of dry mass, 0 to {WETTEST_PCT}, like 15.5")
    reading: MeterReading = MeterReading(
        yard_id=job.yard_id,
        job=job,
        finding=finding,
        moisture_pct=read,
        by=by,
        read_at=at,
        note=_short("note", note),
    )
    reading.save(force_insert=True)
    return reading


@transaction.atomic
def job_air_set(*, job: Job, worked_in: str, at: datetime) -> Job:
    """Say whether a job is done outdoors or in a shed, which decides how long its waits are.

    Raises:
        Refused: no such air, or the job is past its waits.
    """
    job = job_locked(
        job,
        Job.State.PROPOSED,
        Job.State.QUOTED,
        Job.State.APPROVED,
        Job.State.IN_WORK,
        Job.State.STOPPED,
        doing="moved",
    )
    if worked_in not in WorkedIn.values:
        raise Refused("worked_in", f"is {worked_in!r}", f"give one of: {', '.join(WorkedIn.values)}")
    if job.worked_in != worked_in:
        job.worked_in, job.changed_at = worked_in, at
        job.save(update_fields=["worked_in", "changed_at"])
    return job


def refuse_foreign(job: Job, member: Member) -> None:
    if member.yard_id != job.yard_id:
        raise Refused("member", f"{member} is not of this yard", "name a member of the yard")


def _found(steps: JobSteps, operation: Operation, step: int) -> tuple[WorkState, StepState]:
    for work in steps.works:
        if any(each.pk == operation.pk for each in work.group.operations):
            if 1 <= step <= len(work.steps):
                return work, work.steps[step - 1]
            raise Refused("step", f"{step} is not there", f"give 1 to {len(work.steps)}")
    raise Refused("operation", "is none of this job", "name one of the job's operations")


def _out_of_turn(steps: JobSteps, work: WorkState, state: StepState) -> Iterator[str]:
    """What should have been done before it: at the same finding, in the order of work."""
    places = {operation.place_key for operation in work.group.operations}
    for earlier in steps.works:
        if earlier is work:
            break
        if places & {operation.place_key for operation in earlier.group.operations}:
            open_ones = [each.number for each in earlier.steps if each.is_open]
            if open_ones:
                yield f"{earlier.group.first.treatment.name} comes before it and is open at {_steps(open_ones)}"
    open_ones = [each.number for each in work.steps[: state.number - 1] if each.is_open]
    if open_ones:
        yield f"{_steps(open_ones)} before it {'is' if len(open_ones) == 1 else 'are'} not ticked"


def _steps(numbers: list[int]) -> str:
    return f"step{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"


def _too_early(steps: JobSteps, work: WorkState, state: StepState) -> tuple[str, str]:
    days = state.days
    if days.not_before_at is not None:
        first = f"it is allowed from {days.not_before_at:%Y-%m-%d %H:%M}"
    elif days.not_before is not None:
        first = f"it is allowed from {days.not_before.isoformat()}"
    else:
        first = "in this air it is not allowed within three years"
    why = " ".join(days.reasons)
    found = [operation.finding_id for operation in work.group.operations]
    limits = [steps.calendar.limits[key] for key in found if key is not None and key in steps.calendar.limits]
    limit = min(limits, default=None)
    waits = [before.days.step.wait for before in work.steps[: state.number - 1]]
    dries = days.seals or any(wait is not None and wait.what == DRYING for wait in waits)
    remedy = "wait until then"
    if dries and limit is not None:
        remedy += f", write down a meter reading of {limit:g} % or less"
    return f"{first}: {why}" if why else first, remedy


def _said(
    steps: JobSteps,
    work: WorkState,
    state: StepState,
    kind: str,
    *,
    by: Member,
    at: datetime,
    note: str = "",
    reason: str = "",
    allowed_on: date | None = None,
) -> StepTick:
    before = StepTick.objects.filter(operation=work.key, step=state.number).order_by("-turn").first()
    tick: StepTick = StepTick(
        yard_id=steps.job.yard_id,
        job=steps.job,
        operation=work.group.first,
        step=state.number,
        text=state.days.step.text,
        kind=kind,
        turn=1 if before is None else before.turn + 1,
        by=by,
        ticked_at=at,
        note=_short("note", note),
        reason=_short("reason", reason),
        allowed_on=allowed_on,
    )
    tick.save(force_insert=True)
    return tick


def _short(field: str, text: str) -> str:
    if len(text.strip()) > WORDS_LENGTH:
        raise Refused(field, f"has {len(text.strip())} characters", f"use {WORDS_LENGTH} at most")
    return text.strip()


__all__ = [
    "job_air_set",
    "meter_read",
    "refuse_foreign",
    "step_take_back",
    "step_tick",
    "steps_leave_out",
]
