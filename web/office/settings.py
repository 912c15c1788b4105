"""The yard's settings: itself, its days, its money, its seasons and its climate. For managers."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
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
from web.base.overtaken import in_one_go, overtaken, seen_of
from web.base.pages import UNPROCESSABLE, page
from web.office.climate_chart import climate_told
from web.office.settings_forms import ClimateForm, RateForm, SeasonForm, VatForm, WorkingDays, YardSettings
from web.office.settings_overtaken import (
    ALL_MONTHS,
    climate_values,
    refuse_climate_overtaken,
    refuse_row_overtaken,
    values_of,
)
from yard.models import ClimateNormal, HourlyRate, Season, VatClass, Yard
from yard.refusals import Refused
from yard.selectors import today_at
from yard.services.changes import yard_change
from yard.services.deeds import thing_of
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
@in_one_go
def yard_keep(request: MemberRequest) -> HttpResponse:
    held = _held(request)
    form = YardSettings(request.POST, initial=YardSettings.of(held))
    act = partial(_change, request, held, form)
    return _done(request, form, act, _yard, "settings", "The yard's settings are kept.")


@require_POST
@for_managers
@in_one_go
def days_keep(request: MemberRequest) -> HttpResponse:
    held = _held(request)
    form = WorkingDays(request.POST, initial=WorkingDays.of(held))
    act = partial(_change, request, held, form)
    return _done(request, form, act, _yard, "settings", "The working days are kept.")


@require_POST
@for_managers
@in_one_go
def rate_keep(request: MemberRequest) -> HttpResponse:
    held, form = _held(request), RateForm(request.POST)

    def act() -> None:
        row = HourlyRate.objects.of_yard(held).filter(trade=form.cleaned_data["trade"]).first()
        refuse_row_overtaken(form, row, "amount")
        hourly_rate_set(yard=held, by=request.member, at=timezone.now(), **form.entered)

    told = "The rate is kept. Drafts are priced by it; quotes that were sent stay as they were."
    return _done(request, form, act, _money, "settings-money", told)


@require_POST
@for_managers
@in_one_go
def vat_keep(request: MemberRequest) -> HttpResponse:
    held, form = _held(request), VatForm(request.POST)

    def act() -> None:
        row = VatClass.objects.of_yard(held).filter(code=form.cleaned_data["code"]).first()
        refuse_row_overtaken(form, row, "code")
        vat_class_set(yard=held, by=request.member, at=timezone.now(), **form.entered)

    told = "The class is kept. Quotes that were sent stay as they were."
    return _done(request, form, act, _money, "settings-money", told)


@require_POST
@for_managers
@in_one_go
def season_keep(request: MemberRequest) -> HttpResponse:
    held, form = _held(request), SeasonForm(request.POST)

    def act() -> None:
        row = Season.objects.of_yard(held).filter(year=form.cleaned_data["year"]).first()
        refuse_row_overtaken(form, row, "year")
        now = timezone.now()
        season_set(yard=held, by=request.member, at=now, **form.entered)
        ask_to_rejudge(held, at=now)

    return _done(
        request, form, act, _seasons, "settings-seasons", "The season is kept; what hangs on it is judged anew."
    )


@require_POST
@for_managers
@in_one_go
def climate_keep(request: MemberRequest) -> HttpResponse:
    held, form = _held(request), ClimateForm(request.POST)

    def act() -> None:
        refuse_climate_overtaken(form, held)
        now = timezone.now()
        climate_set(yard=held, normals=form.normals, by=request.member, at=now)
        ask_to_rejudge(held, at=now)

    return _done(
        request, form, act, _seasons, "settings-seasons", "The climate is kept; what hangs on it is judged anew."
    )


def _held(request: MemberRequest) -> Yard:
    """The yard, held: whoever changes its settings at the same moment waits."""
    held: Yard = Yard.objects.select_for_update(no_key=True).get(pk=request.member.yard_id)
    return held


def _change(request: MemberRequest, held: Yard, form: YardSettings | WorkingDays) -> None:
    if overtaken(form, yard=held, thing=thing_of(held)):
        return
    now = timezone.now()
    ask_to_rejudge(yard_change(yard=held, changes=form.changes, by=request.member, at=now), at=now)


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
    if form.is_valid():
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
    rates = list(HourlyRate.objects.of_yard(held).order_by("trade"))
    classes = list(VatClass.objects.of_yard(held).prefetch_related("rates"))
    rate = {"trade": "shipwright", "seen": seen_of({row.trade: values_of(row) for row in rates})}
    vat = {"seen": seen_of({row.code: values_of(row) for row in classes})}
    context = {
        "rates": rates,
        "classes": classes,
        "form": form if isinstance(form, RateForm) else RateForm(initial=rate),
        "vat": form if isinstance(form, VatForm) else VatForm(initial=vat),
    }
    return _shown(request, "settings_money.html", form, {"part": "money", **context})


def _seasons(request: MemberRequest, form: YardForm | None = None) -> HttpResponse:
    held = request.member.yard
    normals = list(ClimateNormal.objects.of_yard(held).order_by("month"))
    seasons = list(Season.objects.of_yard(held).order_by("-year"))
    seen = {"seen": seen_of({row.year: values_of(row) for row in seasons})}
    months = climate_values(normals)
    climate = {**ClimateForm.of(normals), "seen": seen_of({} if months is None else {ALL_MONTHS: months})}
    context = {
        "seasons": seasons,
        "form": form if isinstance(form, SeasonForm) else SeasonForm(initial=seen),
        "climate": form if isinstance(form, ClimateForm) else ClimateForm(initial=climate),
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
