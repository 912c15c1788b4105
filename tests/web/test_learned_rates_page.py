"""What the yard's own rechecks say, as a page."""

from __future__ import annotations

import re

import pytest
from django.core.cache import cache

from inspections.judgement.rechecks import steps_told_by_looks
from inspections.judgement.rules import load_rules
from tests.factories import MemberFactory, TechnicianFactory
from tests.inspections.test_rechecks import History
from tests.queries import queries_of
from tests.web.visitor import Visitor

pytestmark = pytest.mark.django_db

PAGE = "/learned-rates/"


def rows_of(page: str, step: str) -> list[str]:
    """The two rows of a step, as text with blanks drawn together."""
    body = next(part for part in page.split("<tbody")[1:] if f">{step}</th>" in part)
    rows = body.split("</tbody>")[0].split("<tr")[2:]
    return [" ".join(re.sub("<[^>]+>", " ", row.partition(">")[2]).split()) for row in rows]


def test_a_yard_without_rechecks_sees_the_table(db: None) -> None:
    page = Visitor(MemberFactory.create()).page(PAGE)
    assert page.count('<th role="rowheader" scope="row">') == 2 * len(steps_told_by_looks(load_rules()))
    for row in rows_of(page, "Decay starts"):
        assert "By the table 0.3 Rechecks 0 Went on 0 in 0 years at risk" in row
        assert "Reckoned with 0.3, the table's 0 of 10 rechecks" in row
    assert "the table's rate stands: decay spreads, decayed part breaks, leak runs." in page
    assert "the yard's own</strong>" not in page


def test_nine_rechecks_are_shown_and_the_tenth_is_applied() -> None:
    history = History()
    history.rechecked("water_way_open", "water_in", 9)
    wet, dry = rows_of(Visitor(history.manager).page(PAGE), "Water enters")
    assert wet.startswith("Water reaches it By the table 1.5 Rechecks 9 Went on 9 in")
    assert "Reckoned with 1.5, the table's 9 of 10 rechecks" in wet
    other = History()
    other.rechecked("water_way_open", "water_in", 10)
    wet, dry = rows_of(Visitor(other.manager).page(PAGE), "Water enters")
    assert re.search(r"Rechecks 10 Went on 10 in [\d.]+ years at risk", wet)
    applied = re.search(
        r"By the table and the rechecks ([\d.]+) ([\d.]+) to ([\d.]+) Reckoned with ([\d.]+), the", wet
    )
    assert applied is not None
    posterior, low, high, in_use = map(float, applied.groups())
    assert low < posterior < high
    assert in_use == posterior > 1.5
    assert wet.endswith("the yard's own")
    assert "Reckoned with 1.5, the table's 0 of 10 rechecks" in dry


def test_wet_and_dry_counted_together_say_so() -> None:
    history = History()
    history.rechecked("water_way_open", "water_way_open", 12)
    for row, here in zip(rows_of(Visitor(history.manager).page(PAGE), "Water enters"), (12, 0), strict=True):
        assert f"Rechecks 12 {here} of them here" in row
        assert "wet and dry places together, because more water never lowers a risk" in row


def test_it_asks_the_same_for_any_number_of_rechecks() -> None:
    history = History()
    visitor = Visitor(history.manager)
    asked = []
    for more in (2, 12):
        history.rechecked("water_way_open", "water_in", more)
        cache.clear()  # as on another day
        asked.append(len(queries_of(lambda: visitor.page(PAGE))))
    assert asked[0] == asked[1]


def test_managers_find_it_beside_the_overrulings_and_technicians_do_not_get_it() -> None:
    manager = MemberFactory.create()
    assert f'href="{PAGE}"' in Visitor(manager).page("/overrulings/")
    technician = Visitor(TechnicianFactory.create(yard=manager.yard))
    assert technician.get(PAGE).status_code == 403
