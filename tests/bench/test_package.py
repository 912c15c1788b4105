"""A boat's package with 300 checks against one with 60: bytes, and the first reading worked out anew and kept."""

from __future__ import annotations

import gzip
import json
import time
from functools import partial
from itertools import cycle
from typing import Any

import pytest
import time_machine
from django.core.cache import cache

from inspections.models import Inspection, TemplateVersion
from inspections.services.inspections import inspection_open
from tests.api.callers import Caller
from tests.bench.measuring import in_turns, ratio, report
from tests.conftest import SPRING
from tests.factories import BoatFactory, MemberFactory, YardFactory
from tests.queries import queries_of
from workshop.services.new_yard import catalogue_load
from yard.models import Component, Yard

pytestmark = [pytest.mark.bench, pytest.mark.django_db]

FEW, MANY = 60, 300


def boat_of(yard: Yard, checks: int) -> Inspection:
    """A boat of the stock catalogue, part after part until her templates ask so many things, or just over."""
    boat = BoatFactory.create(yard=yard, name=f"{checks} checks")
    asked = {
        version.template.component_class: len(version.checks)
        for version in TemplateVersion.objects.filter(yard=yard, published_at__isnull=False)
        .select_related("template__component_class")
        .order_by("template__component_class__code", "number")
    }
    kinds, total = cycle(asked.items()), 0
    while total < checks:
        kind, more = next(kinds)
        Component.objects.create(yard=yard, boat=boat, component_class=kind, name=f"{kind.name} {total}")
        total += more
    return inspection_open(boat=boat, season_year=2027, at=SPRING, by=None)


def test_a_package_of_many_checks_against_one_of_few() -> None:
    with time_machine.travel(SPRING, tick=True):
        yard = YardFactory.create()
        catalogue_load(yard=yard, at=SPRING)
        caller = Caller(MemberFactory.create(yard=yard))
        facts: dict[str, Any] = {}
        fetch = {}
        for checks in (FEW, MANY):
            inspection = boat_of(yard, checks)
            fetch[checks] = partial(caller.get, f"inspections/{inspection.pk}/package/")
            cache.clear()
            start = time.perf_counter()
            answer = fetch[checks]()
            facts[f"{checks}: seconds with the table worked out anew"] = round(time.perf_counter() - start, 2)
            document = answer.json()
            facts[f"{checks}: checks"] = len(document["checks"])
            facts[f"{checks}: circumstances"] = len(document["first_reading"]["groups"])
            facts[f"{checks}: KB"] = round(len(answer.content) / 1024, 1)
            facts[f"{checks}: KB compressed"] = round(len(gzip.compress(answer.content)) / 1024, 1)
            packed = json.dumps(document["first_reading"], separators=(",", ":")).encode()
            facts[f"{checks}: KB of the table, compressed"] = round(len(gzip.compress(packed)) / 1024, 1)
            facts[f"{checks}: queries"] = len(queries_of(fetch[checks]))
        seconds = in_turns({f"{checks} checks": once for checks, once in fetch.items()}, rounds=5, warm_up=1)
    report(
        "package",
        seconds,
        [ratio("the package", seconds, of=f"{MANY} checks", to=f"{FEW} checks")],
        facts=facts,
    )
