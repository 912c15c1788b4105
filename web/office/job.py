"""One job: its steps ticked one after another, hours, material, what it waits for, and the look that ends it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inspections.models import Finding
from inspections.services.photos import photo_receive
from web.base.forms import YardForm, first_refusal
from web.base.members import MemberRequest, for_members, row_of
from web.base.pages import page
from web.office.job_forms import (
    AirForm,
    DoneForm,
    ExtraWorkForm,
    HoldForm,
    HoursForm,
    MaterialForm,
    MeterForm,
    VerifyForm,
)
from web.office.job_told import JobTold, job_told
from workshop.models import ExtraWork, Hold, Job, Material, Operation, Treatment, Verification
from workshop.services.ceiling import agreed_on, extra_work
from workshop.services.jobs import OperationSheet, hold_add, hold_release
from workshop.services.steps import job_air_set, meter_read, step_take_back, step_tick
from workshop.services.stopping import job_stop
from workshop.services.verifying import finding_verify, second_look_give
from workshop.services.work import BOOKED_ON, job_done, job_start, material_book, work_book
from yard.models import Member
from yard.refusals import Refused
from yard.selectors import today_at

Forms = Mapping[str, YardForm]


@require_safe
@for_members
def job(request: MemberRequest, pk: int) -> HttpResponse:
    return _shown(request, _job(request, pk))


@require_POST
@for_members
def start(request: MemberRequest, pk: int) -> HttpResponse:
    """Begin it."""
    held = _job(request, pk)
    return _done(request, held, lambda: _began(request, held))


@require_POST
@for_members
def step(request: MemberRequest, pk: int, operation: int, number: int) -> HttpResponse:
    """Tick a step, or take its tick back."""
    held = _job(request, pk)
    row = row_of(Operation.objects.filter(job=held), request.member, operation)
    said: dict[str, Any] = {"job": held, "operation": row, "step": number, "by": request.member}
    said |= {"at": timezone.now(), "note": request.POST.get("note", "")}

    def tick() -> str:
        if request.POST.get("how") == "back":
            step_take_back(**said)
            return f"The tick of step {number} is taken back; it stays in the history."
        step_tick(**said, reason=request.POST.get("reason", ""))
        return f"Step {number} is ticked."

    return _done(request, held, tick, anchor=f"work-{operation}", wrong=f"{operation}-{number}")


@require_POST
@for_members
def meter(request: MemberRequest, pk: int) -> HttpResponse:
    """Write down what the meter says."""
    held = _job(request, pk)
    form = MeterForm(job_told(held, now=timezone.now()).places, request.POST, auto_id="meter-%s")

    def read() -> str:
        given = _given(form)
        finding = Finding.objects.of_yard(held.yard_id).get(pk=given.pop("finding"))
        meter_read(job=held, finding=finding, by=request.member, at=timezone.now(), **given)
        return "The reading is written down."

    return _done(request, held, read, anchor="meter", bound={"meter": form})


@require_POST
@for_members
def air(request: MemberRequest, pk: int) -> HttpResponse:
    """Say where it is done."""
    held = _job(request, pk)
    form = AirForm(request.POST, auto_id="air-%s")

    def moved() -> str:
        job_air_set(job=held, at=timezone.now(), **_given(form))
        return "Its waits are reckoned for that air."

    return _done(request, held, moved, anchor="steps", bound={"air": form})


@require_POST
@for_members
def hours(request: MemberRequest, pk: int) -> HttpResponse:
    """Book one's own hours."""
    held = _job(request, pk)
    form = HoursForm(request.POST, auto_id="hours-%s")

    def book() -> str:
        work_book(job=held, member=request.member, at=timezone.now(), **_given(form))
        return "The hours are booked."

    return _done(request, held, book, anchor="hours", bound={"hours": form})


@require_POST
@for_members
def material(request: MemberRequest, pk: int) -> HttpResponse:
    """Book material."""
    held = _job(request, pk)
    listed = Material.objects.of_yard(held.yard_id)
    form = MaterialForm(listed, request.POST, auto_id="material-%s")

    def book() -> str:
        given = _given(form)
        row = listed.get(code=given.pop("material"))
        material_book(job=held, material=row, member=request.member, at=timezone.now(), **given)
        return "The material is booked."

    return _done(request, held, book, anchor="material", bound={"material": form})


@require_POST
@for_members
def extra(request: MemberRequest, pk: int) -> HttpResponse:
    """Take down extra work that was found on the agreed job."""
    held = _job(request, pk)
    places = job_told(held, now=timezone.now()).places
    form = ExtraWorkForm(Treatment.objects.of_yard(held.yard_id), places, request.POST, auto_id="extra-%s")

    def found() -> str:
        given = _given(form)
        work = OperationSheet(given["treatment"], UUID(given["finding"]), given["quantity"])
        said: dict[str, Any] = {"job": held, "by": request.member, "at": timezone.now(), "what": given["what"]}
        try:
            taken = extra_work(**said, operations=[work])
        except Refused as refusal:  # of the one operation that the form has
            raise Refused(refusal.field.removeprefix("operations.0."), refusal.problem, refusal.remedy) from refusal
        if taken.more is None:
            return "It is written down. The hours that were agreed have room for it: go on."
        return "The hours that were agreed have no room for it. It waits as a job for an addendum to the quote."

    return _done(request, held, found, anchor="extra", bound={"extra": form})


@require_POST
@for_members
def wait(request: MemberRequest, pk: int) -> HttpResponse:
    """Say what it waits for; one that is in work stops."""
    held = _job(request, pk)
    members = Member.objects.of_yard(held.yard_id)
    form = HoldForm(members, request.POST, auto_id="hold-%s")

    def hold() -> str:
        given = _given(form)
        given |= {"job": held, "who": members.get(pk=given["who"]), "at": timezone.now()}
        if held.state == Job.State.IN_WORK:
            job_stop(by=request.member, **given)
            return "The job is stopped. It goes on by itself when the last thing it waits for is here."
        hold_add(**given)
        return "It is written down what the job waits for."

    return _done(request, held, hold, anchor="waits", bound={"hold": form})


@require_POST
@for_members
def release(request: MemberRequest, pk: int, hold: int) -> HttpResponse:
    """What was waited for is here."""
    held = _job(request, pk)
    row = row_of(Hold.objects.filter(job=held), request.member, hold)

    def here() -> str:
        hold_release(hold=row, at=timezone.now())
        return f"{row.what}: here."

    return _done(request, held, here, anchor="waits")


@require_POST
@for_members
def done(request: MemberRequest, pk: int) -> HttpResponse:
    """The work is done."""
    held = _job(request, pk)
    form = DoneForm(request.POST, auto_id="done-%s")

    def end() -> str:
        job_done(job=held, by=request.member, at=timezone.now(), **_given(form))
        return "The job is done; each place now wants its look."

    return _done(request, held, end, anchor="verify", bound={"done": form})


@require_POST
@for_members
def verify(request: MemberRequest, pk: int, finding: UUID) -> HttpResponse:
    """The look afterwards, with a photo from the form or figures."""
    held = _job(request, pk)
    row = row_of(Finding.objects.filter(operations__job=held).distinct(), request.member, finding)
    form = VerifyForm(request.POST, request.FILES, auto_id=f"verify-{row.pk}-%s")

    def look() -> str:
        given = _given(form)
        photo, sha256, now = given["photo"], "", timezone.now()
        if photo is not None:
            data = photo.read()
            sha256 = hashlib.sha256(data).hexdigest()
            photo_receive(yard=request.member.yard, sha256=sha256, data=data, by=request.member, at=now)
        looked = finding_verify(
            finding=row,
            by=request.member,
            at=now,
            photo_sha256=sha256,
            readings=form.readings(),
            look_again_on=given["look_again_on"],
            look_again_reason=given["look_again_reason"],
            note=given["note"],
        )
        if looked.needs_second_look:
            return "The first look is written down. Somebody else has to look as well, under their own name."
        return "It is verified."

    return _done(request, held, look, anchor="verify", bound={f"verify-{row.pk}": form})


@require_POST
@for_members
def second_look(request: MemberRequest, pk: int, verification: int) -> HttpResponse:
    """Somebody else's look."""
    held = _job(request, pk)
    rows = Verification.objects.filter(finding__operations__job=held).distinct()
    row = row_of(rows, request.member, verification)
    holds, note = request.POST.get("how") == "holds", request.POST.get("note", "")

    def look() -> str:
        if request.POST.get("how") not in ("holds", "doubt"):
            raise Refused("look", "says neither yes nor no", "press one of the two buttons")
        second_look_give(verification=row, by=request.member, holds=holds, at=timezone.now(), note=note)
        return "Looked at by two, and verified." if holds else "The finding is open again, and the job in work."

    return _done(request, held, look, anchor="verify")


def _began(request: MemberRequest, held: Job) -> str:
    job_start(job=held, by=request.member, at=timezone.now())
    return "The job is in work."


def _job(request: MemberRequest, pk: int) -> Job:
    return row_of(Job.objects.select_related("yard", "boat", "inspection"), request.member, pk)


def _given(form: forms.Form) -> dict[str, Any]:
    if not form.is_valid():
        raise first_refusal(form)
    return dict(form.cleaned_data)


def _done(
    request: MemberRequest,
    held: Job,
    act: Callable[[], str],
    *,
    anchor: str = "",
    bound: Forms | None = None,
    wrong: str = "",
) -> HttpResponse:
    """Do it and lead back to its place on the page, or show the page with what was refused and what was typed."""
    try:
        told = act()
    except Refused as refusal:
        for form in (bound or {}).values():
            if form.is_valid():
                form.refuse(refusal)
        return _shown(request, _job(request, held.pk), refused=refusal, bound=bound, wrong=wrong)
    messages.success(request, told)
    where = reverse("web:job", args=[held.pk])
    return HttpResponseRedirect(f"{where}#{anchor}" if anchor else where)


def _shown(
    request: MemberRequest,
    held: Job,
    *,
    refused: Refused | None = None,
    bound: Forms | None = None,
    wrong: str = "",
) -> HttpResponse:
    now = timezone.now()
    told = job_told(held, now=now)
    made = {**_forms(request, told), **(bound or {})}
    return page(
        request,
        "job.html",
        {
            "here": "boats",
            "told": told,
            "job": held,
            "boat": held.boat,
            "forms": made,
            "repaired": [
                (each, made.get(f"verify-{each.finding.pk}") if each.look is not None else None)
                for each in told.repaired
            ],
            "holds": list(held.holds.select_related("who__user").order_by("expected_on", "id")),
            "hours_logs": list(held.work_logs.select_related("member__user").order_by("worked_on", "id")),
            "material_logs": list(
                held.material_logs.select_related("member__user", "material").order_by("used_on", "id")
            ),
            "extra_works": list(
                ExtraWork.objects.filter(job=held.extends_id or held.pk)
                .select_related("by__user", "more")
                .order_by("found_at", "id")
            ),
            "agreed": agreed_on([held]).get(held.pk),
            "may_add": held.state in (Job.State.APPROVED, Job.State.IN_WORK),
            "quotes": list(
                {line.quote for line in held.quote_lines.select_related("quote").defer("quote__content")}
            ),
            "may_start": held.state == Job.State.APPROVED,
            "in_work": held.state == Job.State.IN_WORK,
            "may_wait": held.state in (Job.State.APPROVED, Job.State.IN_WORK, Job.State.STOPPED),
            "may_air": held.state in Job.LIVE and held.state != Job.State.DONE,
            "may_book": held.state in BOOKED_ON,
            "wrong": wrong,
            "typed_reason": request.POST.get("reason", "") if wrong else "",
        },
        refused=refused,
    )


def _forms(request: MemberRequest, told: JobTold) -> dict[str, YardForm]:
    yard = request.member.yard
    day = today_at(yard, timezone.now())
    made: dict[str, YardForm] = {
        "air": AirForm(auto_id="air-%s", initial={"worked_in": told.job.worked_in}),
        "hours": HoursForm(auto_id="hours-%s", initial={"worked_on": day}),
        "material": MaterialForm(Material.objects.of_yard(yard), auto_id="material-%s", initial={"used_on": day}),
        "meter": MeterForm(told.places, auto_id="meter-%s"),
        "extra": ExtraWorkForm(Treatment.objects.of_yard(yard), told.places, auto_id="extra-%s"),
        "hold": HoldForm(Member.objects.of_yard(yard).select_related("user"), auto_id="hold-%s"),
        "done": DoneForm(auto_id="done-%s"),
    }
    for each in told.repaired:
        if each.look is not None:
            key = each.finding.pk
            made[f"verify-{key}"] = VerifyForm(auto_id=f"verify-{key}-%s", initial={"look_again_on": each.look.on})
    return made


__all__ = [
    "air",
    "done",
    "extra",
    "hours",
    "job",
    "material",
    "meter",
    "release",
    "second_look",
    "start",
    "step",
    "verify",
    "wait",
]
