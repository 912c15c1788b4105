"""Ways of which the decider chooses one, jobs that need each other, and addenda, on the quote's page."""

from __future__ import annotations

from datetime import datetime

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from web.base.forms import DayField, TextField, YardForm, first_refusal
from web.base.members import MemberRequest, for_managers
from web.office.job_lines import job_lines
from web.office.quote import done, held_quote, shown
from workshop.estimating.job_building import quantity_of
from workshop.models import Job, OptionGroup, Quote, Treatment
from workshop.services.alternatives import job_alternative
from workshop.services.ceiling import addendum_draft
from workshop.services.jobs import OperationSheet
from workshop.services.needs import job_needs_set
from workshop.services.option_groups import option_group_dissolve, option_group_set
from workshop.services.quotes import quote_change
from yard.refusals import Refused


class WayForm(YardForm):
    """Another way beside a job of the draft."""

    means = TextField(label="What it means for the owner", max_length=2000)
    proper_by = DayField(label="Only holds her; the proper repair is then due by", required=False)


@require_POST
@for_managers
def way(request: MemberRequest, pk: int) -> HttpResponse:
    """Make another way to do a job of the draft, put it in, and make a choice of the two."""
    held = held_quote(request, pk)
    form, posted = WayForm(request.POST), request.POST

    @transaction.atomic
    def make(now: datetime) -> None:
        if not form.is_valid():
            raise first_refusal(form)
        job = _job_of(held, posted.get("job", ""), "job")
        treatment = Treatment.objects.of_yard(held.yard_id).filter(code=posted.get("treatment", "")).first()
        if treatment is None:
            raise Refused("treatment", "is not in the catalogue", "choose one of the list")
        rows = job.operations.filter(finding__isnull=False).select_related("finding__entry")
        findings = {row.finding.pk: row.finding for row in rows if row.finding is not None}
        other = job_alternative(
            job=job,
            by=request.member,
            at=now,
            title=posted.get("title", ""),
            operations=[
                OperationSheet(treatment.code, finding.pk, quantity_of(treatment.unit, finding.entry.size_mm))
                for finding in findings.values()
            ],
            means=form.cleaned_data["means"],
            proper_by=form.cleaned_data["proper_by"],
        )
        lines = list(held.lines.select_related("job").order_by("position"))
        jobs = [each for line in lines for each in ([line.job, other] if line.job_id == job.pk else [line.job])]
        quote_change(quote=held, at=now, jobs=jobs)
        group = next((line.option_group for line in lines if line.job_id == job.pk), None)
        ways = [job, other] if group is None else [*_ways(group), other]
        option_group_set(
            quote=held, title=posted.get("choice", "") if group is None else group.title, jobs=ways, recommended=job
        )

    return done(request, held, make, "The other way is in the quote; the decider chooses one at most.")


@require_POST
@for_managers
def choice(request: MemberRequest, pk: int) -> HttpResponse:
    """Make a choice of ticked jobs of the draft."""
    held = held_quote(request, pk)

    def make(_: datetime) -> None:
        ways = [_job_of(held, each, "ways") for each in request.POST.getlist("ways")]
        advised = request.POST.get("recommended", "")
        option_group_set(
            quote=held,
            title=request.POST.get("title", ""),
            jobs=ways,
            recommended=_job_of(held, advised, "recommended") if advised else None,
        )

    return done(request, held, make, "Of these the decider chooses one at most.")


@require_POST
@for_managers
def choice_undo(request: MemberRequest, pk: int, group: int) -> HttpResponse:
    """Let the jobs of a choice stand for themselves again."""
    held = held_quote(request, pk)
    found = get_object_or_404(OptionGroup.objects.of_yard(request.member.yard_id), pk=group, quote=held)

    def undo(_: datetime) -> None:
        option_group_dissolve(group=found)

    return done(request, held, undo, "The jobs stand for themselves again.")


@require_POST
@for_managers
def need(request: MemberRequest, pk: int) -> HttpResponse:
    """Say that a job of the draft can't be had without another, or that it can."""
    held = held_quote(request, pk)

    def say(_: datetime) -> None:
        job = _job_of(held, request.POST.get("job", ""), "job")
        needed = _job_of(held, request.POST.get("needed", ""), "needed")
        others = [each.needed for each in job.needs.select_related("needed") if each.needed_id != needed.pk]
        job_needs_set(job=job, needed=others if request.POST.get("how") == "drop" else [*others, needed])

    return done(request, held, say, "Kept.")


@require_POST
@for_managers
def addendum(request: MemberRequest, pk: int) -> HttpResponse:
    """Draw up an addendum of the ticked jobs."""
    held = held_quote(request, pk)
    ticked = set(request.POST.getlist("jobs"))
    jobs = [line.job for line in job_lines(held.inspection) if str(line.job.pk) in ticked]
    try:
        draft = addendum_draft(quote=held, jobs=jobs, by=request.member, at=timezone.now())
    except Refused as refusal:
        return shown(request, held, refused=refusal)
    messages.success(request, f"This adds to quote {held.number}. Look it over, then send it.")
    return HttpResponseRedirect(reverse("web:quote", args=[draft.pk]))


def _job_of(held: Quote, pk: str, field: str) -> Job:
    line = next((each for each in held.lines.select_related("job") if str(each.job_id) == pk), None)
    if line is None:
        raise Refused(field, "is no job of this quote", "choose one of the list")
    return line.job


def _ways(group: OptionGroup) -> list[Job]:
    return [line.job for line in group.lines.select_related("job").order_by("position")]


__all__ = ["addendum", "choice", "choice_undo", "need", "way"]
