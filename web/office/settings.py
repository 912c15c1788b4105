"""The yard's settings: itself, its days, its money, its seasons and its climate. For managers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inspections.selectors.air import month_climates_of
from inspections.services.asking import ask_to_rejudge
from web.base.forms import YardForm
from web.base.members import MemberRequest, for_managers
from web.base.pages import UNPROCESSABLE, page
from web.office.climate_chart import climate_told
from web.office.settings_forms import ClimateForm, RateForm, SeasonForm, VatForm, WorkingDays, YardSettings
from yard.models import ClimateNormal, HourlyRate, Season, VatClass, Yard
from yard.refusals import Refused
from yard.selectors import today_at
from yard.services.changes import yard_change
from yard.services.vat import vat_class_set
from yard.services.yards import climate_set, hourly_rate_set, season_set
from yard.working_days import public_holidays


@require_safe
@for_managers
def yard(request: MemberRequest) -> HttpResponse:
    """The yard itself and its days."""
    return _yard(request)


@require_safe
@for_managers
def money(request: MemberRequest) -> HttpResponse:
    """What an hour costs, and the classes of VAT."""
    return _money(request)


@require_safe
@for_managers
def seasons(request: MemberRequest) -> HttpResponse:
    """When boats go in and come out, and what the weather is like."""
    return _seasons(request)


@require_POST
@for_managers
def yard_keep(request: MemberRequest) -> HttpResponse:
    form = YardSettings(request.POST)
    return _done(
        request, form, lambda: _change(request, form.changes), _yard, "settings", "The yard's settings are kept."
    )


@require_POST
@for_managers
def days_keep(request: MemberRequest) -> HttpResponse:
    form = WorkingDays(request.POST)
    return _done(
        request, form, lambda: _change(request, form.changes), _yard, "settings", "The working days are kept."
    )


@require_POST
@for_managers
def rate_keep(request: MemberRequest) -> HttpResponse:
    form = RateForm(request.POST)
    told = "The rate is kept. Drafts are priced by it; quotes that were sent stay as they were."
    act = lambda: hourly_rate_set(  # noqa: E731
        yard=request.member.yard, by=request.member, at=timezone.now(), **form.cleaned_data
    )
    return _done(request, form, act, _money, "settings-money", told)


@require_POST
@for_managers
def vat_keep(request: MemberRequest) -> HttpResponse:
    form = VatForm(request.POST)
    told = "The class is kept. Quotes that were sent stay as they were."
    act = lambda: vat_class_set(  # noqa: E731
        yard=request.member.yard, by=request.member, at=timezone.now(), **form.cleaned_data
    )
    return _done(request, form, act, _money, "settings-money", told)


@require_POST
@for_managers
def season_keep(request: MemberRequest) -> HttpResponse:
    form = SeasonForm(request.POST)

    def act() -> None:
        now = timezone.now()
        season_set(yard=request.member.yard, by=request.member, at=now, **form.cleaned_data)
        ask_to_rejudge(request.member.yard, at=now)

    return _done(
        request, form, act, _seasons, "settings-seasons", "The season is kept; what hangs on it is judged anew."
    )


@require_POST
@for_managers
def climate_keep(request: MemberRequest) -> HttpResponse:
    form = ClimateForm(request.POST)

    def act() -> None:
        now = timezone.now()
        climate_set(yard=request.member.yard, normals=form.normals, by=request.member, at=now)
        ask_to_rejudge(request.member.yard, at=now)

    return _done(
        request, form, act, _seasons, "settings-seasons", "The climate is kept; what hangs on it is judged anew."
    )


def _change(request: MemberRequest, changes: dict[str, Any]) -> None:
    held = Yard.objects.select_for_update().get(pk=request.member.yard_id)
    now = timezone.now()
    ask_to_rejudge(yard_change(yard=held, changes=changes, by=request.member, at=now), at=now)


def _done(
    request: MemberRequest,
    form: YardForm,
    act: Callable[[], object],
    shown: Callable[..., HttpResponse],
    leads_to: str,
    told: str,
) -> HttpResponse:
    """Do it and lead on; or show the page again with what was typed and why it was refused."""
    if form.is_valid():
        try:
            with transaction.atomic():
                act()
        except Refused as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, told)
            return HttpResponseRedirect(reverse(f"web:{leads_to}"))
    return shown(request, form)


def _shown(request: MemberRequest, template: str, form: YardForm | None, context: dict[str, Any]) -> HttpResponse:
    status = 200 if form is None else UNPROCESSABLE
    return page(request, template, {"here": "settings", "refused_form": form, **context}, status=status)


def _yard(request: MemberRequest, form: YardForm | None = None) -> HttpResponse:
    held = request.member.yard
    year = today_at(held, timezone.now()).year
    context = {
        "form": form if isinstance(form, YardSettings) else YardSettings(initial=YardSettings.of(held)),
        "days": form if isinstance(form, WorkingDays) else WorkingDays(initial=WorkingDays.of(held)),
        "holidays": sorted(public_holidays(held.holiday_country, held.holiday_subdivision, year)),
        "year": year,
    }
    return _shown(request, "settings.html", form, {"part": "yard", **context})


def _money(request: MemberRequest, form: YardForm | None = None) -> HttpResponse:
    held = request.member.yard
    context = {
        "rates": list(HourlyRate.objects.of_yard(held).order_by("trade")),
        "classes": list(VatClass.objects.of_yard(held).prefetch_related("rates")),
        "form": form if isinstance(form, RateForm) else RateForm(initial={"trade": "shipwright"}),
        "vat": form if isinstance(form, VatForm) else VatForm(),
    }
    return _shown(request, "settings_money.html", form, {"part": "money", **context})


def _seasons(request: MemberRequest, form: YardForm | None = None) -> HttpResponse:
    held = request.member.yard
    normals = list(ClimateNormal.objects.of_yard(held).order_by("month"))
    context = {
        "seasons": list(Season.objects.of_yard(held).order_by("-year")),
        "form": form if isinstance(form, SeasonForm) else SeasonForm(),
        "climate": form if isinstance(form, ClimateForm) else ClimateForm(initial=ClimateForm.of(normals)),
        "told": climate_told(month_climates_of(held)) if normals else None,
    }
    return _shown(request, "settings_seasons.html", form, {"part": "seasons", **context})


__all__ = [
    "climate_keep",
    "days_keep",
    "money",
    "rate_keep",
    "season_keep",
    "seasons",
    "vat_keep",
    "yard",
    "yard_keep",
]
