"""What the hours say: the catalogue's figures beside the yard's own work logs, and taking these over."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inspections.learning import MINIMUM_OBSERVATIONS
from web.base import downloads
from web.base.forms import TextField, YardForm
from web.base.members import MemberRequest, for_managers, row_of
from web.base.pages import UNPROCESSABLE, page
from web.office.learned_hours_asked import ORDERS, STANDS, asked_of
from workshop.estimating.hours import CEILING_PROBABILITY, MOST_HOURS, ThreePoint
from workshop.models import Treatment
from workshop.selectors.learned_hours import TreatmentHours, learned_hours_of
from workshop.services.hours_adopted import REASON_LENGTH, hours_adopt
from yard.models import Yard
from yard.refusals import Refused

CENT: Final = Decimal("0.01")
LINES_A_PAGE: Final = 100
HEAD: Final = (
    "treatment", "name", "unit", "stands_low", "stands_likely", "stands_high", "stands_median", "stands_p80",
    "jobs", "jobs_alone", "drawn_in", "told_median", "told_p80", "adopted_at", "adopted_by", "why",
)  # fmt: skip


def _hidden() -> forms.DecimalField:
    return forms.DecimalField(
        min_value=0, max_value=MOST_HOURS, max_digits=7, decimal_places=2, widget=forms.HiddenInput
    )


class AdoptForm(YardForm):
    """The figures that were on the page, and the reason."""

    low = _hidden()
    likely = _hidden()
    high = _hidden()
    why = TextField(label="Reason", max_length=REASON_LENGTH, help_text="Kept with the figures before and after.")


@dataclass(frozen=True, slots=True)
class HoursLine:
    """A treatment in figures that are read, with a form where there is something to adopt."""

    said: TreatmentHours
    catalogue_median: Decimal
    catalogue_p80: Decimal
    median: Decimal
    p80: Decimal
    form: AdoptForm | None


@require_safe
@for_managers
def learned_hours(request: MemberRequest) -> HttpResponse:
    """The treatments with done jobs behind them; the address narrows and sorts them."""
    return _shown(request)


@require_safe
@for_managers
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the address asks for, as CSV."""
    yard = request.member.yard
    rows = asked_of(request.GET).rows(learned_hours_of(yard))
    return downloads.spreadsheet(HEAD, (_cells(_line(said, {}), yard) for said in rows), "learned-hours.csv")


@require_POST
@for_managers
def adopt(request: MemberRequest, pk: int) -> HttpResponse:
    """Estimate a treatment by the yard's own hours from now on."""
    treatment = row_of(Treatment.objects.all(), request.member, pk)
    form = AdoptForm(request.POST, auto_id=f"adopt-{pk}-%s")
    if form.is_valid():
        given = form.cleaned_data
        try:
            hours = ThreePoint(given["low"], given["likely"], given["high"])
            hours_adopt(treatment=treatment, by=request.member, hours=hours, why=given["why"], at=timezone.now())
        except Refused as refusal:
            return _shown(request, refused=refusal)
        messages.success(request, f"{treatment.name} is estimated by your own hours from now on.")
        return HttpResponseRedirect(reverse("web:learned-hours"))
    if set(form.errors) != {"why"}:  # the figures are carried by the page, and nobody can mend them by hand
        return _shown(request, refused=Refused("hours", "are missing or no numbers", "look at the page again"))
    return _shown(request, given={pk: form}, status=UNPROCESSABLE)


def _shown(
    request: MemberRequest,
    *,
    given: dict[int, AdoptForm] | None = None,
    refused: Refused | None = None,
    status: int = 200,
) -> HttpResponse:
    told = learned_hours_of(request.member.yard)
    asked = asked_of(request.GET)
    sheet = Paginator(asked.rows(told), LINES_A_PAGE).get_page(request.GET.get("page"))
    return page(
        request,
        "learned_hours.html",
        {
            "here": "settings",
            "least": MINIMUM_OBSERVATIONS,
            "any": bool(told),
            "asked": asked,
            "sheet": sheet,
            "lines": [_line(said, given or {}) for said in sheet],
            "stands": [(key, words) for key, (words, _) in STANDS.items()],
            "orders": [(key, words) for key, (words, _) in ORDERS.items()],
        },
        refused=refused,
        status=status,
    )


def _cells(line: HoursLine, yard: Yard) -> tuple[str, ...]:
    treatment, told, adopted = line.said.treatment, line.said.told, line.said.adopted
    stands = line.said.stands
    return (
        treatment.code,
        treatment.name,
        treatment.unit,
        *map(str, (stands.low, stands.likely, stands.high, line.catalogue_median, line.catalogue_p80)),
        *map(str, (told.learned.records, told.alone, told.learned.drawn_in, line.median, line.p80)),
        "" if adopted is None else downloads.moment_cell(adopted.adopted_at, yard),
        "" if adopted is None else adopted.adopted_by.name,
        "" if adopted is None else adopted.why,
    )


def _line(said: TreatmentHours, given: dict[int, AdoptForm]) -> HoursLine:
    key, proposed = said.treatment.pk, said.told.proposed
    form = None
    if said.adoptable and proposed is not None:
        form = given.get(key) or AdoptForm(
            auto_id=f"adopt-{key}-%s",
            initial={"low": proposed.low, "likely": proposed.likely, "high": proposed.high},
        )
    return HoursLine(
        said=said,
        catalogue_median=_read(said.stands.quantile(0.5)),
        catalogue_p80=_read(said.stands.quantile(CEILING_PROBABILITY)),
        median=_read(said.told.median_hours),
        p80=_read(said.told.p80_hours),
        form=form,
    )


def _read(hours: float) -> Decimal:
    return Decimal(hours).quantize(CENT)


__all__ = ["adopt", "learned_hours", "spreadsheet"]
