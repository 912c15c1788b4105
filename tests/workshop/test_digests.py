"""The weekly mail of what is due: once a week, only by choice, and none when nothing is due."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from inspections.models import DueBack
from tests.workshop.spring import AT, Spring, a_spring
from workshop.services.digests import SEND_DIGESTS, coming_monday, digest_choose, digest_end, digests_plan
from yard import outbox
from yard.models import Mail, OutboxRow
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

# AT is Tuesday 6 April 2027; in Copenhagen summer time has begun.
MONDAY = datetime.fromisoformat("2027-04-12T06:00:00+02:00")


@pytest.fixture
def spring() -> Spring:
    made = a_spring(name="Sea Pink")
    for day in (date(2027, 4, 1), date(2027, 5, 10), date(2027, 5, 11)):
        made.finding(made.component(f"Window frame {day.day}"), "SEAM", due_on=day)
    return made


def digests(at: datetime) -> list[Mail]:
    OutboxRow.objects.exclude(task=SEND_DIGESTS).delete()
    outbox.drain(now=at)
    return list(Mail.objects.filter(key__startswith="digest:").order_by("pk"))


def test_it_comes_on_monday_at_six_once_to_those_who_chose_it(spring: Spring) -> None:
    digest_choose(member=spring.manager, at=AT)
    digest_choose(member=spring.manager, at=AT)
    row = OutboxRow.objects.get(task=SEND_DIGESTS)
    assert row.not_before == MONDAY
    assert digests(MONDAY - timedelta(seconds=1)) == []
    (mail,) = digests(MONDAY)
    assert mail.to_address == spring.manager.user.email
    # from 12 April four weeks on is 10 May, that day included
    assert mail.subject == "Due back: 1 overdue, 1 in the next four weeks"
    for part in (mail.text, mail.html):
        assert "Window frame 1," in part
        assert "Window frame 10," in part
        assert "Window frame 11," not in part
        assert mail.unsubscribe_url in part
    # the same week again, by a row that was lost or asked for twice: no second mail
    outbox.enqueue(
        task=SEND_DIGESTS, arguments={"yard_id": spring.yard.pk}, key="again", yard=spring.yard, at=MONDAY
    )
    assert digests(MONDAY + timedelta(hours=1)) == [mail]
    digests_plan(yard=spring.yard, at=MONDAY + timedelta(hours=1))
    assert len(digests(MONDAY + timedelta(weeks=1))) == 2


def test_nobody_gets_it_unasked_and_nothing_due_is_no_mail(spring: Spring) -> None:
    digests_plan(yard=spring.yard, at=AT)
    assert not OutboxRow.objects.filter(task=SEND_DIGESTS).exists()
    digest_choose(member=spring.manager, at=AT)
    digest_end(member=spring.manager)
    assert digests(MONDAY) == []
    digest_choose(member=spring.manager, at=MONDAY)
    DueBack.objects.update(ended_at=AT)
    assert digests(MONDAY + timedelta(weeks=1)) == []


def test_who_left_or_has_no_address_gets_none(spring: Spring) -> None:
    digest_choose(member=spring.manager, at=AT)
    digest_choose(member=spring.technician, at=AT)
    spring.manager.left_on = date(2027, 4, 10)
    spring.manager.save()
    assert [mail.to_address for mail in digests(MONDAY)] == [spring.technician.user.email]
    spring.technician.user.email = ""
    with pytest.raises(Refused, match="email"):
        digest_choose(member=spring.technician, at=AT)


def test_the_coming_monday_is_one_of_the_yards_clock(spring: Spring) -> None:
    assert coming_monday(spring.yard, MONDAY - timedelta(seconds=1)) == MONDAY
    assert coming_monday(spring.yard, MONDAY) == MONDAY + timedelta(weeks=1)
    spring.yard.time_zone = "Pacific/Auckland"
    # Sunday, 19:00 in Copenhagen is Monday, 05:00 there
    sunday = datetime.fromisoformat("2027-04-11T19:00:00+02:00")
    assert coming_monday(spring.yard, sunday) == sunday + timedelta(hours=1)
