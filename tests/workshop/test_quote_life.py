"""Whatever order things happen in: nothing is sent twice, changes after sending, loses a word, or adds up wrongly.

A machine plays manager, worker, decider and nights at random against the services and keeps its own simple book
beside them; after each step the tables must agree with the book.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import TypeVar

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from inspections.models import Finding
from tests.workshop.spring import AT, a_spring
from workshop.models import Decision, Job, OwnerLink, Quote
from workshop.pricing.money import Totals
from workshop.services.decisions import approved_totals, decision_make
from workshop.services.jobs import OperationSheet, job_change, job_drop
from workshop.services.quotes import (
    quote_change,
    quote_document,
    quote_draft,
    quote_send,
    quote_supersede,
    quote_withdraw,
    quotes_lapse,
)
from yard.models import HourlyRate, OutboxRow
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

ENDS = {Quote.State.DECIDED, Quote.State.LAPSED, Quote.State.SUPERSEDED}
Row = TypeVar("Row")
CENT = Decimal("0.01")


@dataclass
class Sent:
    """What was sent, as it was."""

    content: str
    digest: str
    lines: list[tuple[object, ...]]


@dataclass
class Book:
    sent: dict[int, Sent] = field(default_factory=dict)
    # quote and job → the word that was accepted
    said: dict[tuple[int, int], str] = field(default_factory=dict)
    states: dict[int, str] = field(default_factory=dict)


class QuoteLife(RuleBasedStateMachine):
    @initialize(places=st.integers(1, 3))
    def a_boat_with_findings(self, places: int) -> None:
        self.spring = a_spring()
        self.now = AT
        self.book = Book()
        self.components = [self.spring.component(f"Part {number}") for number in range(places)]
        for component in self.components:
            self.spring.finding(component, "REBED_SEALANT")

    # --- what people and the worker do ------------------------------------------------------------

    @rule(treatment=st.sampled_from(["REBED_SEALANT", "SEAM", "OPEN_UP"]), where=st.integers(0, 2))
    def a_finding_comes_in(self, treatment: str, where: int) -> None:
        component = self.components[where % len(self.components)]
        self.spring.finding(component, treatment, size_mm="1500.0", priority="before_launch")

    @rule()
    def the_worker_proposes(self) -> None:
        self.spring.propose()

    @rule(which=st.integers(0, 5), quantity=st.decimals("0.25", 9, places=2))
    def the_manager_changes_a_job(self, which: int, quantity: Decimal) -> None:
        job = self._pick(self._jobs(), which)
        if job is not None:
            finding = Finding.objects.filter(operations__job=job).first()
            assert finding is not None
            sheet = OperationSheet("SEAM", finding.pk, quantity)
            self._may_refuse(lambda: job_change(job=job, by=self.spring.manager, at=self.now, operations=[sheet]))

    @rule(which=st.integers(0, 5))
    def the_manager_drops_a_job(self, which: int) -> None:
        job = self._pick(self._jobs(), which)
        if job is not None:
            self._may_refuse(lambda: job_drop(job=job, by=self.spring.manager, at=self.now))

    @rule(amount=st.decimals(1, 200, places=2))
    def an_hour_costs_something_else(self, amount: Decimal) -> None:
        HourlyRate.objects.of_yard(self.spring.yard).update(amount=amount)

    @rule(take=st.integers(1, 4))
    def the_manager_drafts(self, take: int) -> None:
        jobs = [job for job in self._jobs() if job.state == Job.State.PROPOSED][:take]
        inspection, by = self.spring.inspection, self.spring.manager
        self._may_refuse(lambda: quote_draft(inspection=inspection, jobs=jobs, by=by, at=self.now))

    @rule(which=st.integers(0, 5), take=st.integers(1, 4))
    def the_manager_changes_a_quote(self, which: int, take: int) -> None:
        quote = self._pick(self._quotes(), which)
        if quote is not None:
            jobs = [job for job in self._jobs() if job.state == Job.State.PROPOSED][:take]
            self._may_refuse(lambda: quote_change(quote=quote, at=self.now, jobs=jobs))

    @rule(which=st.integers(0, 5))
    def the_manager_sends(self, which: int) -> None:
        quote = self._pick(self._quotes(), which)
        if quote is None:
            return
        was = quote.state
        if self._may_refuse(lambda: quote_send(quote=quote, by=self.spring.manager, at=self.now)):
            assert was == Quote.State.DRAFT
            assert quote.pk not in self.book.sent
            sent = Quote.objects.get(pk=quote.pk)
            self.book.sent[sent.pk] = Sent(sent.content, sent.digest, _figures(sent))

    @rule(which=st.integers(0, 5))
    def the_manager_withdraws(self, which: int) -> None:
        quote = self._pick(self._quotes(), which)
        if quote is not None:
            self._may_refuse(lambda: quote_withdraw(quote=quote, at=self.now))

    @rule(which=st.integers(0, 5))
    def the_manager_supersedes(self, which: int) -> None:
        quote = self._pick(self._quotes(), which)
        if quote is not None:
            self._may_refuse(lambda: quote_supersede(quote=quote, by=self.spring.manager, at=self.now))

    @rule(days=st.integers(0, 15))
    def nights_pass(self, days: int) -> None:
        self.now += timedelta(days=days)
        quotes_lapse(yard=self.spring.yard, at=self.now)

    @rule(
        which=st.integers(0, 5),
        line=st.integers(0, 3),
        verdict=st.sampled_from(["approve", "decline", "ask"]),
        right_digest=st.integers(0, 5).map(bool),
        clicks=st.integers(1, 2),
    )
    @precondition(lambda self: bool(self.book.sent))
    def the_decider_speaks(self, which: int, line: int, verdict: str, right_digest: bool, clicks: int) -> None:
        quote = self._pick(self._quotes(), which)
        if quote is None:
            return
        chosen = self._pick(list(quote.lines.all()), line)
        if chosen is None:
            return
        for _ in range(clicks):
            accepted = self._may_refuse(
                lambda: decision_make(
                    line=chosen,
                    verdict=verdict,
                    digest=quote.digest if right_digest else "f" * 64,
                    question="Why now?",
                    at=self.now,
                    owner=self.spring.boat.decider_owner,
                )
            )
            if accepted:
                assert right_digest
                if verdict != "ask":
                    assert (quote.pk, chosen.job_id) not in self.book.said
                    self.book.said[quote.pk, chosen.job_id] = verdict

    # --- what must hold after each of it ------------------------------------------------------------

    @invariant()
    def what_was_sent_stays_as_it_was(self) -> None:
        for quote in self._quotes():
            sent = self.book.sent.get(quote.pk)
            if sent is None:
                assert quote.sent_at is None
                continue
            assert (quote.content, quote.digest) == (sent.content, sent.digest)
            assert hashlib.sha256(quote.content.encode()).hexdigest() == quote.digest
            assert _figures(quote) == sent.lines

    @invariant()
    def each_sent_quote_asked_for_one_report_and_has_one_link(self) -> None:
        if not hasattr(self, "book"):
            return
        for pk in self.book.sent:
            assert OutboxRow.objects.filter(task="workshop.make_report", arguments__quote_id=pk).count() == 1
            assert OwnerLink.objects.filter(quote=pk).count() == 1

    @invariant()
    def no_word_is_lost_or_made_up(self) -> None:
        if not hasattr(self, "book"):
            return
        kept = {
            (decision.line.quote_id, decision.line.job_id): decision.verdict
            for decision in Decision.objects.of_yard(self.spring.yard).exclude(verdict="ask").select_related("line")
        }
        assert kept == self.book.said
        for (_, job_id), verdict in kept.items():
            state = Job.objects.get(pk=job_id).state
            # a declined job may be taken off the list afterwards; a yes stands
            assert state in ({"approved"} if verdict == "approve" else {"declined", "dropped"})

    @invariant()
    def states_only_go_forward(self) -> None:
        for quote in self._quotes():
            before = self.book.states.get(quote.pk)
            if before in ENDS:
                assert quote.state == before
            if before == Quote.State.SENT:
                assert quote.state != Quote.State.DRAFT
            self.book.states[quote.pk] = quote.state
            undecided = quote.lines.exclude(decisions__verdict__in=["approve", "decline"])
            if quote.state == Quote.State.DECIDED:
                assert not undecided.exists()
            if quote.state == Quote.State.SENT:
                assert {line.job.state for line in undecided.select_related("job")} == {"quoted"}

    @invariant()
    def a_job_is_with_the_decider_in_one_quote_at_most(self) -> None:
        for job in self._jobs():
            out = job.quote_lines.filter(quote__state=Quote.State.SENT).exclude(
                decisions__verdict__in=["approve", "decline"]
            )
            assert out.count() == (1 if job.state == Job.State.QUOTED else 0)

    @invariant()
    def figures_add_up(self) -> None:
        for quote in self._quotes():
            if quote.pk not in self.book.sent:
                continue
            document = quote_document(quote)
            lines = {line.job_id: line for line in quote.lines.all()}
            for job in document.jobs:
                assert job.net == lines[job.id].net_labour + lines[job.id].net_materials
                assert job.hours_likely <= job.hours_ceiling
            _adds_up(document.totals, [job.net for job in document.jobs])
            approved = [job.net for job in document.jobs if self.book.said.get((quote.pk, job.id)) == "approve"]
            _adds_up(approved_totals(quote), approved)

    # --- helpers ------------------------------------------------------------------------------------

    def _jobs(self) -> list[Job]:
        return list(Job.objects.filter(inspection=self.spring.inspection).order_by("id")) if self._begun else []

    def _quotes(self) -> list[Quote]:
        return list(Quote.objects.filter(inspection=self.spring.inspection).order_by("id")) if self._begun else []

    @property
    def _begun(self) -> bool:
        return hasattr(self, "book")

    @staticmethod
    def _pick(rows: list[Row], which: int) -> Row | None:
        return rows[which % len(rows)] if rows else None

    @staticmethod
    def _may_refuse(call: Callable[[], object]) -> bool:
        try:
            call()
        except Refused:
            return False
        return True


def _figures(quote: Quote) -> list[tuple[object, ...]]:
    return list(quote.lines.order_by("id").values_list())


def _adds_up(totals: Totals, nets: list[Decimal]) -> None:
    net = sum(nets, Decimal(0))
    # One rate of 25 %: EN 16931, BR-CO-17, rounded once on the sum, half away from zero.
    vat = (net * 25 / 100).quantize(CENT, rounding=ROUND_HALF_UP)
    assert (totals.net, totals.vat, totals.gross) == (net, vat, net + vat)


def test_no_path_sends_twice_changes_what_was_sent_loses_a_word_or_adds_up_wrongly() -> None:
    run_state_machine_as_test(
        QuoteLife,
        settings=settings(
            max_examples=20,
            stateful_step_count=25,
            deadline=None,
            suppress_health_check=list(HealthCheck),
            database=None,
        ),
    )
