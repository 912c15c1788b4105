"""The demo yard with this spring laid by the services: the same files, without API and processes between."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta

from inspections.models import Inspection
from inspections.services.entries import entries_submit
from inspections.services.inspections import inspection_close, inspection_open
from inspections.services.photos import photo_receive
from tests.factories.yard import PASSWORD
from workshop.demo import history, scenario
from workshop.models import Job, Quote
from workshop.services.decisions import decision_make
from workshop.services.quotes import quote_draft, quote_send
from yard.models import Member
from yard.outbox import drain
from yard.refusals import Refused


@dataclass
class DemoSpring:
    """What is there when somebody looks round the demo yard."""

    demo: history.DemoYard
    inspections: dict[str, Inspection]
    quotes: dict[str, Quote]

    @property
    def manager(self) -> Member:
        return next(member for member in self.demo.members.values() if member.is_manager)


def demo_spring(now: datetime) -> DemoSpring:
    """Three springs of history and most of the fourth: some boats quoted, one drafted, some still to be done."""
    demo = history.yard_lay(password=PASSWORD)
    history.history_lay(demo, say=lambda _: None)
    laid = DemoSpring(demo, {}, {})
    for sheet in scenario.sheets():
        _send(laid, sheet, now)
    history.parts_gone_remove(demo)
    drain(now=now)
    for turn, (boat, inspection) in enumerate(laid.inspections.items()):
        with suppress(Refused):  # something may be missing still, and the pages are to show that too
            inspection_close(inspection=inspection, at=now, by=laid.manager)
        drain(now=now)
        jobs = list(Job.objects.filter(inspection=inspection, state=Job.State.PROPOSED).order_by("pk"))
        if jobs and turn != 1:
            quote = quote_draft(inspection=inspection, jobs=jobs, by=laid.manager, at=now)
            laid.quotes[boat] = quote if turn == 2 else quote_send(quote=quote, by=laid.manager, at=now)
    drain(now=now + timedelta(minutes=1))
    _answer_one(laid, now)
    return laid


def _send(laid: DemoSpring, sheet: scenario.Document, now: datetime) -> None:
    demo, boat = laid.demo, laid.demo.boats[sheet["boat"]]
    technician = demo.members[sheet["technician"]]
    inspection = laid.inspections.get(sheet["boat"])
    if inspection is None:
        inspection = laid.inspections[sheet["boat"]] = inspection_open(
            boat=boat, season_year=demo.season_year(0), at=now - timedelta(minutes=5), by=technician
        )
    for name in sorted({name for item in sheet["entries"] for name in item.get("photos", ())}):
        photo_receive(
            yard=demo.yard,
            sha256=scenario.photo_digest(name),
            data=scenario.photo(name),
            by=technician,
            at=now - timedelta(minutes=4),
        )
    documents = scenario.written_out(
        sheet["entries"],
        boat=sheet["boat"],
        season=0,
        calendar=demo.calendar,
        checks=history.checks_of(inspection),
        names=demo.names,
        usual_readings=demo.files["usual_readings"],
    )
    results = entries_submit(inspection=inspection, author=technician, device=None, sheets=documents, at=now)
    assert not [result for result in results if result.outcome == "refused"], results


def _answer_one(laid: DemoSpring, now: datetime) -> None:
    """One decider has begun to answer."""
    quote = next((quote for quote in laid.quotes.values() if quote.sent_at and quote.lines.count() > 2), None)
    if quote is not None:
        line = quote.lines.order_by("position")[0]
        decision_make(
            line=line,
            verdict="approve",
            digest=quote.digest,
            at=now,
            owner=quote.boat.decider_owner,
            member=quote.boat.decider_member,
        )


__all__ = ["DemoSpring", "demo_spring"]
