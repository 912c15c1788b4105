"""A quote that is about to run out is told of once, and only while there is something left to say."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from email.message import Message

import pytest
from django.core import mail as django_mail
from django.test import Client, override_settings
from django.urls import reverse

from tests.factories import OwnerFactory
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import OwnerLink, Quote, ReminderStop
from workshop.services.decisions import decision_make
from workshop.services.links import link_reissue, link_revoke, link_url
from workshop.services.quotes import quote_draft, quote_send, quote_supersede, quote_withdraw
from workshop.services.reminders import reminders_resume, reminders_stop, stop_key, stop_url
from yard import outbox
from yard.models import Mail, OutboxRow

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

# Sent on 6 April, open until 27 April: five days before is 22 April, at nine by the clock of Copenhagen.
DUE = datetime.fromisoformat("2027-04-22T09:00:00+02:00")


@pytest.fixture
def spring() -> Spring:
    made = a_spring(name="Sea Pink")
    made.finding(made.component("Window frame"), "REBED_SEALANT")
    made.finding(made.component("Laid deck"), "SEAM", severity=1, priority="before_launch")
    return made


def say(spring: Spring, quote: Quote, position: int, verdict: str, question: str = "") -> None:
    line = quote.lines.get(position=position)
    owner = spring.boat.decider_owner
    decision_make(line=line, verdict=verdict, question=question, digest=quote.digest, at=AT, owner=owner, read=True)


def reminders() -> list[Mail]:
    return list(Mail.objects.filter(key__startswith="reminder:"))


def remind(at: datetime = DUE) -> list[Mail]:
    OutboxRow.objects.exclude(task="workshop.remind_decider").delete()  # the report is not what this is about
    outbox.drain(now=at)
    return reminders()


def test_it_comes_on_the_morning_five_days_before_the_last(spring: Spring) -> None:
    quote = spring.sent()
    row = OutboxRow.objects.get(task="workshop.remind_decider")
    assert (row.not_before, row.arguments) == (DUE, {"quote_id": quote.pk})
    assert remind(DUE - timedelta(seconds=1)) == []
    (mail,) = remind()
    assert mail.subject == "Sea Pink: 2 jobs wait for your answer, open until 27 April 2027"
    assert mail.to_address == spring.boat.decider_owner.email  # type: ignore[union-attr]
    for part in (mail.text, mail.html):
        assert link_url(OwnerLink.objects.get()) in part
        assert stop_url(quote.boat.decider) in part
    assert remind(DUE + timedelta(days=3)) == [mail]


def test_what_was_answered_is_left_out_and_a_question_is_no_answer(spring: Spring) -> None:
    quote = spring.sent()
    say(spring, quote, 1, "ask", question="Why now?")
    say(spring, quote, 2, "decline")
    (mail,) = remind()
    titles = {line.position: line.job.title for line in quote.lines.select_related("job")}
    assert titles[1] in mail.text
    assert titles[2] not in mail.text
    assert mail.subject == "Sea Pink: 1 job waits for your answer, open until 27 April 2027"


def _decide(spring: Spring, quote: Quote) -> None:
    say(spring, quote, 1, "approve")
    say(spring, quote, 2, "decline")


def _sold(spring: Spring, quote: Quote) -> None:
    spring.boat.decider_owner = OwnerFactory.create(yard=spring.yard)
    spring.boat.save()


@pytest.mark.parametrize(
    "meanwhile",
    [
        pytest.param(_decide, id="decided"),
        pytest.param(lambda spring, quote: quote_withdraw(quote=quote, at=AT), id="withdrawn"),
        pytest.param(lambda spring, quote: quote_supersede(quote=quote, by=spring.manager, at=AT), id="superseded"),
        pytest.param(lambda spring, quote: link_revoke(link=OwnerLink.objects.get(), at=AT), id="link shut"),
        pytest.param(_sold, id="another decider"),
        pytest.param(lambda spring, quote: reminders_stop(decider=quote.boat.decider, at=AT), id="not wanted"),
    ],
)
def test_nothing_comes_where_there_is_nothing_left_to_say(
    spring: Spring, meanwhile: Callable[[Spring, Quote], object]
) -> None:
    quote = spring.sent()
    meanwhile(spring, quote)
    assert remind() == []
    assert OutboxRow.objects.get(task="workshop.remind_decider").done_at == DUE


def test_a_reminder_that_comes_too_late_is_not_sent(spring: Spring) -> None:
    spring.sent()
    assert remind(DUE + timedelta(days=6)) == []


def test_a_short_quote_asks_for_no_reminder(spring: Spring) -> None:
    draft = quote_draft(
        inspection=spring.inspection,
        jobs=spring.propose(),
        by=spring.manager,
        at=AT,
        valid_until=date(2027, 4, 13),
    )
    quote_send(quote=draft, by=spring.manager, at=AT)
    assert not OutboxRow.objects.filter(task="workshop.remind_decider").exists()


def test_it_leads_to_the_link_that_is_live(spring: Spring) -> None:
    quote = spring.sent()
    new = link_reissue(quote=quote, at=AT)
    (mail,) = remind()
    assert link_url(new) in mail.text


def test_who_wants_them_again_gets_them(spring: Spring) -> None:
    quote = spring.sent()
    for _ in range(2):
        reminders_stop(decider=quote.boat.decider, at=AT)
    assert ReminderStop.objects.count() == 1
    for _ in range(2):
        reminders_resume(decider=quote.boat.decider)
    assert len(remind()) == 1


def sent_message() -> Message:
    remind()
    outbox.drain(now=DUE)
    (message,) = django_mail.outbox
    return message.message()


def test_a_mail_program_can_end_them_by_one_click(spring: Spring) -> None:
    """RFC 8058, 3.1 and 3.2, checked against the text of the RFC, from memory: header, POST body, no redirect."""
    with override_settings(PUBLIC_URL="https://yard.example"):
        quote = spring.sent()
        message = sent_message()
        address = stop_url(quote.boat.decider)
    assert message["List-Unsubscribe"] == f"<{address}>"
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    path = address.removeprefix("https://yard.example")
    answer = Client(enforce_csrf_checks=True).post(path, {"List-Unsubscribe": "One-Click"})
    assert answer.status_code == 200
    assert ReminderStop.objects.get().owner == spring.boat.decider_owner


def test_without_https_there_is_no_one_click(spring: Spring) -> None:
    with override_settings(PUBLIC_URL="http://yard.example"):
        spring.sent()
        message = sent_message()
    assert str(message["List-Unsubscribe"]).startswith("<http://yard.example/o/")
    assert "List-Unsubscribe-Post" not in message


def test_the_quote_itself_has_no_such_header(spring: Spring) -> None:
    spring.sent()
    outbox.drain(now=AT)
    (message,) = django_mail.outbox
    assert "List-Unsubscribe" not in message.message()


def test_opening_the_address_changes_nothing_and_the_page_works_both_ways(spring: Spring) -> None:
    path = reverse("web:owner-reminders", args=[stop_key(spring.boat.decider)])
    client = Client()
    page = client.get(path)
    assert "You get reminders" in page.content.decode()
    assert not ReminderStop.objects.exists()
    assert (page["Referrer-Policy"], page["Cache-Control"]) == ("no-referrer", "no-store")
    assert "You get no reminders" in client.post(path).content.decode()
    assert "You get reminders" in client.post(path, {"again": "yes"}).content.decode()


def test_a_wrong_key_ends_nobodys_and_the_links_key_is_another(spring: Spring) -> None:
    spring.sent()
    key = stop_key(spring.boat.decider)
    link = link_url(OwnerLink.objects.get()).rstrip("/").rpartition("/")[2]
    for wrong in (f"{key}x", "o1", link):
        assert Client().post(reverse("web:owner-reminders", args=[wrong])).status_code == 404
    assert Client().get(reverse("web:owner-quote", args=[key])).status_code == 404
    assert not ReminderStop.objects.exists()
