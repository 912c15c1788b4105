"""The picking list on the office's page and through the API: the same list, on paper and for a spreadsheet too."""

from __future__ import annotations

import pytest

from tests.web.visitor import Visitor
from tests.workshop.spring import a_spring
from workshop.models import Job

pytestmark = pytest.mark.django_db


def test_the_page_the_api_the_sheet_and_the_spreadsheet_tell_the_same() -> None:
    spring = a_spring(name="Sea Pink")
    spring.finding(spring.component("Window frame"), "REBED_SEALANT")
    spring.propose()
    Job.objects.update(state=Job.State.APPROVED)
    visitor = Visitor(spring.technician)
    page = visitor.page("/picking-list/?week=2027-W17")
    for said in ("Sea Pink", "Sealant", "44 ml", "must be begun", "in 3 weeks", "?week=2027-W16", "?week=2027-W18"):
        assert said in page
    assert "No approved job" in visitor.page("/picking-list/")
    address = "/api/v1/picking-list/"
    told = visitor.get(f"{address}?week=2027-W17").json()
    assert (told["first"], told["last"]) == ("2027-04-26", "2027-05-02")
    assert [(one["code"], one["quantity"]) for one in told["materials"]] == [("sealant", "44.00")]
    assert told["jobs"][0]["begin_by"] == told["jobs"][0]["due_on"] == "2027-04-30"
    for kind, content in (("csv/", "text/csv; charset=utf-8"), ("sheet/", "application/pdf")):
        assert f'href="{address}{kind}?week=2027-W17"' in page
        assert visitor.get(f"{address}{kind}?week=2027-W17")["Content-Type"] == content


@pytest.mark.parametrize("week", ["2027-W54", "next", "2027-W00", "0001-W1", "9999-W52", "%00"])
def test_what_is_no_week_is_refused_by_name(week: str) -> None:
    visitor = Visitor(a_spring().technician)
    answer = visitor.get(f"/picking-list/?week={week}")
    assert answer.status_code == 422
    assert b"is no week" in answer.content
    refused = visitor.get(f"/api/v1/picking-list/?week={week}")
    assert refused.status_code in (400, 422)
    assert "week" in refused.content.decode()


def test_the_ends_of_the_calendar_are_weeks_too() -> None:
    visitor = Visitor(a_spring().technician)
    assert "9999-W51" in visitor.page("/picking-list/?week=9999-W51")
    assert "0001-W01" in visitor.page("/picking-list/?week=0001-W01")
