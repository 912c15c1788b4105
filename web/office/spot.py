"""One spot and its life over the years."""

from __future__ import annotations

from uuid import UUID

from django.db.models import prefetch_related_objects
from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.models import Finding
from inspections.selectors.due_backs import due_back_book
from inspections.selectors.findings import spot_history
from web.base.members import MemberRequest, for_members, row_of
from web.base.pages import page
from web.office.entry_views import EntryView, Picture, entry_views
from web.office.place_marks import spot_plan
from workshop.models import Job
from workshop.report.trend import Chart, chart_of
from workshop.services.standing import standing_of
from yard.models import Spot, Yard


@require_safe
@for_members
def spot(request: MemberRequest, pk: UUID) -> HttpResponse:
    """Entries by year, the first and the last picture side by side, what it was judged to be, and the jobs."""
    yard = request.member.yard
    held = row_of(Spot.objects.select_related("component__boat", "component__component_class"), request.member, pk)
    boat = held.component.boat
    looks = spot_history(held)
    place = f"{held.component}: {held.name}"
    views = entry_views(yard, [(place, look.entry) for look in looks])
    entries = list(zip(looks, views, strict=True))
    prefetch_related_objects(
        [look.finding for look in looks if look.finding is not None],
        "verifications__by__user",
        "verifications__second_look__by__user",
        "verifications__second_look_by__user",
    )
    open_ones = [
        look.finding for look in looks if look.finding is not None and look.finding.state in Finding.LASTING
    ]
    standing = standing_of(open_ones)
    sizes = [view for look, view in entries if view.entry.size_mm is not None and not look.is_superseded]
    now = next((standing[finding.pk] for finding in open_ones if finding.pk in standing), None)
    return page(
        request,
        "spot.html",
        {
            "here": "boats",
            "spot": held,
            "boat": boat,
            "plan": spot_plan(boat, held, str(now.priority.value) if now is not None else ""),
            "now": now,
            "open_finding": open_ones[0] if open_ones else None,
            "entries": entries,
            "then_and_now": _then_and_now(views),
            "sizes": sizes,
            "chart": _chart(sizes, yard),
            "jobs": list(
                Job.objects.of_yard(yard)
                .filter(operations__finding__spot=held)
                .select_related("inspection")
                .distinct()
                .order_by("-id")
            ),
            "due": due_back_book(yard, boat=held.component.boat).filter(spot=held).first(),
        },
    )


def _chart(sizes: list[EntryView], yard: Yard) -> Chart | None:
    """The sizes over the years, where there are two days of them."""
    known = sorted(
        (timezone.localtime(view.entry.observed_at, yard.zone).date(), view.entry.size_mm)
        for view in sizes
        if view.entry.size_mm is not None
    )
    return chart_of("Size", "mm", known, yard.locale) if len({on for on, _ in known}) > 1 else None


def _then_and_now(entries: list[EntryView]) -> list[tuple[EntryView, Picture]]:
    """The oldest picture that is here and the newest, if they are of different looks."""
    pictured = [(view, picture) for view in entries for picture in view.pictures[:1] if picture.shown]
    if len(pictured) < 2:
        return []
    return [pictured[-1], pictured[0]]


__all__ = ["spot"]
