"""The figures that the yard judges by: the stock ones, its own, and what its own would change before they hold."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from math import isfinite
from typing import Any, Final

from django.contrib import messages
from django.db import transaction
from django.db.models import Max
from django.http import HttpResponse, HttpResponseRedirect, QueryDict
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from inspections.judgement.rules.figure_words import figure_words, table_words, whole_words
from inspections.judgement.rules.own_figures import own_figures, source_of, stock_figures, with_figures
from inspections.judgement.rules.reading import plain
from inspections.models import Inspection, RuleEdition
from inspections.selectors.rules import standing_edition
from inspections.services.rule_editions import rules_adopt
from inspections.services.rule_effect import RuleEffect, effect_of_rules
from web.base.forms import sentence
from web.base.members import MemberRequest, for_managers
from web.base.pages import UNPROCESSABLE, page
from yard.models import Yard
from yard.refusals import Refused, RefusedMany
from yard.selectors import today_at

MOVED_SHOWN: Final = 60
EDITIONS_SHOWN: Final = 20


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure with what stands in its field."""

    name: str
    stock: float | None
    value: str
    is_own: bool
    source: str
    refused: str

    @property
    def table(self) -> str:
        return table_words(self.name)

    @property
    def told(self) -> str:
        """Its name in words, without the table."""
        return figure_words(self.name)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def rules(request: MemberRequest) -> HttpResponse:
    """Show the figures; on the way to others, first show what they would have changed."""
    yard, now = request.member.yard, timezone.now()
    standing = standing_edition(yard)
    own = {} if standing is None else standing.overrides
    effect: RuleEffect | None = None
    overrides: Mapping[str, Any] = own
    refused: Refused | None = None
    if request.method == "POST":
        try:
            overrides = with_figures(own, _typed(request.POST, own))
            effect = effect_of_rules(yard=yard, overrides=overrides, season_year=_year_shown(yard), at=now)
            if request.POST.get("do") == "adopt":
                _adopt(request, overrides)
                messages.success(request, "The yard judges by these from now on.")
                return HttpResponseRedirect(reverse("web:settings-rules"))
        except Refused as refusal:
            refused = refusal
    return page(
        request,
        "settings_rules.html",
        {
            "here": "settings",
            "part": "rules",
            "tables": _tables(own, request.POST if request.method == "POST" else None, refused),
            "effect": effect,
            "moved": () if effect is None else effect.moved[:MOVED_SHOWN],
            "more": 0 if effect is None else max(0, len(effect.moved) - MOVED_SHOWN),
            "seen": digest(overrides, standing),
            "differs": overrides != own,
            "why": request.POST.get("why", ""),
            "editions": RuleEdition.objects.of_yard(yard).select_related("adopted_by")[:EDITIONS_SHOWN],
            "other_words": with_figures(own, {}),
        },
        refused=None if refused is None else _in_words(refused),
        status=200 if refused is None else UNPROCESSABLE,
    )


def _adopt(request: MemberRequest, overrides: Mapping[str, Any]) -> None:
    """Adopt the figures if they are those that were tried, and nobody has adopted others meanwhile."""
    given, by = request.POST, request.member
    with transaction.atomic():
        # Working out the effect takes its time; from here on nobody else adopts.
        yard: Yard = Yard.objects.select_for_update(no_key=True).get(pk=by.yard_id)
        if given.get("seen") != digest(overrides, standing_edition(yard)):
            problem = "are not those that were tried, or others hold by now"
            raise Refused("figures", problem, "look at the effect first")
        rules_adopt(yard=yard, by=by, overrides=overrides, why=given.get("why", ""), at=timezone.now())


def digest(overrides: Mapping[str, Any], standing: RuleEdition | None) -> str:
    """Tells whether the figures that are adopted, and those they take the place of, are as the effect was shown."""
    told = [overrides, None if standing is None else standing.pk]
    return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()


def _typed(given: QueryDict, own: Mapping[str, Any]) -> dict[str, float]:
    """The figures as typed; an empty field means the stock one."""
    stock = stock_figures()
    typed: dict[str, float] = {}
    wrong: list[Refused] = []
    for name in (*stock, *(name for name in own_figures(own) if name not in stock)):
        text = given.get(f"figure-{name}", "").strip().replace(",", ".")
        if not text:
            continue
        try:
            typed[name] = float(text)
            if not isfinite(typed[name]):
                raise ValueError
        except ValueError:
            wrong.append(
                Refused(name, f"is no figure: {text[:20]}", "give one like 0.25, or nothing for the stock figure")
            )
    if wrong:
        raise RefusedMany(wrong)
    return typed


def _in_words(refused: Refused) -> Refused:
    """The same refusals, of what the page calls the figures and tables."""
    return RefusedMany(Refused(whole_words(one.field), one.problem, one.remedy) for one in refused.refusals)


def _tables(
    own: Mapping[str, Any], given: QueryDict | None, refused: Refused | None
) -> list[tuple[str, list[Figure], bool, bool]]:
    """Each table with its figures, whether one of them is the yard's own, and whether one was refused."""
    stock, held = stock_figures(), own_figures(own)
    said = {} if refused is None else {one.field.removeprefix("rules."): one for one in refused.refusals}
    shut = {table_words(name) for name in said}
    lines = []
    for name in (*stock, *(name for name in held if name not in stock)):
        value = plain(held[name]) if name in held else ""
        if given is not None:
            value = given.get(f"figure-{name}", "")
        why = sentence(said[name]) if name in said else ""
        lines.append(Figure(name, stock.get(name), value, bool(value.strip()), source_of(name), why))
    tables = [(table, list(those)) for table, those in groupby(lines, key=lambda line: line.table)]
    return [(table, those, any(line.is_own for line in those), table in shut) for table, those in tables]


def _year_shown(yard: Yard) -> int:
    """Last year's season where it has an inspection; otherwise the newest that has one, or this year."""
    this = today_at(yard, timezone.now()).year
    years = Inspection.objects.of_yard(yard)
    last = years.filter(season_year__lt=this).aggregate(year=Max("season_year"))["year"]
    return int(last or years.aggregate(year=Max("season_year"))["year"] or this)


__all__ = ["rules"]
