"""What the hours say, as a page."""

from __future__ import annotations

import re

import pytest

from tests.queries import assert_same_queries
from tests.web.visitor import Visitor
from tests.workshop.booked import Booked
from tests.workshop.spring import a_spring
from workshop.models import HoursAdopted, Job, Treatment

pytestmark = pytest.mark.django_db

PAGE = "/learned-hours/"


def jobs(number: int, hours: str = "3.80") -> tuple[Booked, Visitor]:
    booked = Booked()
    for _ in range(number):
        booked.done(hours)
    return booked, Visitor(booked.spring.manager)


def text_of(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def figures_of(page: str) -> dict[str, str]:
    """The hidden figures of the form."""
    return {name: re.search(rf'name="{name}" value="([\d.]+)"', page)[1] for name in ("low", "likely", "high")}  # type: ignore[index]


def test_before_any_job_is_done_it_says_so() -> None:
    page = Visitor(a_spring().manager).page(PAGE)
    assert "No job with hours booked on it is done yet." in page


def test_nine_jobs_are_shown_and_can_t_be_adopted() -> None:
    booked, visitor = jobs(9)
    page = visitor.page(PAGE)
    assert "Rebed in sealant for one fitting By the catalogue 1.63 1.98 four times out of five Jobs 9" in text_of(
        page
    )
    assert "The catalogue's 9 of 10 jobs" in text_of(page)
    assert "/adopt/" not in page
    address = f"{PAGE}{booked.treatment().pk}/adopt/"
    told = visitor.refused(address, low="1", likely="2", high="3", why="I want it")
    assert "have 9 done jobs behind them" in told


def test_ten_jobs_are_adopted_with_a_reason_and_a_double_click_is_one() -> None:
    booked, visitor = jobs(9)
    booked.done(*["24.00"] * 8)
    page = visitor.page(PAGE)
    assert "1 wild one drawn in" in text_of(page)
    address = f"{PAGE}{booked.treatment().pk}/adopt/"
    fields = {**figures_of(page), "why": "Our <old> fittings"}
    after = visitor.after(address, **fields)
    assert "Your own hours" in visitor.after(address, **fields)
    assert "Your own hours" in after
    assert "from 10 jobs: Our &lt;old&gt; fittings" in after
    assert "before that low 1, likely 1.5, high 3" in text_of(after)
    assert "/adopt/" not in after
    assert HoursAdopted.objects.get().hours_likely == booked.treatment().hours_likely


def test_without_a_reason_the_form_says_so_and_keeps_the_figures() -> None:
    booked, visitor = jobs(10)
    figures = figures_of(visitor.page(PAGE))
    address = f"{PAGE}{booked.treatment().pk}/adopt/"
    page = visitor.refused(address, **figures, why="")
    assert "<details open>" in page
    assert figures_of(page) == figures
    assert "look at the page again" in visitor.refused(address, why="Because")
    assert not HoursAdopted.objects.exists()


def test_it_asks_the_same_for_any_number_of_jobs() -> None:
    booked, visitor = jobs(0)

    def grow(number: int) -> None:
        for _ in range(Job.objects.count(), number):
            booked.done("3.00", codes=("REBED_SEALANT", "SEAM"))

    addresses = (PAGE, f"{PAGE}list.csv")
    assert_same_queries(lambda: [visitor.page(address) for address in addresses], grow, to=(2, 14))


def test_the_address_narrows_and_sorts_and_the_spreadsheet_has_the_same() -> None:
    booked, visitor = jobs(10)
    booked.done("3.00", codes=("SEAM",))
    Treatment.objects.filter(code="SEAM").update(name="=Pay a seam")
    for query, codes in (
        ({}, ["SEAM", "REBED_SEALANT"]),
        ({"order": "jobs"}, ["REBED_SEALANT", "SEAM"]),
        ({"stands": "adoptable"}, ["REBED_SEALANT"]),
        ({"stands": "few"}, ["SEAM"]),
        ({"stands": "adopted"}, []),
        ({"text": "seam PAY"}, ["SEAM"]),
        ({"stands": "?", "order": "?", "text": "\0", "page": "x"}, ["SEAM", "REBED_SEALANT"]),
    ):
        rows = visitor.sheet(f"{PAGE}list.csv", **query)
        assert [row["treatment"] for row in rows] == codes, query
        page = visitor.page(PAGE, **query)
        assert ("Nothing fits that." in page) == (not codes)
        assert page.count("<small>for one ") == len(codes)
    names = [row["name"] for row in visitor.sheet(f"{PAGE}list.csv")]
    assert names == ["'=Pay a seam", "Rebed in sealant"]
    assert Visitor(a_spring().manager).sheet(f"{PAGE}list.csv") == []


def test_managers_find_it_beside_the_overrulings_and_technicians_do_not_get_it() -> None:
    booked, visitor = jobs(0)
    for place in ("/overrulings/", "/settings/money/"):
        assert f'href="{PAGE}"' in visitor.page(place), place
    for page in ("/overrulings/", "/learned-rates/"):
        assert f'href="{page}"' in visitor.page("/settings/rules/"), page
    technician = Visitor(booked.spring.technician)
    assert technician.get(PAGE).status_code == 403
    assert technician.post(f"{PAGE}{booked.treatment().pk}/adopt/").status_code == 403
