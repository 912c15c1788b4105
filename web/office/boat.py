"""One boat: what she is, her plan, her parts and spots, and everything that was done about them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date

from django import forms
from django.contrib import messages
from django.db.models import Count, F, Q
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inspections.judgement.vocabulary import Answer
from inspections.models import Entry, Finding, Inspection
from inspections.selectors.due_backs import due_back_book
from inspections.selectors.entries import standing
from inspections.services.inspections import inspection_open
from web.base.forms import DayField, YardForm, first_refusal
from web.base.members import MemberRequest, for_managers, for_members, row_of
from web.base.overtaken import holding
from web.base.pages import page
from web.office.place_marks import boat_plan, marks_shown, spot_lines
from web.office.surface_forms import WorkForm
from web.templatetags.faying import metres
from workshop.models import Decision, Hold, Job, Quote
from workshop.models.quotes import Verdict
from workshop.selectors.surfaces import SurfaceStanding, boat_surfaces
from workshop.services.ceiling import Agreed, agreed_on
from workshop.services.due_words import book_lines, told_together
from workshop.services.quote_words import place_of
from workshop.services.strips import strip_propose
from yard.models import Boat, Component, Season, Surface
from yard.refusals import Refused
from yard.selectors import today_at


class OpenForm(YardForm):
    """When she is to go in; empty takes the season's day."""

    launch_on = DayField(label="To go in on", required=False, help_text="Empty: the day the season begins.")


class DrawingForm(YardForm):
    drawing = forms.FileField(
        label="Her plan as PNG, JPEG or plain SVG",
        help_text="Seen from above, bow to the right, cut to the boat; pins are laid over it by length and beam.",
        error_messages={"required": "is missing; choose a file.", "empty": "is empty; choose another file."},
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/svg+xml,.svg"}),
    )


# Withdrawn, or told by another finding: neither is counted.
COUNTED_ELSEWHERE = (Finding.State.WITHDRAWN, Finding.State.JOINED)


@require_safe
@for_members
def boat(request: MemberRequest, pk: int) -> HttpResponse:
    return shown(request, boat_of(request, pk))


@require_POST
@for_managers
def open_inspection(request: MemberRequest, pk: int) -> HttpResponse:
    """Open the boat's inspection of the coming season."""
    held = boat_of(request, pk)
    form = OpenForm(request.POST)
    try:
        if not form.is_valid():
            raise first_refusal(form)
        season = _season_to_open(held)
        if season is None:
            raise Refused("season", "there is none to come", "enter its launch and lay-up first")
        opened = inspection_open(
            boat=held,
            season_year=season.year,
            at=timezone.now(),
            by=request.member,
            launch_on=form.cleaned_data["launch_on"],
        )
    except Refused as refusal:
        return shown(request, held, refused=refusal)
    messages.success(request, f"The inspection of {season.year} is open, with {opened.checks.count()} checks.")
    return HttpResponseRedirect(reverse("web:inspection", args=[opened.pk]))


@require_POST
@for_managers
def propose_strip(request: MemberRequest, pk: int) -> HttpResponse:
    """Ask for the strip of a surface as a job, which then stands among the proposed ones."""
    surface = row_of(Surface.objects.select_related("boat", "yard"), request.member, pk)
    try:
        job = strip_propose(surface=surface, by=request.member, at=timezone.now())
    except Refused as refusal:
        return shown(request, boat_of(request, surface.boat_id), refused=refusal)
    messages.success(
        request, f"{job.title} stands among the jobs of the inspection of {job.inspection.season_year}."
    )
    return HttpResponseRedirect(f"{reverse('web:boat', args=[surface.boat_id])}#surfaces")


def boat_of(request: MemberRequest, pk: int, *, held: bool = False) -> Boat:
    """The boat of the address, if she is of the member's yard; held where she is to be changed in one go."""
    rows = Boat.objects.select_related("yard", "decider_owner", "decider_member", "drawing__received_from__user")
    return row_of(holding(rows, request) if held else rows, request.member, pk)


def _season_to_open(boat: Boat) -> Season | None:
    """The first season that has not ended and has no inspection of hers."""
    today = today_at(boat.yard, timezone.now())
    seen = Inspection.objects.filter(boat=boat).values("season_year")
    found: Season | None = (
        Season.objects.of_yard(boat.yard_id)
        .filter(layup_on__gte=today)
        .exclude(year__in=seen)
        .order_by("year")
        .first()
    )
    return found


def shown(
    request: MemberRequest,
    boat: Boat,
    *,
    refused: Refused | None = None,
    drawing_asked: bool = False,
    work_form: tuple[int, WorkForm] | None = None,
) -> HttpResponse:
    """Her page, with what was refused on it."""
    yard = request.member.yard
    today = today_at(yard, timezone.now())
    lines = spot_lines(boat)
    book = due_back_book(yard, boat=boat)
    reads = book.select_related("finding__entry__answers", "entry__answers", "surface")
    due = told_together(book_lines(reads, today))
    season = _season_to_open(boat)
    inspections = list(
        Inspection.objects.of_yard(yard)
        .filter(boat=boat)
        .annotate(
            found=Count("findings", filter=~Q(findings__state__in=COUNTED_ELSEWHERE), distinct=True),
        )
        .order_by("-season_year")
    )
    this_season = season is not None and season.year <= today.year
    return page(
        request,
        "boat.html",
        {
            "here": "boats",
            "boat": boat,
            "owners": list(boat.owners.all()),
            "drawing": getattr(boat, "drawing", None),
            "drawing_form": DrawingForm(),
            "drawing_asked": drawing_asked,
            "plan": boat_plan(boat, lines, length_text=f"length over all {metres(boat.loa_mm, yard)}"),
            "lines": lines,
            "legend": marks_shown(lines),
            "due": due,
            "components": list(
                Component.objects.of_yard(yard)
                .filter(boat=boat)
                .select_related("component_class")
                .annotate(spot_count=Count("spots"))
            ),
            "inspections": inspections,
            "quotes": list(Quote.objects.of_yard(yard).filter(boat=boat).defer("content").order_by("-number")),
            "jobs": _jobs(boat),
            "held_jobs": list(
                Hold.objects.of_yard(yard)
                .filter(job__boat=boat, job__state__in=Job.LIVE, released_at__isnull=True)
                .select_related("job", "who__user")
                .order_by("expected_on", "id")
            ),
            "declined_unsafe": _declined_unsafe(boat),
            "surfaces": _surfaces(boat, today, work_form),
            "not_seen": _not_seen(inspections),
            "season_to_open": season if this_season or not inspections else None,
            "open_form": OpenForm(request.POST if refused and not (drawing_asked or work_form) else None),
        },
        refused=refused,
    )


def _surfaces(
    boat: Boat, today: date, refused: tuple[int, WorkForm] | None
) -> list[tuple[SurfaceStanding, Job | None, WorkForm]]:
    """Her finished surfaces, each with the job that strips it, if there is one, and the form for its history."""
    live = Job.objects.of_yard(boat.yard_id).filter(
        boat=boat, state__in=Job.LIVE, operations__surface__isnull=False
    )
    strips = {job.surface_id: job for job in live.annotate(surface_id=F("operations__surface")).order_by("pk")}
    typed = dict([refused] if refused is not None else [])
    return [
        (each, strips.get(each.surface.pk), typed.get(each.surface.pk) or WorkForm(each.surface.pk))
        for each in boat_surfaces(boat, on_date=today)
    ]


def _jobs(boat: Boat) -> list[tuple[Job, Agreed | None]]:
    """What is still to be asked for, agreed or done, with the hours that were agreed and booked."""
    jobs = list(Job.objects.of_yard(boat.yard_id).filter(boat=boat, state__in=Job.LIVE).order_by("id"))
    agreed = agreed_on(jobs)
    return [(job, agreed.get(job.pk)) for job in jobs]


def _declined_unsafe(boat: Boat) -> list[Decision]:
    """The decider's no to each job that is unsafe to leave, the last one first, until it is looked at again."""
    # looked at again since: then it is another finding's business
    still_there = Job.objects.filter(
        boat=boat, state=Job.State.DECLINED, unsafe_to_leave=True, operations__finding__state__in=Finding.LASTING
    )
    return list(
        Decision.objects.of_yard(boat.yard_id)
        .filter(verdict=Verdict.DECLINE, line__job__in=still_there.values("pk"))
        .select_related("line__job", "line__quote", "owner", "member__user")
        .order_by("-decided_at", "-id")
    )


def _not_seen(inspections: Sequence[Inspection]) -> list[tuple[str, str, int]]:
    """What the last look could not reach: the place, why, and how many questions that left open."""
    if not inspections:
        return []
    last = inspections[0]
    entries = standing(Entry.objects.of_yard(last.yard_id).filter(inspection=last, answer=Answer.NOT_SEEN.value))
    places = Counter(
        (place_of(entry.component, entry.elsewhere, entry.spot), entry.not_seen_reason)
        for entry in entries.select_related("component", "spot")
    )
    return [(place, reason, questions) for (place, reason), questions in places.items()]


__all__ = ["DrawingForm", "boat", "boat_of", "open_inspection", "propose_strip", "shown"]
