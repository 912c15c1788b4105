"""The decider's word: who may say it, on what, and what follows."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from inspections.models import Finding
from tests.factories import MemberFactory, OwnerFactory
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import Decision, Job, Quote, QuoteLine
from workshop.services.answers import approved_totals
from workshop.services.decisions import AlreadyDecided, decision_make
from workshop.services.quotes import quote_document, quote_withdraw
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def spring() -> Spring:
    made = a_spring()
    made.finding(made.component("Window frame"), "REBED_SEALANT")
    made.finding(made.component("Laid deck"), "SEAM")
    return made


def say(spring: Spring, line: QuoteLine, verdict: str, **changes: object) -> Decision:
    quote = Quote.objects.get(pk=line.quote_id)
    said: dict[str, object] = {
        "line": line,
        "verdict": verdict,
        "digest": quote.digest,
        "at": AT,
        "owner": spring.boat.decider_owner,
        **changes,
    }
    return decision_make(**said)  # type: ignore[arg-type]


def finding_of(line: QuoteLine) -> Finding:
    return Finding.objects.get(operations__job=line.job_id)


def test_yes_approves_the_job_and_leaves_its_finding_open(spring: Spring) -> None:
    line = spring.sent().lines.get(position=1)
    decision = say(spring, line, "approve", from_address="2001:db8::1")
    line.job.refresh_from_db()
    assert line.job.state == Job.State.APPROVED
    assert finding_of(line).state == Finding.State.OPEN
    assert (decision.decided_at, decision.from_address, decision.digest) == (AT, "2001:db8::1", line.quote.digest)


def test_no_declines_the_job_and_its_finding(spring: Spring) -> None:
    line = spring.sent().lines.get(position=1)
    say(spring, line, "decline")
    line.job.refresh_from_db()
    assert line.job.state == Job.State.DECLINED
    assert finding_of(line).state == Finding.State.DECLINED


def test_a_question_changes_nothing_but_is_kept(spring: Spring) -> None:
    line = spring.sent().lines.get(position=1)
    say(spring, line, "ask", question="  Could it wait until autumn?  ")
    line.job.refresh_from_db()
    assert line.job.state == Job.State.QUOTED
    assert [decision.question for decision in line.decisions.all()] == ["Could it wait until autumn?"]


def test_a_question_sent_twice_is_taken_down_once_and_another_one_again(spring: Spring) -> None:
    line = spring.sent().lines.get(position=1)
    first = say(spring, line, "ask", question="Teak or larch?")
    assert say(spring, line, "ask", question="Teak or larch?").pk == first.pk
    say(spring, line, "ask", question="Which larch?")
    say(spring, line, "approve")
    assert line.decisions.count() == 3


def test_the_last_yes_or_no_ends_the_quote(spring: Spring) -> None:
    quote = spring.sent()
    first, second = quote.lines.all()
    say(spring, first, "approve")
    quote.refresh_from_db()
    assert (quote.state, quote.ended_at) == (Quote.State.SENT, None)
    say(spring, second, "decline", at=AT + timedelta(hours=1))
    quote.refresh_from_db()
    assert (quote.state, quote.ended_at) == (Quote.State.DECIDED, AT + timedelta(hours=1))


@pytest.mark.parametrize("second", ["approve", "decline", "ask"])
def test_a_job_is_decided_once(spring: Spring, second: str) -> None:
    quote = spring.sent()
    line = quote.lines.get(position=1)
    first = say(spring, line, "decline")
    with pytest.raises(AlreadyDecided) as refused:
        say(spring, line, second, question="Why?")
    assert refused.value.decision == first
    line.job.refresh_from_db()
    assert line.job.state == Job.State.DECLINED


def test_the_database_holds_one_yes_or_no_per_job(spring: Spring) -> None:
    line = spring.sent().lines.get(position=1)
    say(spring, line, "approve")
    again = Decision(
        yard=spring.yard,
        line=line,
        verdict="decline",
        digest="0" * 64,
        owner=spring.boat.decider_owner,
        decided_at=AT,
    )
    with pytest.raises(IntegrityError), transaction.atomic():
        again.save()


def test_a_decision_is_never_changed(spring: Spring) -> None:
    decision = say(spring, spring.sent().lines.get(position=1), "approve")
    with pytest.raises(IntegrityError), transaction.atomic():
        Decision.objects.filter(pk=decision.pk).update(verdict="decline")


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        pytest.param({"digest": "0" * 64}, "digest", id="another digest"),
        pytest.param({"digest": ""}, "digest", id="no digest"),
        pytest.param({"verdict": "perhaps"}, "verdict", id="unknown verdict"),
        pytest.param({"verdict": "ask", "question": "  "}, "question", id="question without words"),
        pytest.param({"verdict": "ask", "question": "x" * 2001}, "question", id="question without end"),
        pytest.param({"owner": None}, "decider", id="nobody"),
        pytest.param({"at": AT + timedelta(days=22)}, "quote", id="the day after the last"),
    ],
)
def test_a_word_that_can_not_count_is_refused(spring: Spring, changes: dict[str, object], field: str) -> None:
    line = spring.sent().lines.get(position=1)
    with pytest.raises(Refused) as refused:
        say(spring, line, str(changes.pop("verdict", "approve")), **changes)
    assert refused.value.field == field
    assert not Decision.objects.exists()


def test_the_whole_last_day_counts_by_the_yards_clock(spring: Spring) -> None:
    line = spring.sent().lines.get(position=1)
    say(spring, line, "approve", at=AT.replace(day=27, hour=21, minute=59))


def test_another_owner_of_the_boat_does_not_decide(spring: Spring) -> None:
    sister = OwnerFactory.create(yard=spring.yard)
    spring.boat.owners.add(sister)
    line = spring.sent().lines.get(position=1)
    with pytest.raises(Refused) as refused:
        say(spring, line, "approve", owner=sister)
    assert refused.value.field == "decider"


def test_a_manager_does_not_decide_on_an_owners_boat(spring: Spring) -> None:
    line = spring.sent().lines.get(position=1)
    with pytest.raises(Refused) as refused:
        say(spring, line, "approve", owner=None, member=spring.manager)
    assert refused.value.field == "decider"


def test_the_operators_manager_decides_on_her_own_boats(spring: Spring) -> None:
    spring.boat.decider_owner, spring.boat.decider_member = None, spring.manager
    spring.boat.save()
    line = spring.sent().lines.get(position=1)
    with pytest.raises(Refused):
        say(spring, line, "approve", owner=None, member=MemberFactory.create(yard=spring.yard))
    assert say(spring, line, "approve", owner=None, member=spring.manager).member == spring.manager


def test_after_a_change_of_decider_the_old_quote_takes_no_word(spring: Spring) -> None:
    old = spring.boat.decider_owner
    line = spring.sent().lines.get(position=1)
    buyer = OwnerFactory.create(yard=spring.yard)
    spring.boat.decider_owner = buyer
    spring.boat.save()
    for person in (old, buyer):
        with pytest.raises(Refused) as refused:
            say(spring, line, "approve", owner=person)
        assert refused.value.field == "decider"


def test_a_draft_and_a_withdrawn_quote_take_no_word(spring: Spring) -> None:
    draft = spring.draft()
    with pytest.raises(Refused) as refused:
        say(spring, draft.lines.get(position=1), "approve")
    assert refused.value.field == "quote"
    other = a_spring()
    other.finding(other.component(), "REBED_SEALANT")
    quote = other.sent()
    quote_withdraw(quote=quote, at=AT)
    with pytest.raises(Refused) as refused:
        say(other, quote.lines.get(position=1), "approve")
    assert refused.value.field == "quote"


def test_what_was_approved_adds_up_by_itself(spring: Spring) -> None:
    quote = spring.sent()
    first, second = quote.lines.all()
    assert approved_totals(quote).gross == Decimal("0.00")
    say(spring, first, "approve")
    say(spring, second, "decline")
    job = quote_document(quote).job(first.job_id)
    totals = approved_totals(quote)
    assert totals.net == job.net
    assert totals.gross == job.net + (job.net / 4).quantize(Decimal("0.01"), rounding="ROUND_HALF_UP")


def test_a_no_to_what_is_unsafe_needs_the_word_that_it_was_read(spring: Spring) -> None:
    spring.finding(spring.component("Mast step"), "SEAM", priority="before_launch", severity=1)
    line = spring.sent().lines.get(job__unsafe_to_leave=True)
    with pytest.raises(Refused) as refused:
        say(spring, line, "decline")
    assert refused.value.field == "read"
    assert not Decision.objects.exists()
    assert say(spring, line, "decline", read=True).verdict == "decline"
