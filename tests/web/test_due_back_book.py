"""The due-back book: narrowed, sorted, on paper, for a spreadsheet, in a calendar, by mail."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from io import BytesIO, StringIO

import pytest
import time_machine
from django.core.cache import cache
from icalendar import Calendar
from pypdf import PdfReader

from inspections.models import DueBack
from tests.factories import BoatFactory, ComponentFactory, SpotFactory
from tests.factories.inspections import CheckFactory, DueBackFactory, EntryFactory
from tests.web.conftest import NOW
from tests.web.visitor import Visitor
from tests.workshop.spring import Spring, a_spring
from workshop.models import CalendarFeed, DigestChoice
from workshop.services.calendar_feeds import feed_issue, feed_token
from workshop.services.digests import digest_key

pytestmark = pytest.mark.django_db


@pytest.fixture
def spring() -> Spring:
    made = a_spring(name="Sea Pink")
    made.finding(made.component("Toerail"), "SEAM", due_on=date(2027, 4, 1))
    made.finding(made.component("Mast step"), "SEAM", due_on=date(2027, 4, 30))
    other = BoatFactory.create(yard=made.yard, name="=Anna")
    spot = SpotFactory.create(component=ComponentFactory.create(boat=other, name="Rudder"))
    DueBackFactory.create(
        finding__spot=spot, kind="look_again", due_on=date(2027, 6, 2), reason="+49 is no sum, but a crack."
    )
    return made


def test_a_month_that_is_too_long_for_paper_says_what_would_do(
    spring: Spring, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("web.office.due_back.LINES_PRINTED", 1)
    visitor = Visitor(spring.technician)
    told = visitor.get("/due-back/month.pdf")
    assert told.status_code == 422
    assert "has 2 lines" in told.content.decode()
    narrowed = visitor.get("/due-back/month.pdf", text="toerail")
    assert narrowed["Content-Type"] == "application/pdf"


def test_alike_places_of_two_boats_stay_two(spring: Spring) -> None:
    for boat in (BoatFactory.create(yard=spring.yard, name=name) for name in ("One", "Other")):
        entry = EntryFactory.create(
            component=ComponentFactory.create(boat=boat), answer="not_seen", elsewhere="Under the sole"
        )
        DueBack.objects.create(
            yard=spring.yard, boat=boat, entry=entry, due_on=date(2027, 6, 2),
            kind="open_up", reason="Nobody saw it.", set_at=NOW,
        )  # fmt: skip
    assert Visitor(spring.technician).page("/due-back/").count("Nobody saw it.") == 2


def test_what_one_hidden_part_left_open_is_told_once_with_every_question(spring: Spring) -> None:
    keel = ComponentFactory.create(boat=spring.boat, name="Keel bolts")
    for prompt in ("How do the nuts look?", "Do they turn?"):
        check = CheckFactory.create(inspection=spring.inspection, component=keel, prompt=prompt)
        entry = EntryFactory.create(inspection=spring.inspection, component=keel, answer="not_seen", answers=check)
        DueBack.objects.create(
            yard=spring.yard, boat=spring.boat, component=keel, entry=entry, due_on=date(2027, 6, 2),
            kind="open_up", reason="Nobody saw it.", set_at=NOW,
        )  # fmt: skip
    visitor = Visitor(spring.technician)
    page = visitor.page("/due-back/")
    assert "5 to see to" in page
    assert page.count("Nobody saw it.") == 1
    assert "<small>How do the nuts look?</small> <small>Do they turn?</small>" in page
    assert "Keel bolts, port side (2 questions). Nobody saw it." in visitor.page(f"/boats/{spring.boat.pk}/")
    rows = list(csv.DictReader(StringIO(visitor.get("/due-back/book.csv").content.decode())))
    assert [row["question"] for row in rows if row["reason"] == "Nobody saw it."] == [
        "How do the nuts look?",
        "Do they turn?",
    ]


def test_it_is_narrowed_by_day_month_and_words_and_sorted_by_boat(spring: Spring) -> None:
    visitor = Visitor(spring.technician)
    assert "1 to see to, 1 of them overdue." in visitor.page("/due-back/", overdue="yes")
    assert "2 to see to" in visitor.page("/due-back/", until="2027-04-30")
    assert "1 to see to." in visitor.page("/due-back/", month="2027-06")
    assert "Nothing is due" not in visitor.page("/due-back/", month="2027-07")
    for words, places in (
        ("crack rudder", "1 to see to."),
        ("mast", "1 to see to."),
        ("sea pink", "2 to see to"),
        ("100%", "No"),
    ):
        assert places in visitor.page("/due-back/", text=words), words
    by_boat = visitor.page("/due-back/", order="boat")
    heads = [by_boat.index(f'colspan="5">{boat}</th>') for boat in ("=Anna", "Sea Pink")]
    assert heads == sorted(heads)
    for name, value in (("until", "tomorrow"), ("until", "2027-02-30"), ("month", "2027-13"), ("month", "%00")):
        assert visitor.get("/due-back/", **{name: value}).status_code == 422, value
    assert "3 to see to" in visitor.page("/due-back/", text="\0")


def test_the_spreadsheet_has_what_the_page_shows_and_no_formula(spring: Spring) -> None:
    visitor = Visitor(spring.technician)
    answer = visitor.get("/due-back/book.csv", order="latest")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    rows = list(csv.DictReader(StringIO(answer.content.decode(), newline="")))
    assert [row["due_on"] for row in rows] == ["2027-06-02", "2027-04-30", "2027-04-01"]
    assert (rows[0]["boat"], rows[0]["reason"]) == ("'=Anna", "'+49 is no sum, but a crack.")
    assert rows[2]["stands"] == "5 days overdue"
    assert visitor.get("/due-back/book.csv", text="mast").content.count(b"\r\n") == 2


def test_a_month_is_printed_with_what_is_overdue_from_before(spring: Spring) -> None:
    DueBack.objects.filter(due_on=date(2027, 4, 1)).update(due_on=date(2027, 3, 30))
    visitor = Visitor(spring.technician)

    def paper(**query: str) -> str:
        answer = visitor.get("/due-back/month.pdf", **query)
        assert answer["Content-Type"] == "application/pdf"
        return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages).split())

    april = paper()
    assert april.index("Overdue from before") < april.index("Toerail") < april.index("Mast step")
    assert "Rudder" not in april
    june = paper(month="2027-06", kind="look_again")
    assert "Due back, June 2027" in june
    assert "Rudder" in june
    assert "Toerail" not in june


def test_a_calendar_fetches_what_has_changed_and_leaves_no_trace_but_its_last_use(spring: Spring) -> None:
    feed = feed_issue(by=spring.manager, at=NOW)
    address, stranger = f"/calendar/{feed_token(feed)}.ics", Visitor()
    answer = stranger.get(address)
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert len(Calendar.from_ical(answer.content).events) == 3
    assert answer["Referrer-Policy"] == "no-referrer"
    assert not answer.cookies
    etag, since = answer["ETag"], answer["Last-Modified"]
    with time_machine.travel(NOW + timedelta(hours=2)):
        for header in ({"If-None-Match": etag}, {"If-Modified-Since": since}):
            again = stranger.client.get(address, headers=header)
            assert (again.status_code, again.content, again["ETag"]) == (304, b"", etag)
        DueBack.objects.filter(due_on=date(2027, 6, 2)).delete()
        for header in ({"If-None-Match": etag}, {"If-Modified-Since": since}):
            again = stranger.client.get(address, headers=header)
            assert (again.status_code, len(Calendar.from_ical(again.content).events)) == (200, 2)
    feed.refresh_from_db()
    assert feed.last_used_at is not None
    assert feed.last_used_at >= NOW + timedelta(hours=2)
    cache.clear()
    statuses = [stranger.get(address[:-5] + "x.ics").status_code for _ in range(61)]
    assert statuses == [404] * 60 + [429]


def test_a_manager_makes_an_address_anew_and_takes_it_back(spring: Spring) -> None:
    visitor = Visitor(spring.manager)
    page = visitor.after("/due-back/calendars/make/", boat="all")
    first = CalendarFeed.objects.get()
    assert f"/calendar/{feed_token(first)}.ics" in page
    page = visitor.after("/due-back/calendars/make/", boat=str(spring.boat.pk))
    assert "for Sea Pink is made" in page
    visitor.after("/due-back/calendars/make/", boat="all")
    assert Visitor().get(f"/calendar/{feed_token(first)}.ics").status_code == 404
    live = CalendarFeed.objects.get(boat=None, revoked_at=None)
    assert Visitor().get(f"/calendar/{feed_token(live)}.ics").status_code == 200
    assert "taken back" in visitor.after(f"/due-back/calendars/{live.pk}/revoke/")
    assert Visitor().get(f"/calendar/{feed_token(live)}.ics").status_code == 404
    elsewhere = BoatFactory.create()
    assert "none of yours" in visitor.refused("/due-back/calendars/make/", boat=str(elsewhere.pk))
    told = visitor.get("/api/v1/calendar-feeds/").json()["results"]
    assert [(one["boat_name"], one["url"] == "") for one in told] == [
        (None, True),
        ("Sea Pink", False),
        (None, True),
    ]


def test_the_weekly_mail_is_chosen_on_the_page_and_ended_by_one_click(spring: Spring) -> None:
    visitor = Visitor(spring.technician)
    assert "Send it to" in visitor.page("/due-back/calendars/")
    assert "End the weekly mail" in visitor.after("/due-back/weekly-mail/", wanted="yes")
    stop = f"/digest/{digest_key(spring.technician)}/"
    assert "You get the weekly mail" in Visitor().page(stop)
    assert DigestChoice.objects.count() == 1  # looking ends nothing
    answer = Visitor().post(stop, **{"List-Unsubscribe": "One-Click"})
    assert answer.status_code == 200
    assert not DigestChoice.objects.exists()
    assert "End the weekly mail" in visitor.after("/due-back/weekly-mail/", wanted="yes")
    assert "Send it to" in visitor.after("/due-back/weekly-mail/")
