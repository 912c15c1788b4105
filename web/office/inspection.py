"""One inspection: every check with its answer, what is missing, and the jobs that came of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inspections.models import Entry, Finding, Inspection, SetAside
from inspections.selectors.checks import CheckState, check_states, entries_outside_the_list
from inspections.selectors.entries import missing_photos
from inspections.selectors.findings import findings_with_judgement
from inspections.selectors.opening import opening_deeds
from inspections.selectors.route import Route, route_of
from inspections.services.inspections import inspection_afloat_set, inspection_close
from web.base.forms import DayField, YardForm, first_refusal
from web.base.members import MemberRequest, for_managers, for_members, row_of
from web.base.pages import page
from web.office.entry_views import sign_names, signs_in_words
from web.office.job_lines import job_lines
from web.office.quote_building import draft_begin, offered_findings
from workshop.models import Job, Quote
from workshop.services.job_parting import job_split, jobs_join
from workshop.services.quote_words import place_of
from yard.models import Component
from yard.refusals import Refused


class AfloatForm(YardForm):
    afloat_on = DayField(label="Went in on", required=False)


@dataclass(frozen=True, slots=True)
class Answered:
    """An answer with its signs in words and the finding that it stands for today."""

    entry: Entry
    place: str
    signs: tuple[str, ...]
    finding: Finding | None


@dataclass(frozen=True, slots=True)
class CheckLine:
    """A check with the answers that hold."""

    state: CheckState
    answers: tuple[Answered, ...]


@dataclass(frozen=True, slots=True)
class PartLines:
    """The checks of one component."""

    component: Component
    lines: tuple[CheckLine, ...]

    @property
    def unanswered(self) -> int:
        return sum(not line.answers for line in self.lines)


@dataclass(frozen=True, slots=True)
class Way:
    """What is left of the way round, or why it can't be told."""

    route: Route | None = None
    refused: Refused | None = None


@require_safe
@for_members
def inspection(request: MemberRequest, pk: int) -> HttpResponse:
    return _shown(request, _inspection(request, pk))


@require_POST
@for_managers
def close(request: MemberRequest, pk: int) -> HttpResponse:
    """Say that everything has been looked at."""
    held = _inspection(request, pk)
    try:
        inspection_close(inspection=held, at=timezone.now(), by=request.member)
    except Refused as refusal:
        return _shown(request, held, refused=refusal)
    messages.success(request, "The inspection is closed.")
    return HttpResponseRedirect(reverse("web:inspection", args=[held.pk]))


@require_POST
@for_managers
def afloat(request: MemberRequest, pk: int) -> HttpResponse:
    """Write down the day on which she went in, or take it back."""
    held = _inspection(request, pk)
    form = AfloatForm(request.POST)
    try:
        if not form.is_valid():
            raise first_refusal(form)
        inspection_afloat_set(inspection=held, afloat_on=form.cleaned_data["afloat_on"], at=timezone.now())
    except Refused as refusal:
        return _shown(request, held, refused=refusal)
    went_in = form.cleaned_data["afloat_on"] is not None
    messages.success(request, f"{held.boat.name} is {'afloat' if went_in else 'ashore again'}.")
    return HttpResponseRedirect(reverse("web:inspection", args=[held.pk]))


@require_POST
@for_managers
def draw_up_quote(request: MemberRequest, pk: int) -> HttpResponse:
    """A draft of the ticked jobs and of those of the ticked findings, in the order of their urgency."""
    held = _inspection(request, pk)
    try:
        drawn = draft_begin(held, request.POST, by=request.member, at=timezone.now())
    except Refused as refusal:
        draft = Quote.objects.filter(inspection=held, state=Quote.State.DRAFT).first()
        if draft is not None:  # a second click, or somebody else was quicker
            return HttpResponseRedirect(reverse("web:quote", args=[draft.pk]))
        return _shown(request, held, refused=refusal, ticking=True)
    return HttpResponseRedirect(reverse("web:quote", args=[drawn.pk]))


@require_POST
@for_managers
def split(request: MemberRequest, pk: int) -> HttpResponse:
    """Make the ticked findings of a proposed job a job of their own."""
    parted = row_of(Job.objects.all(), request.member, pk)
    held = _inspection(request, parted.inspection_id)
    ticked = request.POST.getlist("findings")
    findings = [key for key in parted.operations.values_list("finding", flat=True) if str(key) in ticked]
    try:
        new = job_split(job=parted, findings=findings, by=request.member, at=timezone.now())
    except Refused as refusal:
        return _shown(request, held, refused=refusal, parting=True)
    messages.success(request, f"Split: “{new.title}” is a job of its own.")
    return HttpResponseRedirect(reverse("web:inspection", args=[held.pk]))


@require_POST
@for_managers
def join(request: MemberRequest, pk: int) -> HttpResponse:
    """Make one job of the ticked ones."""
    held = _inspection(request, pk)
    ticked = set(request.POST.getlist("jobs"))
    jobs = [line.job for line in job_lines(held) if str(line.job.pk) in ticked]
    try:
        whole = jobs_join(jobs=jobs, by=request.member, at=timezone.now())
    except Refused as refusal:
        return _shown(request, held, refused=refusal, parting=True)
    messages.success(request, f"Joined: “{whole.title}” is one job now.")
    return HttpResponseRedirect(reverse("web:inspection", args=[held.pk]))


def _inspection(request: MemberRequest, pk: int) -> Inspection:
    rows = Inspection.objects.select_related("yard", "boat__decider_owner", "boat__decider_member", "closed_by")
    return row_of(rows, request.member, pk)


def _shown(
    request: MemberRequest,
    held: Inspection,
    *,
    refused: Refused | None = None,
    parting: bool = False,
    ticking: bool = False,
) -> HttpResponse:
    """The page. `ticking`: what was ticked for a quote is ticked again, `parting`: jobs were to be parted."""
    yard = request.member.yard
    names = sign_names(yard)
    findings = {finding.entry_id: finding for finding in findings_with_judgement(yard).filter(inspection=held)}

    def answered(entry: Entry) -> Answered:
        place = place_of(entry.component, entry.elsewhere, entry.spot)
        return Answered(entry, place, signs_in_words(entry, names), findings.get(entry.pk))

    states = check_states(held)
    parts: dict[int, list[CheckLine]] = {}
    components = {}
    for state in states:
        components[state.check.component_id] = state.check.component
        line = CheckLine(state, tuple(answered(entry) for entry in state.answers))
        parts.setdefault(state.check.component_id, []).append(line)
    proposed = job_lines(held)
    offered = offered_findings(held)
    ticked = set(request.POST.getlist("jobs"))
    draft = Quote.objects.filter(inspection=held, state=Quote.State.DRAFT).first()
    missing = list(missing_photos(held).select_related("entry__answers__component", "entry__component"))
    return page(
        request,
        "inspection.html",
        {
            "here": "season",
            "inspection": held,
            "boat": held.boat,
            "parts": [PartLines(components[key], tuple(lines)) for key, lines in parts.items()],
            "checks": len(states),
            "answered": sum(state.current is not None for state in states),
            "missing": missing,
            "way": _way(held) if states and held.closed_at is None else None,
            "opening": opening_deeds(held),
            "outside": [answered(entry) for entry in entries_outside_the_list(held)],
            "set_aside": SetAside.objects.of_yard(yard).filter(boat=held.boat_id, settled_at__isnull=True).count(),
            "proposed": proposed,
            "unticked": {line.job.pk for line in proposed if str(line.job.pk) not in ticked} if ticking else (),
            "offered": offered,
            "ticked": request.POST.getlist("findings") if ticking else (),
            "makeable": any(not each.why_none for each in offered),
            "may_draw_up": request.member.is_manager and draft is None,
            "nothing": _nothing(states, findings.values()),
            "may_part": len(proposed) > 1 or any(line.divisible for line in proposed),
            "parting": parting,
            "jobs": list(
                Job.objects.filter(inspection=held)
                .exclude(state__in=(Job.State.PROPOSED, Job.State.DROPPED))
                .order_by("id")
            ),
            "quotes": list(Quote.objects.filter(inspection=held).defer("content").order_by("-number")),
            "draft": draft,
        },
        refused=refused if refused is None or len(refused.refusals) == 1 else _in_short(refused),
    )


def _way(held: Inspection) -> Way:
    try:
        return Way(route_of(held, timezone.now()))
    except Refused as refusal:
        return Way(refused=refusal)


def _nothing(states: Sequence[CheckState], findings: Collection[Finding]) -> str:
    """Why there is nothing that a quote could be drawn up of."""
    answered = sum(state.current is not None for state in states)
    if findings:
        ended = sum(finding.ended_at is not None for finding in findings)
        rest = f"; {ended} of {len(findings)} ended without one" if ended else ""
        return f"Nothing waits to be quoted: no finding is left that a job could be made of{rest}."
    if answered < len(states):
        return (
            f"Nothing was found yet, so there is no job to quote: {answered} of {len(states)} checks are answered."
        )
    return "Nothing was found, so there is no job to quote."


def _in_short(refused: Refused) -> Refused:
    """Many refusals of one close: the page lists the places themselves, so their number will do at the top."""
    checks = sum(single.field.startswith("checks.") for single in refused.refusals)
    photos = len(refused.refusals) - checks
    told = [f"{checks} without an answer"] if checks else []
    told += [f"{photos} photo{'s' if photos != 1 else ''} not here"] if photos else []
    return Refused("inspection", " and ".join(told), "they are marked below")


__all__ = ["close", "draw_up_quote", "inspection", "join", "split"]
