"""The due-back book as a calendar, read back by another program and held against the facts of RFC 5545.

Source: planning/ical_facts.csv and planning/ical_sample.ics, RFC 5545 (September 2009) with erratum 6109.
"""

from __future__ import annotations

import csv
import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from inspections.models import DueBack, Finding
from inspections.services.due_back import due_back_end, due_back_set
from tests.factories import BoatFactory
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import CalendarFeed
from workshop.report.due_calendar import calendar_text
from workshop.services.calendar_feeds import feed_find, feed_issue, feed_revoke, feed_token
from yard.models import Deed, DeedKind
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

PLANNING = Path(__file__).parents[1] / "reference" / "planning"
FACTS = {row["topic"] for row in csv.DictReader((PLANNING / "ical_facts.csv").read_text().splitlines())}
LATER = AT + timedelta(days=3)


@pytest.fixture
def spring() -> Spring:
    return a_spring(name="Sea Pink; Åse, «two»")


@pytest.fixture
def finding(spring: Spring) -> Finding:
    return spring.finding(
        spring.component("Coaming, after deck", "aft; port side"), "SEAM", due_on=date(2027, 4, 30)
    )


def events(feed: CalendarFeed, at: datetime = AT) -> list[Any]:
    return list(Calendar.from_ical(calendar_text(feed, at=at)).events)


def test_it_is_written_as_the_standard_wants_it(spring: Spring, finding: Finding) -> None:
    assert {"object", "event", "all-day", "DTSTAMP", "lines", "text", "update", "cancel", "busy"} <= FACTS
    line = DueBack.objects.get(finding=finding)
    line.reason = "Sjøsetting: «Åse», kravell; tørking må være ferdig før annet strøk\\n" * 3
    line.save()
    text = calendar_text(feed_issue(by=spring.manager, at=AT), at=AT)
    assert text.endswith(b"END:VCALENDAR\r\n")
    physical = text.split(b"\r\n")
    assert all(len(row) <= 75 and b"\n" not in row and b"\r" not in row for row in physical)
    for row in physical:
        row.decode()  # no fold cuts a letter
    rows = text.replace(b"\r\n ", b"").decode().split("\r\n")
    for once in ("VERSION:2.0", "PRODID:-//Faying//Due-back book//EN"):
        assert rows.count(once) == 1
    assert "METHOD" not in text.decode()
    day = "DTSTART;VALUE=DATE:20270430", "DTEND;VALUE=DATE:20270501"
    assert set(day) < set(rows)
    (stamp,) = (row for row in rows if row.startswith("DTSTAMP"))
    assert re.fullmatch(r"DTSTAMP:\d{8}T\d{6}Z", stamp)
    assert "TRANSP:TRANSPARENT" in rows
    (summary,) = (row for row in rows if row.startswith("SUMMARY"))
    assert r"Sea Pink\; Åse\, «two»: put right\, Coaming\, after deck\, aft\; port side" in summary
    # The sample of the reference tells its day the same way.
    sample = (PLANNING / "ical_sample.ics").read_text()
    told: Any = Calendar.from_ical(sample).events[0]
    assert told["dtend"].dt - told["dtstart"].dt == timedelta(days=1)
    assert re.search(r"DTSTART;VALUE=DATE:\d{8}\s", sample)


def test_it_reads_back_as_it_stands_in_the_book(spring: Spring, finding: Finding) -> None:
    (event,) = events(feed_issue(by=spring.manager, at=AT))
    assert (event["dtstart"].dt, event["dtend"].dt) == (date(2027, 4, 30), date(2027, 5, 1))
    assert event["summary"].startswith("Sea Pink; Åse, «two»: put right, Coaming, after deck")
    assert event["description"] == "Water is in."
    assert str(event["url"]).endswith(f"/findings/{finding.pk}/")
    assert (event["status"], event["sequence"]) == ("CONFIRMED", 0)
    line = DueBack.objects.get()
    assert event["dtstamp"].dt == event["last-modified"].dt == line.set_at.astimezone(UTC).replace(microsecond=0)


def test_another_day_is_a_revision_and_what_ended_is_cancelled_for_ninety_days(
    spring: Spring, finding: Finding
) -> None:
    feed = feed_issue(by=spring.manager, at=AT)
    (first,) = events(feed)
    due_back_set(finding=finding, due_on=date(2027, 5, 7), kind="look_again", reason="Wait.", at=LATER)
    (second,) = events(feed, LATER)
    assert second["uid"] == first["uid"]
    assert second["dtstart"].dt == date(2027, 5, 7)
    assert (second["status"], second["dtstamp"].dt) == ("CONFIRMED", LATER)
    due_back_end(finding=finding, at=LATER + timedelta(days=1))
    (third,) = events(feed, LATER + timedelta(days=2))
    assert (third["uid"], third["status"]) == (first["uid"], "CANCELLED")
    assert third["dtstamp"].dt == LATER + timedelta(days=1)
    assert len(events(feed, LATER + timedelta(days=91))) == 1
    assert events(feed, LATER + timedelta(days=92)) == []
    due_back_set(finding=finding, due_on=date(2027, 6, 1), kind="put_right", reason="Back.", at=LATER)
    (fourth,) = events(feed, LATER)
    sequences = [int(event["sequence"]) for event in (first, second, third, fourth)]
    assert sequences == sorted(set(sequences))


def test_a_feed_tells_of_its_own_boat_or_yard_alone(spring: Spring, finding: Finding) -> None:
    other = a_spring(name="Other")
    other.finding(other.component(), "SEAM")
    boat = BoatFactory.create(yard=spring.yard)
    whole, alone = feed_issue(by=spring.manager, at=AT), feed_issue(by=spring.manager, boat=boat, at=AT)
    assert len(events(whole)) == 1
    assert events(alone) == []
    assert "Other" not in calendar_text(whole, at=AT).decode()
    boat.left_on = AT.date()
    with pytest.raises(Refused, match="has left the yard"):
        feed_issue(by=spring.manager, boat=boat, at=AT)


def test_a_new_address_takes_the_place_of_the_old_one(spring: Spring) -> None:
    old, hers = feed_issue(by=spring.manager, at=AT), feed_issue(by=spring.manager, boat=spring.boat, at=AT)
    new = feed_issue(by=spring.manager, at=LATER)
    assert feed_find(feed_token(old)) is None
    assert feed_find(feed_token(new)) == new
    assert feed_find(feed_token(hers)) == hers
    assert feed_find(f"{feed_token(new)[:-1]}~") is None
    assert feed_find("nothing") is None
    for _ in "twice":
        feed_revoke(feed=hers, by=spring.manager, at=LATER)
    told = Deed.objects.filter(by=spring.manager, kind__startswith="calendar").values_list("kind", "told")
    whole, one = (DeedKind.CALENDAR_MADE, "of the whole yard"), (DeedKind.CALENDAR_MADE, spring.boat.name)
    assert list(told.order_by("pk")) == [whole, one, whole, (DeedKind.CALENDAR_REVOKED, spring.boat.name)]
