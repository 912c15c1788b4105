"""Whatever order things happen in: nothing is sent twice, changes after sending, loses a word, or adds up wrongly;
nobody has two ways of a choice, or a job without what it needs.

A machine plays manager, worker, decider and nights at random against the services and keeps its own simple book
beside them; after each step the tables must agree with the book.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import ROUND_HALF_UP, Decimal
from functools import partial
from typing import TypeVar

import pytest
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from inspections.models import Finding
from tests.workshop.spring import AT, a_spring
from workshop.models import Decision, Job, OwnerLink, Quote, QuoteLine
from workshop.models.quotes import Verdict
from workshop.pricing.money import Totals
from workshop.services.alternatives import job_alternative
from workshop.services.answers import approved_totals
from workshop.services.decisions import decision_make
from workshop.services.jobs import OperationSheet, job_change, job_drop
from workshop.services.needs import job_needs_set
from workshop.services.option_groups import option_group_set
from workshop.services.quotes import (
    quote_change,
    quote_document,
    quote_draft,
    quote_send,
    quote_supersede,
    quote_withdraw,
    quotes_lapse,
)
from yard.models import HourlyRate, Mail, OutboxRow
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

SETTLED = ["approve", "decline", "not_chosen"]
ENDS = {Quote.State.DECIDED, Quote.State.LAPSED, Quote.State.SUPERSEDED}
# What people do that they should not: often enough to try it, seldom enough to get somewhere.
SELDOM = st.integers(0, 5).map(lambda number: number == 5)
REACHED: Counter[str] = Counter()
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
    @initialize(places=st.integers(1, 3), begun=st.sampled_from(["sent", "sent", "draft", "found"]))
    def a_boat_with_findings(self, places: int, begun: str) -> None:
        self.spring = a_spring()
        self.now = AT
        self.book = Book()
        self.components = [self.spring.component(f"Part {number}") for number in range(places)]
        for component in self.components:
            self.spring.finding(component, "REBED_SEALANT")
        self.spring.propose()
        if begun != "found":
            self.the_manager_drafts(which=0, take=4, blindly=False)
        if begun == "sent":
            self.the_manager_sends(which=0, blindly=False, clicks=1)

    # --- what people and the worker do ------------------------------------------------------------

    @rule(
        new=st.booleans(), treatment=st.sampled_from(["REBED_SEALANT", "SEAM", "OPEN_UP"]), where=st.integers(0, 2)
    )
    def the_worker_proposes(self, new: bool, treatment: str, where: int) -> None:
        if new:
            component = self.components[where % len(self.components)]
            self.spring.finding(component, treatment, size_mm="1500.0", priority="before_launch")
        self.spring.propose()

    @rule(
        what=st.sampled_from(["job", "drop", "rate"]), which=st.integers(0, 5), figure=st.decimals(1, 90, places=2)
    )
    def the_office_changes_something(self, what: str, which: int, figure: Decimal) -> None:
        if what == "rate":
            HourlyRate.objects.of_yard(self.spring.yard).update(amount=figure)
            return
        job = self._pick(self._jobs(), which)
        if job is None:
            return
        if what == "drop":
            self._may_refuse(lambda: job_drop(job=job, by=self.spring.manager, at=self.now))
            return
        finding = Finding.objects.filter(operations__job=job).first()
        assert finding is not None
        sheet = OperationSheet("SEAM", finding.pk, figure)
        self._may_refuse(lambda: job_change(job=job, by=self.spring.manager, at=self.now, operations=[sheet]))

    @rule(which=st.integers(0, 5), take=st.integers(1, 4), blindly=SELDOM)
    def the_manager_drafts(self, which: int, take: int, blindly: bool) -> None:
        jobs = [job for job in self._jobs() if blindly or job.state == Job.State.PROPOSED][:take]
        quote = self._pick(self._quotes() if blindly else self._quotes(Quote.State.DRAFT), which)
        if quote is not None:
            self._may_refuse(lambda: quote_change(quote=quote, at=self.now, jobs=jobs))
            return
        inspection, by = self.spring.inspection, self.spring.manager
        self._may_refuse(lambda: quote_draft(inspection=inspection, jobs=jobs, by=by, at=self.now))

    @rule(which=st.integers(0, 5))
    def the_manager_offers_another_way(self, which: int) -> None:
        job = self._pick([job for job in self._jobs() if job.state == Job.State.PROPOSED], which)
        draft = self._pick(self._quotes(Quote.State.DRAFT), 0)
        if job is None or draft is None:
            return
        finding = Finding.objects.filter(operations__job=job).first()
        assert finding is not None
        sheets = [OperationSheet("SEAM", finding.pk, Decimal("0.25"))]
        spring, jobs = self.spring, [line.job for line in draft.lines.all()]

        def offer() -> None:
            hold = job_alternative(
                job=job, by=spring.manager, at=self.now, title="Hold it", operations=sheets, means="It holds."
            )
            quote_change(quote=draft, at=self.now, jobs=[*dict.fromkeys([*jobs, job]), hold])
            option_group_set(quote=draft, title=f"Ways of {job.pk}", jobs=[job, hold])
            REACHED["another way"] += 1

        self._may_refuse(transaction.atomic(offer))

    @rule(which=st.integers(0, 5), other=st.integers(0, 5))
    def the_manager_says_what_a_job_needs(self, which: int, other: int) -> None:
        job, needed = self._pick(self._jobs(), which), self._pick(self._jobs(), other)
        if job is not None and needed is not None:
            self._may_refuse(lambda: job_needs_set(job=job, needed=[needed]))

    @rule(which=st.integers(0, 5), blindly=SELDOM, clicks=st.integers(1, 2))
    def the_manager_sends(self, which: int, blindly: bool, clicks: int) -> None:
        quote = self._pick(self._quotes() if blindly else self._quotes(Quote.State.DRAFT), which)
        if quote is None:
            return
        for _ in range(clicks):
            was = Quote.objects.get(pk=quote.pk).state
            if self._may_refuse(lambda: quote_send(quote=quote, by=self.spring.manager, at=self.now)):
                assert was == Quote.State.DRAFT
                assert quote.pk not in self.book.sent
                sent = Quote.objects.get(pk=quote.pk)
                self.book.sent[sent.pk] = Sent(sent.content, sent.digest, _figures(sent))

    @rule(which=st.integers(0, 5), anew=st.booleans(), blindly=SELDOM)
    def the_manager_takes_back(self, which: int, anew: bool, blindly: bool) -> None:
        quote = self._pick(self._quotes() if blindly else self._quotes(Quote.State.SENT), which)
        if quote is None:
            return
        if anew:
            self._may_refuse(lambda: quote_supersede(quote=quote, by=self.spring.manager, at=self.now))
        else:
            self._may_refuse(lambda: quote_withdraw(quote=quote, at=self.now))

    @rule(days=st.sampled_from([0, 1, 3, 22]))
    def nights_pass(self, days: int) -> None:
        self.now += timedelta(days=days)
        quotes_lapse(yard=self.spring.yard, at=self.now)

    @rule(which=st.integers(0, 5), line=st.integers(0, 3), wrong=SELDOM, blindly=SELDOM, clicks=st.integers(1, 2))
    def the_decider_says_yes(self, which: int, line: int, wrong: bool, blindly: bool, clicks: int) -> None:
        self._speak("approve", which, line, wrong, blindly, clicks)

    @rule(which=st.integers(0, 5), line=st.integers(0, 3), wrong=SELDOM, blindly=SELDOM, clicks=st.integers(1, 2))
    def the_decider_says_no(self, which: int, line: int, wrong: bool, blindly: bool, clicks: int) -> None:
        self._speak("decline", which, line, wrong, blindly, clicks)

    @rule(which=st.integers(0, 5), line=st.integers(0, 3), blindly=SELDOM)
    def the_decider_asks(self, which: int, line: int, blindly: bool) -> None:
        self._speak("ask", which, line, False, blindly, 1)

    def _speak(self, verdict: str, which: int, line: int, wrong_digest: bool, blindly: bool, clicks: int) -> None:
        quote = self._pick(self._quotes() if blindly else self._quotes(Quote.State.SENT), which)
        chosen = None if quote is None else self._pick(list(quote.lines.all()), line)
        if quote is None or chosen is None:
            return
        for _ in range(clicks):
            accepted = self._may_refuse(
                lambda: decision_make(
                    line=chosen,
                    verdict=verdict,
                    digest="f" * 64 if wrong_digest else quote.digest,
                    question="Why now?" if verdict == "ask" else "",
                    read=True,
                    along=[] if blindly else list(quote.lines.values_list("id", flat=True)),
                    at=self.now,
                    owner=self.spring.boat.decider_owner,
                )
            )
            if accepted:
                assert not wrong_digest
                if verdict != "ask":
                    assert (quote.pk, chosen.job_id) not in self.book.said
                    self.book.said[quote.pk, chosen.job_id] = verdict
                    self._what_followed(quote)
                REACHED[verdict] += 1

    def _what_followed(self, quote: Quote) -> None:
        """What a word settled besides: it names that word, and changes nothing that was said before."""
        for followed in Decision.objects.filter(line__quote=quote, because__isnull=False).select_related("line"):
            key = (quote.pk, followed.line.job_id)
            if key not in self.book.said:
                self.book.said[key] = followed.verdict
                REACHED[followed.verdict] += 1

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
            assert state in {
                "approve": {"approved"}, "decline": {"declined", "dropped"}, "not_chosen": {"not_chosen"},
            }[verdict]  # fmt: skip

    @invariant()
    def nobody_has_two_ways_or_a_job_without_what_it_needs(self) -> None:
        yes = (
            {job_id for (_, job_id), verdict in self.book.said.items() if verdict == "approve"}
            if self._begun
            else set()
        )
        for job in Job.objects.filter(pk__in=yes).prefetch_related("needs", "quote_lines"):
            assert yes.issuperset(need.needed_id for need in job.needs.all())
        groups = QuoteLine.objects.filter(job__in=yes, decisions__verdict="approve", option_group__isnull=False)
        chosen = list(groups.values_list("option_group", flat=True))
        assert len(chosen) == len(set(chosen))

    @invariant()
    def states_only_go_forward(self) -> None:
        for quote in self._quotes():
            before = self.book.states.get(quote.pk)
            if before in ENDS:
                assert quote.state == before
            if before == Quote.State.SENT:
                assert quote.state != Quote.State.DRAFT
            self.book.states[quote.pk] = quote.state
            REACHED[quote.state] += 1
            undecided = quote.lines.exclude(decisions__verdict__in=SETTLED)
            if quote.state == Quote.State.DECIDED:
                assert not undecided.exists()
            if quote.state == Quote.State.SENT:
                assert {line.job.state for line in undecided.select_related("job")} == {"quoted"}

    @invariant()
    def a_job_is_with_the_decider_in_one_quote_at_most(self) -> None:
        for job in self._jobs():
            out = job.quote_lines.filter(quote__state=Quote.State.SENT).exclude(decisions__verdict__in=SETTLED)
            assert out.count() == (1 if job.state == Job.State.QUOTED else 0)

    @invariant()
    def each_decided_quote_has_one_receipt_and_no_other_has_any(self) -> None:
        decided = {f"receipt:{quote.pk}" for quote in self._quotes(Quote.State.DECIDED)}
        if self._begun:
            receipts = Mail.objects.of_yard(self.spring.yard).filter(key__startswith="receipt:")
            assert sorted(receipts.values_list("key", flat=True)) == sorted(decided)

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
            _adds_up(document.totals, [job.net for job in document.as_advised])
            ways = [job.option for job in document.as_advised if job.option]
            assert len(ways) == len(set(ways))
            approved = [job.net for job in document.jobs if self.book.said.get((quote.pk, job.id)) == "approve"]
            _adds_up(approved_totals(quote), approved)

    def check_everything(self) -> None:
        """All of it at once, for a walk that is not drawn at random."""
        self.what_was_sent_stays_as_it_was()
        self.each_sent_quote_asked_for_one_report_and_has_one_link()
        self.no_word_is_lost_or_made_up()
        self.nobody_has_two_ways_or_a_job_without_what_it_needs()
        self.states_only_go_forward()
        self.a_job_is_with_the_decider_in_one_quote_at_most()
        self.each_decided_quote_has_one_receipt_and_no_other_has_any()
        self.figures_add_up()

    # --- helpers ------------------------------------------------------------------------------------

    def _jobs(self) -> list[Job]:
        return list(Job.objects.filter(inspection=self.spring.inspection).order_by("id")) if self._begun else []

    def _quotes(self, *states: str) -> list[Quote]:
        if not self._begun:
            return []
        quotes = Quote.objects.filter(inspection=self.spring.inspection).order_by("id")
        return list(quotes.filter(state__in=states) if states else quotes)

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
            max_examples=10,
            stateful_step_count=20,
            deadline=None,
            suppress_health_check=list(HealthCheck),
            database=None,
        ),
    )


def test_the_machine_can_reach_every_state_and_every_word() -> None:
    """A walk that gets nowhere finds nothing: here is one that gets everywhere, with the same checks."""
    REACHED.clear()
    life = QuoteLife()
    life.a_boat_with_findings(places=3, begun="sent")
    send = partial(life.the_manager_sends, which=0, blindly=False, clicks=2)
    yes = partial(life.the_decider_says_yes, which=0, wrong=False, blindly=False, clicks=2)
    steps: list[Callable[[], None]] = [
        partial(life.the_decider_asks, which=0, line=0, blindly=False),
        partial(life.the_decider_says_yes, which=0, line=0, wrong=True, blindly=False, clicks=1),
        partial(yes, line=0),
        partial(life.the_decider_says_no, which=0, line=1, wrong=False, blindly=False, clicks=2),
        partial(life.the_manager_takes_back, which=0, anew=True, blindly=False),
        partial(life.the_office_changes_something, what="rate", which=0, figure=Decimal("70.00")),
        partial(life.the_office_changes_something, what="job", which=2, figure=Decimal("2.50")),
        send,
        partial(life.nights_pass, days=22),
        partial(life.the_manager_drafts, which=0, take=4, blindly=False),
        send,
        partial(yes, line=0),
        partial(life.the_worker_proposes, new=True, treatment="SEAM", where=0),
        partial(life.the_manager_drafts, which=0, take=4, blindly=False),
        partial(life.the_manager_takes_back, which=3, anew=False, blindly=True),
        partial(life.the_manager_drafts, which=0, take=1, blindly=False),
        partial(life.the_manager_offers_another_way, which=0),
        partial(life.the_manager_says_what_a_job_needs, which=0, other=0),
        send,
        partial(yes, line=0),
    ]
    for step in steps:
        step()
        life.check_everything()
    assert {*Quote.State.values, *Verdict.values, "another way"} <= set(REACHED)
    assert sorted(quote.state for quote in life._quotes()) == [
        "decided",
        "decided",
        "lapsed",
        "superseded",
        "superseded",
    ]
