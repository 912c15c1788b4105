"""What is told of a quote besides itself: history, threads, its report unsent, and a reminder by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
import time_machine

from tests.api.callers import fields_of
from tests.api.worlds import NOW, Bench, bench
from tests.workshop.pdf_reading import page_texts
from yard.models import Mail, Season

pytestmark = pytest.mark.both_databases


@pytest.fixture
def shed(db: None) -> Bench:
    return bench()


def test_what_happened_and_what_was_said_is_told_in_its_order(shed: Bench) -> None:
    boat = shed.spring.boat
    boat.decider_owner, boat.decider_member = None, shed.spring.manager  # who can ask through the API
    boat.save()
    quote = shed.sent()
    line, here = quote.lines.get(), f"quotes/{quote.pk}/"
    asked = {"line": line.pk, "verdict": "ask", "question": "Can it wait?", "digest": quote.digest}
    assert shed.manager.post("decisions/", asked).status_code == 201
    (thread,) = shed.technician.get(f"{here}threads/").json()
    assert (thread["job"], thread["waits_for_yard"]) == (line.job_id, True)
    assert shed.manager.post("replies/", {"line": line.pk, "text": "Until lay-up."}).status_code == 201
    (thread,) = shed.technician.get(f"{here}threads/").json()
    assert not thread["waits_for_yard"]
    said = [(word["by_yard"], word["text"]) for word in thread["said"]]
    assert said == [(False, "Can it wait?"), (True, "Until lay-up.")]
    answer = shed.technician.get(f"{here}history/")
    kinds = [event["kind"] for event in answer.json()]
    assert [kind for kind in kinds if kind != "mailed"] == ["drawn_up", "sent", "asked", "answered"]
    assert "asked about" in answer.json()[kinds.index("asked")]["what"]
    again = shed.technician.get(f"{here}history/", If_None_Match=answer["ETag"])
    assert again.status_code == 304


def test_a_draft_has_a_report_that_says_it_was_not_sent(shed: Bench) -> None:
    draft = shed.spring.draft()
    answer = shed.technician.get(f"quotes/{draft.pk}/preview/report/")
    assert answer["Content-Type"] == "application/pdf"
    assert all("Preview, not sent" in page for page in page_texts(answer.content))


def test_a_decider_is_reminded_once_a_day_and_not_too_soon(shed: Bench) -> None:
    address = f"quotes/{shed.sent().pk}/remind/"
    assert fields_of(shed.manager.post(address), 422) == {"reminder"}
    with time_machine.travel(NOW + timedelta(days=4), tick=False) as clock:
        first = shed.manager.post(address)
        assert (first.status_code, first.json()["state"]) == (201, "waiting")
        clock.shift(3600)
        again = shed.manager.post(address)
    assert (again.status_code, again.json()) == (200, first.json())
    assert Mail.objects.filter(key__startswith="reminder:").count() == 1


def test_a_season_is_told_boat_by_boat_and_week_by_week(shed: Bench) -> None:
    days = {"launch_on": date(2027, 5, 1), "layup_on": date(2027, 10, 15)}
    Season.objects.get_or_create(yard=shed.spring.yard, year=2027, defaults=days)
    quote = shed.sent()
    told = shed.technician.get("seasons/2027/figures/").json()
    (boat,) = told["boats"]
    assert (boat["boat"], boat["stage"], boat["week"]) == (shed.spring.boat.pk, "booked", "2027-W17")
    assert "decision" in [block["kind"] for block in boat["blocks"]]
    assert (boat["quote"]["id"], boat["quote"]["jobs"], boat["quote"]["decided"]) == (quote.pk, 1, 0)
    assert boat["findings"] == {"before_launch": 0, "this_season": 1, "next_layup": 0, "watch": 0}
    asked = str(quote.lines.get().hours_ceiling)
    assert boat["hours"] == {"by_launch": "0.00", "later": "0.00", "likely": "0.00", "asked": asked}
    (week,) = [week for week in told["hours"]["weeks"] if week["boats"]]
    assert (week["week"], week["asked"], week["there"]) == ("2027-W17", asked, None)
    assert shed.technician.get("seasons/2031/figures/").status_code == 404
    assert shed.technician.get("seasons/99999/figures/").status_code == 404
