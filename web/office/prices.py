"""The yard's price list: what materials cost, in what sizes they are bought, their class of VAT. For managers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpResponse, HttpResponseRedirect, QueryDict
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from web.base import downloads
from web.base.asking import query_without, row_asked, text_asked, word_asked
from web.base.members import MemberRequest, for_managers, row_of
from web.base.overtaken import REMEDY, holding, in_one_go, seen_of
from web.base.pages import UNPROCESSABLE, page
from web.office.prices_forms import MaterialForm, PackForms, packs_of, price_refuse
from workshop.models import Material
from workshop.services.materials import material_change
from yard.models import VatClass, Yard
from yard.refusals import Refused
from yard.selectors import who_changed
from yard.services.deeds import thing_of
from yard.words import with_words

LINES_A_PAGE: Final = 100
HEAD: Final = ("code", "material", "unit", "net_price_per_unit", "waste_pct", "charged_by", "vat_class", "packs")
ORDERS: Final = {"name": ("by name", ("name", "pk")), "price": ("the dearest unit first", ("-unit_price", "name"))}


@require_safe
@for_managers
def prices(request: MemberRequest) -> HttpResponse:
    """Every material; the address narrows and sorts them."""
    yard, given = request.member.yard, request.GET
    classes = _classes(yard)
    return page(
        request,
        "prices.html",
        {
            "here": "settings",
            "part": "prices",
            "sheet": Paginator(_asked_for(yard, given, classes), LINES_A_PAGE).get_page(given.get("page")),
            "text": text_asked(given),
            "classes": classes,
            "of_class": row_asked(given, "vat", classes),
            "order": word_asked(given, "order", ORDERS, "name"),
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
            "query": query_without(given, "page"),
        },
    )


@require_safe
@for_managers
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the list shows, for a spreadsheet."""
    yard = request.member.yard
    rows = (
        (
            each.code,
            each.name,
            each.unit,
            f"{each.unit_price.normalize():f}",
            f"{each.waste_pct.normalize():f}",
            each.charged_by,
            "" if each.vat_class is None else each.vat_class.code,
            "; ".join(f"{pack} at {pack.price:f}" for pack in each.packs.all()),
        )
        for each in _asked_for(yard, request.GET, _classes(yard))
    )
    return downloads.spreadsheet(HEAD, rows, "price-list.csv")


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
@in_one_go
def material(request: MemberRequest, pk: int) -> HttpResponse:
    """One material: its price, its packs, how it is charged."""
    held = _material_of(request, pk)
    given = request.POST if request.method == "POST" else None
    form = MaterialForm(given, initial=_shown(held), classes=_classes(held.yard))
    packs = PackForms(given, initial=[_pack_shown(pack) for pack in held.packs.all()], prefix="packs")
    if given is not None and all([form.is_valid(), packs.is_valid()]):
        try:
            if form.overtaken(held.pk, _values(held)):
                who = who_changed(held.yard, thing_of(held)) or "somebody else"
                raise Refused("material", f"was changed by {who} since this page was opened: {_told(held)}", REMEDY)
            changes = {**form.entered, "packs": packs_of(packs)}
            material_change(material=held, changes=changes, by=request.member, at=timezone.now())
        except Refused as refusal:
            price_refuse(form, packs, refusal)
        else:
            messages.success(
                request, f"{held.name} is kept. Drafts are priced by it; quotes that were sent stay as they were."
            )
            return HttpResponseRedirect(reverse("web:prices"))
    refused = form.is_bound and not (form.is_valid() and packs.is_valid())
    context = {"here": "settings", "part": "prices", "material": held, "form": form, "packs": packs}
    return page(request, "price.html", context, status=UNPROCESSABLE if refused else 200)


def _material_of(request: MemberRequest, pk: int) -> Material:
    rows = holding(
        Material.objects.select_related("yard", "vat_class").prefetch_related("packs__material"), request
    )
    return row_of(rows, request.member, pk)


def _classes(yard: Yard) -> list[VatClass]:
    return list(VatClass.objects.of_yard(yard).order_by("name", "pk"))


def _asked_for(yard: Yard, given: QueryDict, classes: list[VatClass]) -> QuerySet[Material]:
    every: QuerySet[Material] = Material.objects.of_yard(yard).select_related("vat_class")
    rows = with_words(every.prefetch_related("packs__material"), text_asked(given), ("name", "code"))
    if (of_class := row_asked(given, "vat", classes)) is not None:
        rows = rows.filter(vat_class=of_class)
    return rows.order_by(*ORDERS[word_asked(given, "order", ORDERS, "name")][1])


def _shown(held: Material) -> dict[str, Any]:
    return {
        "unit_price": f"{held.unit_price.normalize():f}",
        "charged_by": held.charged_by,
        "vat_class": held.vat_class_id or "",
        "seen": seen_of({held.pk: _values(held)}),
    }


def _pack_shown(pack: Any) -> dict[str, str]:
    return {
        "name": pack.name,
        "plural": pack.plural,
        "size": f"{pack.size.normalize():f}",
        "price": f"{pack.price:f}",
    }


def _values(held: Material) -> list[object]:
    return [f"{held.unit_price:f}", held.charged_by, held.vat_class_id, *map(_pack_shown, held.packs.all())]


def _told(held: Material) -> str:
    """What stands on the list now, in words."""
    return ", ".join(_words(held))


def _words(held: Material) -> Iterator[str]:
    yield f"{held.unit_price.normalize():f} {held.yard.currency} per {held.unit}"
    yield f"charged by {held.get_charged_by_display()}"
    if held.vat_class is not None:
        yield held.vat_class.name
    for pack in held.packs.all():
        yield f"{pack} at {pack.price:f}"


__all__ = ["material", "prices", "spreadsheet"]
