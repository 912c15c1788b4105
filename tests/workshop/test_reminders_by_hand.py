"""A reminder by hand goes to who has to answer, not too often, and never to who wants none."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from tests.factories import OwnerFactory
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import OwnerLink, Quote
from workshop.selectors.quote_history import quote_history
from workshop.services.decisions import decision_make
from workshop.services.links import link_revoke
from workshop.services.quotes import quote_withdraw
from workshop.services.reminders import reminder_write, reminders_of, reminders_stop, stop_url
from workshop.services.reminders_by_hand import reminder_send
from workshop.services.threads import reply_write
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

DAY = timedelta(days=1)
# Open until 27 April; the clock's own reminder is due on the 22nd.
BY_CLOCK = datetime.fromisoformat("2027-04-22T09:00:00+02:00")


@pytest.fixture
def spring() -> Spring:
    made = a_spring(name="Sea Pink")
    made.finding(made.component("Window frame"), "REBED_SEALANT")
    made.finding(made.component("Laid deck"), "SEAM", severity=1, priority="before_launch")
    return made


def ask(spring: Spring, quote: Quote, *positions: int, at: datetime = AT) -> None:
    for line in quote.lines.filter(position__in=positions):
        decision_make(
            line=line, verdict="ask", question="Why?", digest=quote.digest, at=at, owner=spring.boat.decider_owner
        )


def test_it_says_what_the_clocks_says_and_counts_once_a_day(spring: Spring) -> None:
    quote = spring.sent()
    ask(spring, quote, 1)  # one job of two waits for the yard, the other still for the owner
    mail = reminder_send(quote=quote, by=spring.manager, at=AT + 3 * DAY)
    assert reminder_send(quote=quote, by=spring.manager, at=AT + 3 * DAY + timedelta(hours=4)) == mail
    assert mail.subject == "Sea Pink: 2 jobs wait for your answer, open until 27 April 2027"
    assert mail.unsubscribe_url == stop_url(quote.boat.decider)
    with pytest.raises(Refused, match="the last mail about it went on 9 April 2027") as refused:
        reminder_send(quote=quote, by=spring.manager, at=AT + 5 * DAY)
    assert refused.value.remedy == "remind them again from 12 April 2027 on"
    assert reminder_send(quote=quote, by=spring.manager, at=AT + 6 * DAY) != mail


def test_the_clock_keeps_quiet_after_a_fresh_one_by_hand(spring: Spring) -> None:
    quote = spring.sent()
    reminder_send(quote=quote, by=spring.manager, at=BY_CLOCK - 2 * DAY)
    assert reminder_write(quote_id=quote.pk, at=BY_CLOCK) is None
    assert reminders_of(quote).count() == 1


@pytest.mark.parametrize(
    ("meanwhile", "told"),
    [
        pytest.param(lambda s, q: quote_withdraw(quote=q, at=AT), "the quote is superseded", id="withdrawn"),
        pytest.param(lambda s, q: link_revoke(link=OwnerLink.objects.get(), at=AT), "none is open", id="link shut"),
        pytest.param(
            lambda s, q: reminders_stop(decider=s.boat.decider, at=AT),
            "wants no reminders since 6 April 2027",
            id="not wanted",
        ),
        pytest.param(lambda s, q: ask(s, q, 1, 2), "waits for the yard's answer", id="our turn"),
        pytest.param(
            lambda s, q: type(s.boat).objects.update(decider_owner=OwnerFactory.create(yard=s.yard)),
            "of Sea Pink is now",
            id="another decider",
        ),
    ],
)
def test_who_is_not_to_be_reminded_is_not(
    spring: Spring, meanwhile: Callable[[Spring, Quote], object], told: str
) -> None:
    quote = spring.sent()
    meanwhile(spring, quote)
    with pytest.raises(Refused, match=told):
        reminder_send(quote=quote, by=spring.manager, at=AT + 4 * DAY)
    assert not reminders_of(quote).exists()


def test_the_history_tells_it_all_in_order(spring: Spring) -> None:
    quote = spring.sent()
    ask(spring, quote, 1, at=AT + DAY)
    line = quote.lines.get(position=1)
    reply_write(line=line, text="Water is in.", by=spring.manager, at=AT + 2 * DAY)
    reminder_send(quote=quote, by=spring.manager, at=AT + 4 * DAY)
    quote_withdraw(quote=quote, at=AT + 5 * DAY)
    quote.refresh_from_db()
    owner, manager = spring.boat.decider, spring.manager
    title, address = line.job.title, spring.boat.decider_owner.email  # type: ignore[union-attr]
    assert [event.what for event in quote_history(quote)] == [
        f"Drawn up by {manager}",
        f"Put to {owner} by {manager}",
        f"{owner} asked about “{title}”",
        f"{manager} answered about “{title}”",
        f"Answer mailed to {address}",
        f"Reminder mailed to {address}",
        "Taken back",
        "The link was shut",
    ]
