"""Area jobs: a finished surface that has had its time is stripped and built up again as a job of its own."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.db import IntegrityError, transaction

from inspections.models import Inspection
from workshop.estimating.finish_rules import finish_rules
from workshop.models import Job, Treatment, Verification
from workshop.models.jobs import SURFACE_KEY
from workshop.quoting.job_words import surface_words
from workshop.selectors.surfaces import surfaces_standing
from workshop.services.jobs import job_locked
from workshop.services.proposing import job_empty, operation_of
from workshop.services.surfaces import surface_due_back_set
from workshop.services.work import job_end_if_seen, refuse_foreign, refuse_unseen
from yard.models import Member, Surface
from yard.refusals import Refused
from yard.selectors import today_at
from yard.vocabulary import Finish


@transaction.atomic
def strip_propose(*, surface: Surface, by: Member, at: datetime) -> Job:
    """Propose the strip of a surface as a job. Asked again, the job that is there already is the answer.

    Raises:
        Refused: no strip is advised, she has no inspection that a job could belong to, the decider declined it this
            season, or the yard's catalogue has no operation for it.
    """
    if by.yard_id != surface.yard_id:
        raise Refused("by", f"{by} is not of this yard", "sign in to hers")
    inspection = Inspection.objects.filter(boat=surface.boat_id).order_by("-season_year").first()
    if inspection is None:
        raise Refused("inspection", "she has not been inspected here", "open her inspection first")
    inspection = Inspection.objects.select_for_update(no_key=True).select_related("yard").get(pk=inspection.pk)
    (standing,) = surfaces_standing([surface], yard=surface.yard, on_date=today_at(surface.yard, at))
    there = _live_job(surface)
    if there is not None:
        return there
    if not standing.advice.strip_advised:
        raise Refused("surface", "no strip of it is advised now", "see what it wants, or write down what was done")
    if Job.objects.filter(inspection=inspection, key=_key(surface)).exclude(state=Job.State.DROPPED).exists():
        raise Refused(
            "surface", "its strip was asked for this season already", "ask again with the next inspection"
        )
    return _job(inspection, surface, at)


@transaction.atomic
def strips_propose(*, inspection: Inspection, at: datetime) -> list[Job]:
    """Propose the strips that the finishes of a boat want, for the worker. Doing it again does nothing.

    A proposed strip that is wanted no more is dropped, unless a member has put a hand to it. What was asked for
    this season, or taken off the list by a member, is not proposed again. A finish for which the yard's catalogue
    has no operation is left to the manager, who is told so on asking.
    """
    inspection = Inspection.objects.select_for_update(no_key=True).select_related("yard").get(pk=inspection.pk)
    surfaces = list(Surface.objects.filter(boat=inspection.boat_id).order_by("pk"))
    if not surfaces:
        return []
    known = set(Treatment.objects.of_yard(inspection.yard_id).values_list("code", flat=True))
    strip_by = finish_rules().strip_by
    surfaces = [surface for surface in surfaces if strip_by.get(Finish(surface.finish)) in known]
    made = []
    for standing in surfaces_standing(surfaces, yard=inspection.yard, on_date=today_at(inspection.yard, at)):
        surface = standing.surface
        # what the worker dropped itself may come again, what a member dropped may not
        jobs = list(
            Job.objects.filter(inspection=inspection, key=_key(surface)).exclude(
                state=Job.State.DROPPED, edited_by__isnull=True
            )
        )
        untouched = [job for job in jobs if job.state == Job.State.PROPOSED and job.edited_by_id is None]
        if not standing.advice.strip_advised:
            for job in untouched:
                job_empty(job, at)
        elif not jobs and _live_job(surface) is None:
            made.append(_job(inspection, surface, at))
        else:
            for job in untouched:
                _bring_in_line(job, surface, at)
    return made


@transaction.atomic
def strip_verify(
    *,
    job: Job,
    surface: Surface,
    by: Member,
    at: datetime,
    photo_sha256: str = "",
    reading: str = "",
    note: str = "",
) -> Verification:
    """The look afterwards at a surface that a job has done; the last one of a job ends it.

    The next look is by the day on which the finish wants its next coat, or its next strip.

    Raises:
        Refused: the job is not done, doesn't touch that surface, there is no photo and no reading, or it was looked
            at already.
    """
    job = job_locked(job, Job.State.DONE, doing="verified")
    refuse_foreign(job, by)
    refuse_unseen(photo_sha256, reading)
    held = Surface.objects.select_for_update(no_key=True).select_related("yard").get(pk=surface.pk)
    if not job.operations.filter(surface=held).exists():
        raise Refused("surface", "is not worked on by this job", "name one of the job's surfaces")
    advice = surface_due_back_set(surface=held, at=at)
    verification = Verification(
        yard_id=job.yard_id,
        surface=held,
        job=job,
        by=by,
        photo_sha256=photo_sha256,
        reading=reading.strip(),
        note=note.strip(),
        seen_at=at,
        look_again_on=_next_look(advice.coat_due_on, advice.strip_due_on, today_at(held.yard, at)),
    )
    try:
        with transaction.atomic():
            verification.save(force_insert=True)
    except IntegrityError as error:
        raise Refused("surface", "is verified already", "there is nothing more to do") from error
    job_end_if_seen(job, at)
    return verification


def strip_job_of(surface: Surface) -> Job | None:
    """The job under which the surface is stripped, if one is still to be asked for, agreed or done."""
    return _live_job(surface)


def _next_look(coat_due_on: date | None, strip_due_on: date | None, today: date) -> date:
    ahead = [day for day in (coat_due_on, strip_due_on) if day is not None and day > today]
    return min(ahead, default=today + timedelta(days=365))


def _live_job(surface: Surface) -> Job | None:
    found: Job | None = (
        Job.objects.filter(operations__surface=surface, state__in=Job.LIVE).order_by("-pk").distinct().first()
    )
    return found


def _key(surface: Surface) -> str:
    return f"{SURFACE_KEY}{surface.pk}"


def _job(inspection: Inspection, surface: Surface, at: datetime) -> Job:
    treatment = _treatment(surface)
    words = surface_words(surface.name, [treatment.name])
    job = Job(
        yard_id=inspection.yard_id,
        boat_id=inspection.boat_id,
        inspection=inspection,
        key=_key(surface),
        title=words.title,
        if_left=words.if_left,
        created_at=at,
        changed_at=at,
    )
    job.save(force_insert=True)
    operation_of(job, treatment, surface, surface.area_m2, 1).save(force_insert=True)
    return job


def _bring_in_line(job: Job, surface: Surface, at: datetime) -> None:
    """The surface was measured again, or another finish stands on it."""
    wanted = operation_of(job, _treatment(surface), surface, surface.area_m2, 1)
    if job.operations.filter(
        treatment=wanted.treatment, quantity=wanted.quantity, hours_likely=wanted.hours_likely
    ).exists():
        return
    job.operations.all().delete()
    wanted.save(force_insert=True)
    job.title = surface_words(surface.name, [wanted.treatment.name]).title
    job.changed_at = at
    job.save(update_fields=["title", "changed_at"])


def _treatment(surface: Surface) -> Treatment:
    code = finish_rules().strip_by.get(Finish(surface.finish))
    found = None if code is None else Treatment.objects.of_yard(surface.yard_id).filter(code=code).first()
    if found is None:
        what = code or f"stripping {surface.get_finish_display()}"
        raise Refused(
            "treatments",
            f"{what} is wanted for {surface.name} and not in the yard's catalogue",
            "add the operation to the catalogue, then send this again",
        )
    return found


__all__ = ["strip_job_of", "strip_propose", "strip_verify", "strips_propose"]
