"""Question and answer under a job: in order, each once, mailed, and never changed."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from django.db import IntegrityError, transaction

from tests.factories import MemberFactory, OwnerFactory
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import Decision, OwnerLink, Quote, QuoteLine, Reply
from workshop.models.quotes import Verdict
from workshop.services.decisions import decision_make
from workshop.services.links import link_revoke, link_url
from workshop.services.quotes import quote_withdraw
from workshop.services.threads import reply_write, thread_of
from yard.models import Mail
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

HOUR = timedelta(hours=1)


@pytest.fixture
def spring() -> Spring:
    made = a_spring(name="Sea Pink")
    made.finding(made.component("Window frame"), "REBED_SEALANT")
    return made


@pytest.fixture
def line(spring: Spring) -> QuoteLine:
    found: QuoteLine = spring.sent().lines.select_related("quote").get()
    return found


def ask(spring: Spring, line: QuoteLine, question: str, at: datetime = AT, verdict: str = "ask") -> Decision:
    return decision_make(
        line=line,
        verdict=verdict,
        question=question,
        digest=line.quote.digest,
        at=at,
        owner=spring.boat.decider_owner,
    )


def reply(spring: Spring, line: QuoteLine, text: str, at: datetime) -> Reply:
    return reply_write(line=line, text=text, by=spring.manager, at=at)


def thread(line: QuoteLine) -> list[tuple[bool, str]]:
    questions = line.decisions.filter(verdict=Verdict.ASK)
    return [(said.by_yard, said.text) for said in thread_of(questions, line.replies.all())]


def test_questions_and_answers_stand_in_the_order_in_which_they_were_said(spring: Spring, line: QuoteLine) -> None:
    ask(spring, line, "Can it wait?")
    reply(spring, line, "Until lay-up.", AT + HOUR)
    ask(spring, line, "And after that?", AT + 2 * HOUR)
    reply(spring, line, "Then it is rot.", AT + 3 * HOUR)
    assert thread(line) == [
        (False, "Can it wait?"),
        (True, "Until lay-up."),
        (False, "And after that?"),
        (True, "Then it is rot."),
    ]
    ask(spring, line, "", AT + 4 * HOUR, verdict="approve")
    reply(spring, line, "Thank you.", AT + 5 * HOUR)
    assert thread(line)[-1] == (True, "Thank you.")


def test_the_answer_is_mailed_to_who_asked_with_question_and_link(spring: Spring, line: QuoteLine) -> None:
    ask(spring, line, "Can <it> wait?")
    reply(spring, line, "Until lay-up.", AT + HOUR)
    mail = Mail.objects.get(key__startswith="reply:")
    assert mail.subject == "Sea Pink: the answer to your question on job 1"
    assert mail.to_address == spring.boat.decider_owner.email  # type: ignore[union-attr]
    assert "Can <it> wait?" in mail.text
    assert "Can &lt;it&gt; wait?" in mail.html
    for part in (mail.text, mail.html):
        assert "Until lay-up." in part
        assert link_url(OwnerLink.objects.get()) in part
    assert mail.unsubscribe_url == ""


def test_a_shut_link_is_not_mailed(spring: Spring, line: QuoteLine) -> None:
    ask(spring, line, "Can it wait?")
    link_revoke(link=OwnerLink.objects.get(), at=AT)
    reply(spring, line, "Until lay-up.", AT + HOUR)
    assert "/o/" not in Mail.objects.get(key__startswith="reply:").text


def test_who_buys_the_boat_is_not_told_what_the_seller_asked(spring: Spring, line: QuoteLine) -> None:
    seller = spring.boat.decider_owner
    ask(spring, line, "Can it wait?")
    spring.boat.decider_owner = OwnerFactory.create(yard=spring.yard)
    spring.boat.save()
    reply(spring, line, "Until lay-up.", AT + HOUR)
    assert Mail.objects.get(key__startswith="reply:").to_address == seller.email  # type: ignore[union-attr]


def test_two_clicks_are_one_answer_and_one_question(spring: Spring, line: QuoteLine) -> None:
    assert ask(spring, line, "Can it wait?") == ask(spring, line, "Can it wait?", AT + HOUR)
    assert reply(spring, line, "No.", AT + HOUR) == reply(spring, line, " No. ", AT + HOUR)
    assert Mail.objects.filter(key__startswith="reply:").count() == 1
    # said again after something else, the same words are new
    ask(spring, line, "Can it wait?", AT + 2 * HOUR)
    reply(spring, line, "No.", AT + 3 * HOUR)
    assert len(thread(line)) == 4


@pytest.mark.parametrize(("text", "field"), [("  ", "text"), ("x" * 4001, "text")])
def test_an_answer_needs_words_and_an_end(spring: Spring, line: QuoteLine, text: str, field: str) -> None:
    ask(spring, line, "Can it wait?")
    with pytest.raises(Refused) as refused:
        reply(spring, line, text, AT)
    assert refused.value.field == field


def test_nothing_is_answered_that_was_not_asked(spring: Spring, line: QuoteLine) -> None:
    with pytest.raises(Refused) as refused:
        reply(spring, line, "Until lay-up.", AT)
    assert refused.value.field == "line"


def test_a_quote_that_was_taken_back_is_not_talked_about(spring: Spring, line: QuoteLine) -> None:
    ask(spring, line, "Can it wait?")
    quote_withdraw(quote=Quote.objects.get(), at=AT)
    with pytest.raises(Refused) as refused:
        reply(spring, line, "Until lay-up.", AT)
    assert refused.value.field == "quote"


def test_another_yards_member_answers_nothing(spring: Spring, line: QuoteLine) -> None:
    ask(spring, line, "Can it wait?")
    with pytest.raises(Refused) as refused:
        reply_write(line=line, text="No.", by=MemberFactory.create(), at=AT)
    assert refused.value.field == "member"


def test_an_answer_is_never_changed(spring: Spring, line: QuoteLine) -> None:
    ask(spring, line, "Can it wait?")
    said = reply(spring, line, "No.", AT)
    with pytest.raises(IntegrityError), transaction.atomic():
        Reply.objects.filter(pk=said.pk).update(text="Yes.")
