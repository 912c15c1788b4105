"""What a yard's work logs say of its catalogue, and taking it over."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from tests.queries import assert_same_queries
from tests.workshop.booked import Booked
from tests.workshop.spring import AT, a_spring
from workshop.estimating.hours import ThreePoint
from workshop.models import HoursAdopted, Job, Operation, Quote
from workshop.selectors.audit import Narrowed, audit_lines
from workshop.selectors.learned_hours import TreatmentHours, hours_of, learned_hours_of
from workshop.services.hours_adopted import hours_adopt
from workshop.services.jobs import job_change
from yard.outbox import drain
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

SLOWER = "3.80"


def said_of(booked: Booked) -> TreatmentHours:
    (said,) = learned_hours_of(booked.spring.yard)
    return said


def ten_slow_jobs() -> Booked:
    booked = Booked()
    for _ in range(10):
        booked.done(SLOWER)
    return booked


def adopt(booked: Booked, **changes: Any) -> HoursAdopted:
    given: dict[str, Any] = {
        "treatment": booked.treatment(),
        "by": booked.spring.manager,
        "hours": said_of(booked).told.proposed,
        "why": "Our fittings are old.",
        "at": AT + timedelta(hours=1),
        **changes,
    }
    return hours_adopt(**given)


def test_bookings_of_a_job_are_summed_with_their_corrections() -> None:
    booked = Booked()
    booked.done("5.00", "1.00", "-2.00")
    booked.done("4.00", state="verified")
    told = said_of(booked).told
    assert (told.learned.records, told.alone) == (2, 2)
    both = Booked()
    both.done("4.00")
    both.done("4.00")
    assert told.median_hours == said_of(both).told.median_hours > hours_of(booked.treatment()).quantile(0.5)


@pytest.mark.parametrize("state", ["approved", "in_work", "declined", "proposed"])
def test_only_jobs_that_are_done_count(state: str) -> None:
    booked = Booked()
    booked.done("4.00", state=state)
    booked.done()  # nobody booked anything
    assert learned_hours_of(booked.spring.yard) == ()


def test_a_job_of_two_treatments_is_a_record_of_both_and_of_no_other_yard() -> None:
    booked = Booked()
    booked.done("6.00", codes=("REBED_SEALANT", "SEAM"))
    said = {each.treatment.code: each for each in learned_hours_of(booked.spring.yard)}
    assert set(said) == {"REBED_SEALANT", "SEAM"}
    assert [(each.told.learned.records, each.told.alone) for each in said.values()] == [(1, 0), (1, 0)]
    assert learned_hours_of(a_spring().yard) == ()


def test_it_asks_four_times_for_any_number_of_jobs() -> None:
    booked = Booked()

    def grow(jobs: int) -> None:
        for _ in range(Job.objects.count(), jobs):
            booked.done("3.00", codes=("REBED_SEALANT", "SEAM", "OPEN_UP"))

    assert_same_queries(lambda: learned_hours_of(booked.spring.yard), grow, to=(2, 15))


def test_below_ten_jobs_nothing_can_be_adopted() -> None:
    booked = Booked()
    for _ in range(9):
        booked.done(SLOWER)
    assert not said_of(booked).adoptable
    with pytest.raises(Refused) as refused:
        adopt(booked, hours=ThreePoint(Decimal(2), Decimal(3), Decimal(4)))
    assert refused.value.field == "hours"
    assert "9 done jobs" in refused.value.problem
    assert hours_of(booked.treatment()) == ThreePoint(Decimal("1.00"), Decimal("1.50"), Decimal("3.00"))


def test_what_is_adopted_stands_in_the_catalogue_with_who_when_and_why() -> None:
    booked = ten_slow_jobs()
    proposed = said_of(booked).told.proposed
    adoption = adopt(booked)
    assert hours_of(booked.treatment()) == adoption.hours == proposed
    assert adoption.hours_before == ThreePoint(Decimal("1.00"), Decimal("1.50"), Decimal("3.00"))
    assert (adoption.jobs, adoption.adopted_by, adoption.why) == (
        10, booked.spring.manager, "Our fittings are old."
    )  # fmt: skip
    assert booked.treatment().setup_hours == Decimal("0.30")
    (line,) = audit_lines(booked.spring.yard, Narrowed(kind="hours-adopted"))
    assert line.who == booked.spring.manager.name
    assert ": 1/1.5/3 to " in line.told
    assert line.told.endswith(" hours; Our fittings are old.")


def test_records_are_not_counted_twice_after_they_were_adopted() -> None:
    booked = ten_slow_jobs()
    before = said_of(booked)
    adoption = adopt(booked)
    after = said_of(booked)
    assert after.told == before.told
    assert (after.adopted, after.adoptable) == (adoption, False)
    booked.done("9.00")
    more = said_of(booked)
    assert more.adoptable
    second = adopt(booked, hours=more.told.proposed)
    assert second.hours_before == adoption.hours
    last = said_of(booked)
    assert last.told.catalogue == adoption.hours_before
    assert last.adopted == second


def test_figures_changed_by_hand_since_are_what_records_are_held_against() -> None:
    booked = ten_slow_jobs()
    adopt(booked)
    treatment = booked.treatment()
    treatment.hours_high = Decimal("20.00")
    treatment.save()
    said = said_of(booked)
    assert said.told.catalogue == said.stands == hours_of(treatment)
    assert said.adopted is None


def test_adopting_twice_is_adopting_once() -> None:
    booked = ten_slow_jobs()
    proposed = said_of(booked).told.proposed
    first = adopt(booked, hours=proposed)
    assert adopt(booked, hours=proposed, at=AT + timedelta(hours=2)) == first
    assert HoursAdopted.objects.count() == 1


def test_figures_that_have_moved_since_they_were_seen_are_refused() -> None:
    booked = ten_slow_jobs()
    seen = said_of(booked).told.proposed
    booked.done("12.00")
    with pytest.raises(Refused) as refused:
        adopt(booked, hours=seen)
    assert "by now" in refused.value.problem
    assert not HoursAdopted.objects.exists()


@pytest.mark.parametrize("why", [" ", "x" * 2001])
def test_it_needs_a_reason(why: str) -> None:
    booked = ten_slow_jobs()
    with pytest.raises(Refused) as refused:
        adopt(booked, why=why)
    assert refused.value.field == "why"


def test_only_a_manager_of_the_yard_adopts() -> None:
    booked = ten_slow_jobs()
    for member in (booked.spring.technician, a_spring().manager):
        with pytest.raises(Refused) as refused:
            adopt(booked, by=member)
        assert refused.value.field == "by"


def test_an_adoption_is_never_changed() -> None:
    adoption = adopt(ten_slow_jobs())
    adoption.why = "Another reason."
    with pytest.raises(IntegrityError), transaction.atomic():
        adoption.save()


def test_fewer_than_ten_jobs_are_not_even_stored() -> None:
    booked = ten_slow_jobs()
    adoption = adopt(booked)
    adoption.pk = None
    adoption.jobs = 9
    with pytest.raises(IntegrityError), transaction.atomic():
        adoption.save(force_insert=True)


def likely_of(job: Job) -> Decimal:
    return Operation.objects.get(job=job).hours_likely


def test_what_is_quoted_never_moves_and_what_is_not_is_estimated_anew() -> None:
    booked = ten_slow_jobs()
    spring = booked.spring
    spring.finding(spring.component("Cabin top window"), "REBED_SEALANT")
    quote = spring.sent()
    quoted = quote.lines.get().job
    sent = Quote.objects.values("content", "digest", "state").get(pk=quote.pk)
    priced = quote.lines.values().get()
    spring.finding(spring.component("Hatch"), "REBED_SEALANT")
    spring.finding(spring.component("Grab rail"), "REBED_SEALANT")
    by_hand, untouched = (job for job in spring.propose() if job.pk != quoted.pk)
    job_change(job=by_hand, by=spring.manager, at=AT, title="The hatch, as I see it")
    adoption = adopt(booked)
    drain(now=AT + timedelta(hours=2))
    assert Quote.objects.values("content", "digest", "state").get(pk=quote.pk) == sent
    assert quote.lines.values().get() == priced
    assert likely_of(quoted) == likely_of(by_hand) == Decimal("1.50")
    assert likely_of(untouched) == adoption.hours_likely > Decimal("1.50")
