"""Two clicks, two workers: real connections to PostgreSQL that act in the same moment."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from functools import partial

import pytest
from django.db import connection, connections, transaction

from inspections.models import Assessment, Check, Finding, FindingJoin, Inspection, SecondLookAsk
from inspections.services.second_look_asks import second_look_ask, second_look_withdraw
from tests.factories import BoatFactory, MemberFactory
from tests.factories.inspections import EntryFactory
from tests.factories.yard import PASSWORD
from tests.workshop.booked import Booked
from tests.workshop.choices import a_choice
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import (
    Decision,
    HoursAdopted,
    Job,
    OwnerLink,
    Quote,
    QuoteLine,
    Reply,
    SecondLook,
    StepTick,
)
from workshop.selectors.learned_hours import learned_hours_of
from workshop.services.decisions import AlreadyDecided, decision_make
from workshop.services.doubles import doubles_join
from workshop.services.hours_adopted import hours_adopt
from workshop.services.job_parting import job_split, jobs_join
from workshop.services.needs import job_needs_set
from workshop.services.proposing import jobs_propose
from workshop.services.quotes import quote_draft, quote_send, quote_supersede, quote_withdraw, quotes_lapse
from workshop.services.reminders import reminder_write
from workshop.services.steps import step_tick
from workshop.services.threads import reply_write
from workshop.services.verifying import Measured, finding_verify, second_look_give
from workshop.services.work import job_done, job_start
from yard.fleet.files import grids_read
from yard.fleet.plan import Plan, fleet_plan
from yard.fleet.reading import tables_read
from yard.fleet.stored import fleet_stored
from yard.models import Boat, Invitation, Mail, Member, OutboxRow, User
from yard.refusals import Refused
from yard.services.access import member_close
from yard.services.changes import member_change
from yard.services.fleet_taking import fleet_take
from yard.services.invitations import invitation_accept, invitation_send

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.needs_postgres]

THREADS = 4


@pytest.fixture(autouse=True)
def on_postgres() -> None:
    if connection.vendor != "postgresql":
        pytest.skip("needs PostgreSQL: SQLite has one writer at a time")


@pytest.fixture
def spring() -> Spring:
    made = a_spring()
    made.finding(made.component("Window frame"), "REBED_SEALANT")
    made.finding(made.component("Laid deck"), "SEAM")
    return made


def at_once(*calls: Callable[[], object]) -> list[object]:
    """Call all of them in threads of their own, started together. What each gave, or the refusal it met."""
    gate = threading.Barrier(len(calls))
    results: list[object] = [None] * len(calls)

    def run(position: int, call: Callable[[], object]) -> None:
        try:
            gate.wait(timeout=20)
            results[position] = call()
        except Exception as error:
            results[position] = error
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=(position, call)) for position, call in enumerate(calls)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert not any(thread.is_alive() for thread in threads), "somebody waits for ever"
    unforeseen = [result for result in results if isinstance(result, Exception) and not isinstance(result, Refused)]
    assert unforeseen == []
    return results


def refused(results: list[object]) -> int:
    return sum(isinstance(result, Refused) for result in results)


def test_several_sends_at_once_send_once(spring: Spring) -> None:
    quote = spring.draft()
    results = at_once(*[lambda: quote_send(quote=quote, by=spring.manager, at=AT)] * THREADS)
    assert refused(results) == THREADS - 1
    assert OwnerLink.objects.filter(quote=quote).count() == 1
    assert OutboxRow.objects.filter(task="workshop.make_report").count() == 1


def test_several_drafts_at_once_make_one(spring: Spring) -> None:
    jobs = spring.propose()
    results = at_once(
        *[lambda: quote_draft(inspection=spring.inspection, jobs=jobs, by=spring.manager, at=AT)] * THREADS
    )
    assert refused(results) == THREADS - 1
    assert Quote.objects.count() == 1


def test_drafts_for_several_boats_at_once_get_numbers_of_their_own(spring: Spring) -> None:
    springs = [spring]
    for _ in range(2):
        boat = BoatFactory.create(yard=spring.yard)
        inspection = type(spring.inspection).objects.create(
            yard=spring.yard, boat=boat, season_year=2027, launch_on=spring.inspection.launch_on, opened_at=AT
        )
        other = Spring(spring.yard, boat, spring.manager, spring.technician, inspection, spring.component_class)
        other.finding(other.component(), "REBED_SEALANT")
        springs.append(other)
    results = at_once(*[each.draft for each in springs])
    assert refused(results) == 0
    assert sorted(Quote.objects.values_list("number", flat=True)) == [1, 2, 3]


@pytest.mark.parametrize(
    "verdicts", [["approve"] * 4, ["approve", "decline"] * 2], ids=["double click", "two minds"]
)
def test_several_words_on_one_job_at_once_count_once(spring: Spring, verdicts: list[str]) -> None:
    quote = spring.sent()
    line = quote.lines.get(position=1)

    def say(verdict: str) -> Callable[[], Decision]:
        return lambda: decision_make(
            line=line, verdict=verdict, digest=quote.digest, at=AT, owner=spring.boat.decider_owner
        )

    results = at_once(*[say(verdict) for verdict in verdicts])
    assert sum(isinstance(result, AlreadyDecided) for result in results) == len(verdicts) - 1
    (decision,) = Decision.objects.all()
    line.job.refresh_from_db()
    assert line.job.state == ("approved" if decision.verdict == "approve" else "declined")


def test_the_last_two_words_at_once_end_the_quote(spring: Spring) -> None:
    quote = spring.sent()
    first, second = quote.lines.all()

    def say(line: object) -> Callable[[], Decision]:
        return lambda: decision_make(
            line=line,  # type: ignore[arg-type]
            verdict="approve",
            digest=quote.digest,
            at=AT,
            owner=spring.boat.decider_owner,
        )

    assert refused(at_once(say(first), say(second))) == 0
    quote.refresh_from_db()
    assert quote.state == Quote.State.DECIDED
    assert Mail.objects.filter(key=f"receipt:{quote.pk}").count() == 1


@pytest.mark.parametrize("names", [["proper", "hold"] * 2, ["hold"] * 4], ids=["two minds", "double click"])
def test_several_ways_chosen_at_once_settle_on_one(names: list[str]) -> None:
    chosen = a_choice()
    quote = chosen.sent("proper", "hold")
    results = at_once(*[partial(chosen.say, name, "approve") for name in names])
    assert sum(isinstance(result, AlreadyDecided) for result in results) == len(names) - 1
    assert sorted(chosen.words().values()) == ["approve", "not_chosen"]
    assert Decision.objects.count() == 2
    assert Mail.objects.filter(key=f"receipt:{quote.pk}").count() == 1


def test_a_need_closes_no_ring_when_two_say_it_at_once() -> None:
    jobs = a_choice().jobs
    coats, beside = jobs["coats"], jobs["beside"]
    results = at_once(
        lambda: job_needs_set(job=coats, needed=[beside]), lambda: job_needs_set(job=beside, needed=[coats])
    )
    assert refused(results) == 1


def test_a_reminder_against_the_last_words_is_written_once_or_not_at_all(spring: Spring) -> None:
    quote = spring.sent()
    first, second = quote.lines.all()

    def say(line: QuoteLine) -> Callable[[], Decision]:
        owner = spring.boat.decider_owner
        return lambda: decision_make(line=line, verdict="approve", digest=quote.digest, at=AT, owner=owner)

    say(first)()
    results = at_once(*[lambda: reminder_write(quote_id=quote.pk, at=AT)] * (THREADS - 1), say(second))
    assert refused(results) == 0
    written = {result.pk for result in results if isinstance(result, Mail)}
    assert len(written) <= 1
    assert Mail.objects.filter(key__startswith="reminder:").count() == len(written)
    assert reminder_write(quote_id=quote.pk, at=AT) is None


def test_several_clicks_on_an_answer_at_once_answer_once(spring: Spring) -> None:
    quote = spring.sent()
    line, owner = quote.lines.get(position=1), spring.boat.decider_owner
    decision_make(line=line, verdict="ask", question="Why?", digest=quote.digest, at=AT, owner=owner)
    results = at_once(*[lambda: reply_write(line=line, text="Because.", by=spring.manager, at=AT)] * THREADS)
    assert refused(results) == 0
    assert (Reply.objects.count(), Mail.objects.filter(key__startswith="reply:").count()) == (1, 1)


@pytest.mark.parametrize("end", ["withdraw", "supersede", "lapse"])
def test_a_word_against_the_quotes_end_leaves_no_half(spring: Spring, end: str) -> None:
    quote = spring.sent()
    line = quote.lines.get(position=1)
    last_day = AT + timedelta(days=21)
    ends: dict[str, Callable[[], object]] = {
        "withdraw": lambda: quote_withdraw(quote=quote, at=last_day),
        "supersede": lambda: quote_supersede(quote=quote, by=spring.manager, at=last_day),
        "lapse": lambda: quotes_lapse(yard=spring.yard, at=last_day + timedelta(days=1)),
    }
    at_once(
        ends[end],
        lambda: decision_make(
            line=line, verdict="approve", digest=quote.digest, at=last_day, owner=spring.boat.decider_owner
        ),
    )
    quote.refresh_from_db()
    line.job.refresh_from_db()
    assert quote.state in (Quote.State.SUPERSEDED, Quote.State.LAPSED)
    assert line.job.state == ("approved" if Decision.objects.exists() else "proposed")


def test_several_proposals_at_once_make_each_job_once(spring: Spring) -> None:
    results = at_once(*[lambda: jobs_propose(inspection=spring.inspection, at=AT)] * THREADS)
    assert refused(results) == 0
    assert Job.objects.count() == 2
    assert sorted(job.operations.count() for job in Job.objects.all()) == [1, 1]


def test_a_job_is_split_once_and_joined_once_while_the_worker_proposes(spring: Spring) -> None:
    rail = spring.component("Toerail")
    findings = [spring.finding(rail, "SEAM") for _ in range(2)]
    job = spring.propose()[-1]
    propose = partial(jobs_propose, inspection=spring.inspection, at=AT)
    split = partial(job_split, job=job, findings=[findings[1].pk], by=spring.manager, at=AT)
    assert refused(at_once(split, split, propose)) == 1
    new = Job.objects.latest("id")
    join = partial(jobs_join, by=spring.manager, at=AT)
    assert refused(at_once(partial(join, jobs=[job, new]), partial(join, jobs=[new, job]), propose)) == 1
    live = Job.objects.filter(state=Job.State.PROPOSED, operations__finding__in=findings)
    assert live.count() == 2  # operations, of one job
    assert live.distinct().count() == 1


def test_sending_while_the_worker_proposes_sends_what_is_in_the_tables(spring: Spring) -> None:
    quote = spring.draft()
    spring.finding(spring.component("Tiller"), "REBED_SEALANT")
    at_once(
        lambda: quote_send(quote=quote, by=spring.manager, at=AT),
        lambda: jobs_propose(inspection=spring.inspection, at=AT),
    )
    quote.refresh_from_db()
    assert quote.state == Quote.State.SENT
    assert sorted(Job.objects.values_list("state", flat=True)) == ["proposed", "quoted", "quoted"]


def test_a_job_starts_once_and_a_finding_is_verified_once(spring: Spring) -> None:
    quote = spring.sent()
    for line in quote.lines.all():
        decision_make(line=line, verdict="approve", digest=quote.digest, at=AT, owner=spring.boat.decider_owner)
    job = Job.objects.order_by("id")[0]
    assert refused(at_once(*[lambda: job_start(job=job, by=spring.technician, at=AT)] * THREADS)) == THREADS - 1
    assert refused(at_once(*[lambda: job_done(job=job, by=spring.technician, at=AT)] * THREADS)) == THREADS - 1
    finding = Finding.objects.get(operations__job=job)
    reading = [Measured("moisture", Decimal(14))]
    look = partial(finding_verify, finding=finding, by=spring.technician, at=AT, readings=reading)
    assert refused(at_once(*[look] * THREADS)) == THREADS - 1


def test_several_clicks_on_a_tick_at_once_tick_once(spring: Spring) -> None:
    job = started(spring)
    operation = job.operations.get()
    results = at_once(
        *[lambda: step_tick(job=job, operation=operation, step=1, by=spring.technician, at=AT)] * THREADS
    )
    assert refused(results) == 0
    assert {result.pk for result in results if isinstance(result, StepTick)} == {StepTick.objects.get().pk}


def test_second_looks_of_two_minds_at_once_end_the_finding_or_open_it_again(spring: Spring) -> None:
    Assessment.objects.update(severity=2)
    job = job_done(job=started(spring), by=spring.technician, at=AT)
    finding = Finding.objects.get(operations__job=job)
    reading = [Measured("moisture", Decimal(14))]
    first = finding_verify(finding=finding, by=spring.technician, at=AT, readings=reading)

    def look(holds: bool) -> Callable[[], SecondLook]:
        note = "" if holds else "The seam weeps."
        return lambda: second_look_give(verification=first, by=spring.manager, holds=holds, at=AT, note=note)

    results = at_once(look(True), look(True), look(False), look(False))
    said = SecondLook.objects.get()
    assert refused(results) == 2
    finding.refresh_from_db()
    job.refresh_from_db()
    assert (finding.state, job.state) == (("verified", "verified") if said.holds else ("open", "in_work"))


def test_what_a_yards_hours_say_is_adopted_once(spring: Spring) -> None:
    booked = Booked(spring)
    for _ in range(12):
        booked.done("6")
    treatment = booked.treatment()
    said = next(each for each in learned_hours_of(spring.yard) if each.treatment.pk == treatment.pk)
    hours = said.told.proposed
    assert hours is not None
    adopt = partial(hours_adopt, treatment=treatment, by=spring.manager, hours=hours, why="Ours.", at=AT)
    results = at_once(*[adopt] * THREADS)
    assert refused(results) == 0
    adopted = HoursAdopted.objects.get()
    treatment.refresh_from_db()
    assert (treatment.hours_likely, adopted.hours_likely_before) == (adopted.hours_likely, Decimal("1.50"))


def started(spring: Spring) -> Job:
    """The first job of a quote that was approved, in work."""
    quote = spring.sent()
    for line in quote.lines.all():
        decision_make(line=line, verdict="approve", digest=quote.digest, at=AT, owner=spring.boat.decider_owner)
    return job_start(job=Job.objects.order_by("id")[0], by=spring.technician, at=AT)


def test_two_that_are_joined_to_each_other_at_once_leave_one(spring: Spring) -> None:
    first = Finding.objects.order_by("pk")[0]
    second = spring.finding(first.component, "SEAM")
    join = partial(doubles_join, reason="One seam.", by=spring.manager, at=AT)
    results = at_once(partial(join, joined=first, kept=second), partial(join, joined=second, kept=first))
    assert refused(results) == 1
    assert FindingJoin.objects.count() == 1
    assert Finding.objects.filter(pk__in=[first.pk, second.pk], ended_at=None).count() == 1


def test_two_that_ask_back_at_once_make_one_check(spring: Spring) -> None:
    finding = Finding.objects.order_by("pk")[0]
    ask = partial(second_look_ask, finding=finding, by=spring.manager, at=AT)
    results = at_once(partial(ask, note="Probe it."), partial(ask, note="Lift the coaming."))
    assert refused(results) == 1
    assert (SecondLookAsk.objects.count(), Check.objects.filter(origin="second_look").count()) == (1, 1)


def test_a_look_that_was_asked_for_is_not_taken_back_while_its_answer_arrives(spring: Spring) -> None:
    finding, stored = Finding.objects.order_by("pk")[0], threading.Event()
    asked = second_look_ask(finding=finding, note="Probe it.", by=spring.manager, at=AT)

    def answer() -> object:
        with transaction.atomic():
            held = Inspection.objects.select_for_update(no_key=True).get(pk=spring.inspection.pk)  # as a batch does
            entry = EntryFactory.create(
                inspection=held, component=finding.component, answers=asked.asked_as, author=spring.technician
            )
            stored.set()
            time.sleep(0.5)
        return entry

    def take_back() -> object:
        stored.wait(timeout=20)
        return second_look_withdraw(ask=asked, by=spring.manager, at=AT)

    assert refused(at_once(answer, take_back)) == 1
    assert Check.objects.filter(origin="second_look").count() == 1


def test_a_fleet_that_is_taken_in_by_several_at_once_is_taken_in_once(spring: Spring) -> None:
    owner = spring.boat.owners.get()
    boats = f"name,build,loa_mm,beam_mm,owners\nTerna,carvel,9200,2800,{owner.email}\n"
    tables = tables_read(grids_read("boats.csv", boats.encode()))
    digest = fleet_plan(tables, fleet_stored(spring.yard)).digest
    results = at_once(*[lambda: fleet_take(yard=spring.yard, tables=tables, digest=digest, at=AT)] * THREADS)
    assert refused(results) == 0  # what the first has done leaves the others nothing to do
    fates = sorted(row.fate for plan in results if isinstance(plan, Plan) for row in plan.rows)
    assert fates == ["new"] + ["unchanged"] * (THREADS - 1)
    assert Boat.objects.filter(name="Terna").count() == 1


def test_two_invitations_of_one_address_at_once_leave_the_later_one_open(spring: Spring) -> None:
    def invite() -> object:
        return invitation_send(by=spring.manager, email="ingrid@new.example", role="technician", at=AT)

    at_once(*[invite] * THREADS)
    assert Invitation.objects.count() == THREADS
    assert Invitation.objects.filter(revoked_at=None).count() == 1


def test_an_invitation_that_is_accepted_twice_at_once_makes_one_log_in(spring: Spring) -> None:
    invitation_send(by=spring.manager, email="ingrid@new.example", role="technician", at=AT)
    key = Mail.objects.get(key__startswith="invitation:").text.partition("/join/")[2][:43]
    made = at_once(
        *(
            partial(invitation_accept, key=key, username=f"ingrid{n}", name="Ingrid", password=PASSWORD, at=AT)
            for n in range(THREADS)
        )
    )
    assert sum(isinstance(each, Member) for each in made) == 1
    assert User.objects.filter(username__startswith="ingrid").count() == 1


def test_of_two_managers_one_cant_be_shut_out_while_the_other_gives_up_the_role(spring: Spring) -> None:
    other, begun = MemberFactory.create(yard=spring.manager.yard), threading.Event()

    def close() -> object:
        with transaction.atomic():
            closed = member_close(member=other, by=spring.manager, at=AT)
            begun.set()
            time.sleep(0.5)  # the other one comes to where it has to wait
        return closed

    def give_up() -> object:
        begun.wait(timeout=20)
        return member_change(member=spring.manager, changes={"role": "technician"}, at=AT)

    assert refused(at_once(close, give_up)) == 1
    assert Member.objects.get(pk=spring.manager.pk).is_manager
