"""The workshop's work for the outbox; importing this registers it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from inspections.models import Inspection
from workshop.services.digests import SEND_DIGESTS, digests_plan, digests_write
from workshop.services.hold_days import held_in_the_book
from workshop.services.proposing import jobs_propose
from workshop.services.quotes import quotes_lapse
from workshop.services.reminder_times import REMIND
from workshop.services.reminders import reminder_due, reminder_write
from workshop.services.strips import strips_propose
from yard.models import Yard
from yard.outbox import GiveUp, every_night, handler
from yard.refusals import Refused

LAPSE_QUOTES = "workshop.lapse_quotes"
PLAN_DIGESTS = "workshop.plan_digests"
Finish = Callable[[datetime], None]


@handler("workshop.propose_jobs")
def propose_jobs(inspection_id: int) -> Finish:
    """Bring the proposed jobs of an inspection in line with the judgements and the finishes that stand."""
    inspection = Inspection.objects.get(pk=inspection_id)

    def finish(now: datetime) -> None:
        try:
            jobs_propose(inspection=inspection, at=now)
            strips_propose(inspection=inspection, at=now)
            # the judgement that asked for this has set lines of its own
            held_in_the_book(inspection=inspection, at=now)
        except Refused as refusal:
            # The catalogue lacks something, and a second try would find the same: the office has to see it.
            raise GiveUp(str(refusal)) from refusal

    return finish


@handler("workshop.make_report")
def make_report(quote_id: int) -> Finish | None:
    """Render the report of a sent quote, store it and write the mail to the decider."""
    # Imported with the first report: every process loads this module, and only a worker needs the whole typesetter.
    from workshop.report.making import report_make

    return report_make(quote_id)


@handler(REMIND)
def remind_decider(quote_id: int) -> Finish | None:
    """Write the reminder before a quote runs out, where there is still something to be reminded of."""
    if not reminder_due(quote_id):
        return None

    def finish(now: datetime) -> None:
        reminder_write(quote_id=quote_id, at=now)

    return finish


@handler(LAPSE_QUOTES)
def lapse_quotes(yard_id: int) -> Finish:
    """End the sent quotes whose last day is past."""
    yard = Yard.objects.get(pk=yard_id)

    def finish(now: datetime) -> None:
        quotes_lapse(yard=yard, at=now)

    return finish


@handler(PLAN_DIGESTS)
def plan_digests(yard_id: int) -> Finish:
    """Ask for the weekly mails of the coming Monday: each night again, so that one that failed ends nothing."""
    yard = Yard.objects.get(pk=yard_id)

    def finish(now: datetime) -> None:
        digests_plan(yard=yard, at=now)

    return finish


@handler(SEND_DIGESTS)
def send_digests(yard_id: int) -> Finish:
    """Write the weekly mail of what is due to everybody who has chosen it."""
    yard = Yard.objects.get(pk=yard_id)

    def finish(now: datetime) -> None:
        digests_write(yard=yard, at=now)

    return finish


every_night(LAPSE_QUOTES)
every_night(PLAN_DIGESTS)
