"""Extra work on an agreed job: within the ceiling it is recorded, past it it needs a yes of its own."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.workshop.choices import Chosen, a_choice
from tests.workshop.spring import AT, TODAY
from workshop.estimating.hours import ThreePoint
from workshop.models import ExtraWork, Job, Quote, WorkLog
from workshop.services.ceiling import Agreed, addendum_draft, agreed_on, extra_work
from workshop.services.decisions import decision_make
from workshop.services.jobs import OperationSheet
from workshop.services.quotes import quote_document, quote_draft, quote_send
from workshop.services.work import job_start, work_book
from yard.models import Mail
from yard.outbox import drain
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def agreed() -> Chosen:
    """The toerail's job is agreed and begun."""
    chosen = a_choice(name="Sea Pink")
    chosen.sent("beside")
    chosen.say("beside", "approve")
    job_start(job=chosen.jobs["beside"], by=chosen.spring.technician, at=AT)
    return chosen


def standing(chosen: Chosen) -> Agreed:
    return agreed_on([chosen.jobs["beside"]])[chosen.jobs["beside"].pk]


def book(chosen: Chosen, hours: Decimal | str, **more: str) -> WorkLog:
    job, member = chosen.jobs["beside"], chosen.spring.technician
    return work_book(job=job, member=member, worked_on=TODAY, hours=Decimal(hours), at=AT, **more)


def found(chosen: Chosen, quantity: str) -> ExtraWork:
    job = chosen.jobs["beside"]
    finding = job.operations.values_list("finding_id", flat=True)[0]
    sheet = OperationSheet("SEAM", finding, Decimal(quantity))
    return extra_work(
        job=job, by=chosen.spring.technician, at=AT, what="The rail is split below", operations=[sheet]
    )


def test_booked_hours_that_near_the_ceiling_say_that_it_is_time_to_ask(agreed: Chosen) -> None:
    before = standing(agreed)
    assert (before.booked, before.ask_again, before.quote) == (Decimal(0), False, agreed.quote.number)
    book(agreed, before.ceiling - Decimal(1))
    assert not standing(agreed).ask_again
    book(agreed, "0.5")
    assert standing(agreed).ask_again
    assert standing(agreed).left == Decimal("0.5")


def test_past_the_ceiling_nothing_is_booked_without_saying_why(agreed: Chosen) -> None:
    ceiling = standing(agreed).ceiling
    assert book(agreed, ceiling, past_ceiling="not needed").past_ceiling == ""
    with pytest.raises(Refused) as refused:
        book(agreed, "0.25")
    assert refused.value.field == "past_ceiling"
    assert book(agreed, "0.25", past_ceiling="The screw broke").past_ceiling == "The screw broke"
    assert book(agreed, "-0.25").hours == Decimal("-0.25")  # a correction passes nothing


def test_extra_work_past_the_ceiling_becomes_an_addendum_with_a_yes_of_its_own(agreed: Chosen) -> None:
    chosen, before = agreed, standing(agreed)
    extra = found(chosen, "4")
    assert extra.more is not None
    assert extra.more.state == Job.State.PROPOSED
    chosen.spring.propose()  # which leaves it alone
    extra.more.refresh_from_db()
    assert extra.more.operations.count() == 1
    with pytest.raises(Refused, match="another quote agreed"):
        quote_draft(inspection=chosen.spring.inspection, jobs=[extra.more], by=chosen.spring.manager, at=AT)
    draft = addendum_draft(quote=chosen.quote, jobs=[extra.more], by=chosen.spring.manager, at=AT)
    sent = quote_send(quote=draft, by=chosen.spring.manager, at=AT)
    document = quote_document(sent)
    assert document.adds_to is not None
    assert (document.adds_to.number, document.adds_to.digest) == (chosen.quote.number, chosen.quote.digest)
    assert document.jobs[0].extends is not None
    assert standing(chosen) == before  # nothing is agreed yet
    drain(now=AT)
    mail = Mail.objects.get(key__startswith=f"quote:{sent.pk}:")
    assert mail.subject.startswith("Sea Pink: yes or no to extra work")
    assert f"agreed to in quote {chosen.quote.number}" in mail.text
    line = sent.lines.get()
    owner = chosen.spring.boat.decider_owner
    decision_make(line=line, verdict="approve", digest=sent.digest, at=AT, owner=owner)
    after = standing(chosen)
    assert after.ceiling == before.ceiling + line.hours_ceiling
    book(chosen, before.ceiling + line.hours_ceiling)  # all of it is agreed


def test_extra_work_within_the_ceiling_is_recorded_and_asks_nobody(agreed: Chosen) -> None:
    chosen = agreed
    before = standing(chosen)
    room = before.ceiling - before.likely
    finding = chosen.jobs["beside"].operations.values_list("finding_id", flat=True)[0]
    small = OperationSheet("REBED_SEALANT", finding, Decimal("0.1"), ThreePoint(0.01, 0.02, 0.03))

    def note() -> ExtraWork:
        job, by = chosen.jobs["beside"], chosen.spring.technician
        return extra_work(job=job, by=by, at=AT, what="A seam more", operations=[small])

    first = note()
    assert first.hours_likely <= room
    assert first.more is None
    assert (first.hours_before, first.hours_ceiling) == (before.likely, before.ceiling)
    assert Job.objects.count() == 4
    notes = [first]
    while notes[-1].more is None:  # each takes of the room that the others left
        notes.append(note())
        assert len(notes) < 20
    assert sum(each.hours_likely for each in notes[:-1]) <= room < sum(each.hours_likely for each in notes)


def test_nothing_is_added_to_what_nobody_agreed_to(agreed: Chosen) -> None:
    chosen = agreed
    with pytest.raises(Refused):
        extra_work(
            job=chosen.jobs["coats"], by=chosen.spring.technician, at=AT, what="More",
            operations=[OperationSheet("SEAM", chosen.jobs["coats"].operations.get().finding_id, Decimal(1))],
        )  # fmt: skip
    other = a_choice()
    other.sent("beside")
    with pytest.raises(Refused) as refused:
        addendum_draft(quote=other.quote, jobs=[other.jobs["proper"]], by=other.spring.manager, at=AT)
    assert refused.value.field == "quote"
    assert Quote.objects.filter(adds_to__isnull=False).count() == 0
