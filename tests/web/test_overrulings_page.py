"""Where the office judged otherwise, as a page."""

from __future__ import annotations

import pytest

from tests.factories import MemberFactory, OverrulingFactory, TechnicianFactory
from tests.web.visitor import Visitor

pytestmark = pytest.mark.django_db


def test_it_counts_by_condition_and_by_risk_and_tells_the_latest_reasons() -> None:
    overruling = OverrulingFactory.create(reason="I have had <it> under my own eyes.")
    visitor = Visitor(overruling.by)
    page = visitor.page("/overrulings/")
    assert "Rules 1" in page
    assert "1 finding judged, 1 of them otherwise by the office: 0 sooner, 1 later, 0 with" in page
    assert "a way in for water is open" in page
    assert "3 C, medium" in page
    assert "I have had &lt;it&gt; under my own eyes." in page
    assert f"/findings/{overruling.finding_id}/" in page
    assert "/overrulings/" in visitor.page(f"/findings/{overruling.finding_id}/")


def test_with_nothing_judged_it_says_so() -> None:
    assert "Nothing is judged yet." in Visitor(MemberFactory.create()).page("/overrulings/")


def test_it_is_no_business_of_a_technician() -> None:
    technician = Visitor(TechnicianFactory.create())
    assert technician.get("/overrulings/").status_code == 403
