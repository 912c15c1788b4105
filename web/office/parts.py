"""The parts of a boat: entered from the stock list of her build, changed, taken off."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect, QueryDict
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from inspections.services.asking import ask_to_rejudge
from web.base.forms import sentence
from web.base.members import MemberRequest, for_managers, row_of
from web.base.overtaken import holding, in_one_go, overtaken
from web.base.pages import UNPROCESSABLE, page
from web.office.boat import boat_of
from web.office.boat_forms import PartForm
from yard.models import Boat, Component, ComponentClass
from yard.refusals import Refused
from yard.services.boats import component_remove
from yard.services.changes import component_change
from yard.services.deeds import thing_of
from yard.services.fleet import NewPart, parts_add
from yard.stock_parts import stock_list


@dataclass(frozen=True, slots=True)
class StockLine:
    """A class of the stock list, with what was typed beside it and what was refused of it."""

    part: ComponentClass
    ticked: bool
    name: str
    where: str
    there: Sequence[str]
    refused: Sequence[str]

    @property
    def key(self) -> str:
        return f"part-{self.part.pk}"


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def add(request: MemberRequest, pk: int) -> HttpResponse:
    """Tick what she has; several places in one line make several parts."""
    boat = boat_of(request, pk)
    classes = list(ComponentClass.objects.of_yard(boat.yard_id).order_by("group", "name"))
    refused: Refused | None = None
    if request.method == "POST":
        try:
            added = parts_add(boat=boat, parts=list(_ticked(classes, request.POST)))
        except Refused as refusal:
            refused = refusal
        else:
            messages.success(request, f"{len(added)} part{'s are' if len(added) > 1 else ' is'} entered.")
            return HttpResponseRedirect(f"{reverse('web:boat', args=[boat.pk])}#parts")
    usual, others = stock_list(classes, boat.build)
    return page(
        request,
        "parts_add.html",
        {
            "here": "boats",
            "boat": boat,
            "usual": _by_group(usual, boat, request.POST, refused),
            "others": _by_group(others, boat, request.POST, refused),
            # what is said of all of them; what is said of one stands in its line
            "number_refused": refused if refused is not None and refused.field == "parts" else None,
        },
        status=200 if refused is None else UNPROCESSABLE,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
@in_one_go
def part(request: MemberRequest, pk: int) -> HttpResponse:
    """What is known of one part."""
    held = _part_of(request, pk)
    shown = {name: getattr(held, name) for name in PartForm.base_fields}
    form = PartForm(request.POST if request.method == "POST" else None, initial=shown)
    if form.is_bound and form.is_valid() and not overtaken(form, yard=held.yard, thing=thing_of(held)):
        try:
            now = timezone.now()
            component_change(component=held, changes=form.changed, by=request.member, at=now)
            ask_to_rejudge(held.yard, at=now)  # its wood may be another than was thought
        except Refused as refusal:
            form.refuse(refusal)
            held = _part_of(request, pk)  # as it is, whatever was tried
        else:
            messages.success(request, f"{held} is changed.")
            return HttpResponseRedirect(f"{reverse('web:boat', args=[held.boat_id])}#parts")
    status = UNPROCESSABLE if form.errors else 200
    return page(
        request, "part.html", {"here": "boats", "part": held, "boat": held.boat, "form": form}, status=status
    )


@require_POST
@for_managers
@in_one_go
def remove(request: MemberRequest, pk: int) -> HttpResponse:
    """She has it no longer; what was recorded of it stays."""
    held = component_remove(component=_part_of(request, pk), by=request.member, at=timezone.now())
    messages.success(request, f"{held} is noted as taken off. What was recorded of it stays.")
    return HttpResponseRedirect(f"{reverse('web:boat', args=[held.boat_id])}#parts")


def _part_of(request: MemberRequest, pk: int) -> Component:
    rows = Component.objects.select_related("boat", "component_class", "yard")
    return row_of(holding(rows, request), request.member, pk)


def _ticked(classes: Sequence[ComponentClass], given: QueryDict) -> Iterator[NewPart]:
    for each in classes:
        key = f"part-{each.pk}"
        if key in given:
            places = [place.strip() for place in given.get(f"{key}-where", "").split(";")]
            for place in [place for place in places if place] or [""]:
                yield NewPart(key, each, given.get(f"{key}-name", "") or each.name, place)


def _by_group(
    classes: Sequence[ComponentClass], boat: Boat, given: QueryDict, refused: Refused | None
) -> list[tuple[str, list[StockLine]]]:
    there: dict[int, list[str]] = {}
    for fitted in Component.objects.filter(boat=boat, removed_on=None).order_by("name", "position"):
        there.setdefault(fitted.component_class_id, []).append(str(fitted))
    lines = []
    for each in classes:
        key = f"part-{each.pk}"
        said = () if refused is None else refused.refusals
        lines.append(
            StockLine(
                part=each,
                ticked=key in given,
                name=given.get(f"{key}-name", each.name),
                where=given.get(f"{key}-where", ""),
                there=there.get(each.pk, ()),
                refused=[sentence(single) for single in said if single.field.startswith(f"{key}.")],
            )
        )
    return [(group, list(those)) for group, those in groupby(lines, key=lambda line: line.part.group)]


__all__ = ["add", "part", "remove"]
