"""Log-ins, owners and the keys of tablets."""

from datetime import date, datetime, timedelta

import pytest

from tests.factories import MemberFactory, TechnicianFactory, YardFactory
from tests.factories.yard import PASSWORD
from yard.models import DeviceToken, Member, Owner, User
from yard.refusals import Refused
from yard.services.people import (
    USE_NOTED_EVERY,
    device_token_find,
    device_token_issue,
    device_token_revoke,
    member_create,
    owner_create,
)

pytestmark = pytest.mark.django_db

MEMBER = {"username": "ingrid", "password": PASSWORD, "name": "Ingrid", "role": "technician", "email": ""}


def test_a_member_can_sign_in_with_what_was_given() -> None:
    member = member_create(yard=YardFactory.create(), **MEMBER)
    assert User.objects.get(username="ingrid").check_password(PASSWORD)
    assert not member.is_manager


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("username", ""),
        ("username", "two words"),
        ("username", "x" * 151),
        ("username", "TAKEN"),  # capitals don't make another name
        ("password", "short"),
        ("password", "password123"),
        ("password", "5319846250731"),
        ("role", "owner"),
        ("name", " "),
        ("email", "ingrid@"),
    ],
)
def test_a_log_in_that_would_not_do_is_refused_and_leaves_nothing(field: str, value: str) -> None:
    yard = YardFactory.create()
    MemberFactory.create(user__username="taken")
    with pytest.raises(Refused) as refusal:
        member_create(yard=yard, **{**MEMBER, field: value})
    assert {single.field for single in refusal.value.refusals} == {field}
    assert not Member.objects.of_yard(yard).exists()
    assert not User.objects.filter(username="ingrid").exists()


def test_an_owner_has_an_address_of_their_own() -> None:
    yard = YardFactory.create()
    owner_create(yard=yard, name="Ea", email="ea@harbour.example")
    with pytest.raises(Refused) as refusal:
        owner_create(yard=yard, name="Bo", email="EA@harbour.example")
    assert refusal.value.field == "email"
    assert owner_create(yard=YardFactory.create(), name="Ea", email="ea@harbour.example").name == "Ea"
    assert Owner.objects.count() == 2


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""),
        ("email", ""),
        ("email", "ea at harbour"),
        ("email", "ea@harbour.example\nBcc: x@y.example"),
        ("phone", "1" * 41),
        ("locale", "klingon"),
    ],
)
def test_an_owner_who_can_not_be_reached_is_refused(field: str, value: str) -> None:
    sheet = {"name": "Ea", "email": "ea@harbour.example", "phone": "", "locale": "da"}
    with pytest.raises(Refused) as refusal:
        owner_create(yard=YardFactory.create(), **{**sheet, field: value})
    assert refusal.value.field == field


def test_a_tablet_s_key_opens_and_is_not_kept(spring: datetime) -> None:
    technician = TechnicianFactory.create()
    token, secret = device_token_issue(member=technician, device_name="Tablet 1", at=spring)
    found = device_token_find(secret=secret, at=spring)
    assert found == token
    assert found.member == technician
    assert secret not in str(DeviceToken.objects.values().get())
    assert len(secret) >= 43  # 32 random bytes
    assert device_token_find(secret=secret[:-1], at=spring) is None
    assert device_token_find(secret="", at=spring) is None
    assert device_token_find(secret=token.digest, at=spring) is None


def test_two_tablets_have_two_keys_and_are_shut_out_one_by_one(spring: datetime) -> None:
    technician = TechnicianFactory.create()
    first, first_secret = device_token_issue(member=technician, device_name="Tablet 1", at=spring)
    _, second_secret = device_token_issue(member=technician, device_name="Tablet 2", at=spring)
    device_token_revoke(token=first, at=spring)
    again = device_token_revoke(token=first, at=spring + timedelta(days=1))
    assert again.revoked_at == spring
    assert device_token_find(secret=first_secret, at=spring) is None
    assert device_token_find(secret=second_secret, at=spring) is not None


def test_who_has_left_is_shut_out_from_that_day_on(spring: datetime) -> None:
    technician = TechnicianFactory.create(yard__time_zone="Pacific/Auckland", left_on=date(2027, 4, 2))
    _, secret = device_token_issue(member=technician, device_name="Tablet", at=spring)
    midnight_there = datetime.fromisoformat("2027-04-01T11:00:00+00:00")  # UTC+13 in summer time
    assert device_token_find(secret=secret, at=midnight_there - timedelta(seconds=1)) is not None
    assert device_token_find(secret=secret, at=midnight_there) is None
    with pytest.raises(Refused, match="no longer works"):
        device_token_issue(member=technician, device_name="Tablet", at=midnight_there)


def test_a_closed_log_in_closes_its_tablets(spring: datetime) -> None:
    technician = TechnicianFactory.create()
    _, secret = device_token_issue(member=technician, device_name="Tablet", at=spring)
    User.objects.filter(pk=technician.user_id).update(is_active=False)
    assert device_token_find(secret=secret, at=spring) is None


def test_use_is_noted_now_and_then_only(spring: datetime) -> None:
    token, secret = device_token_issue(member=TechnicianFactory.create(), device_name="Tablet", at=spring)
    for seconds, noted in ((0, 0), (1, 0), (USE_NOTED_EVERY.seconds - 1, 0), (USE_NOTED_EVERY.seconds, 300)):
        device_token_find(secret=secret, at=spring + timedelta(seconds=seconds))
        token.refresh_from_db()
        assert token.last_used_at == spring + timedelta(seconds=noted)


def test_a_tablet_has_a_name(spring: datetime) -> None:
    with pytest.raises(Refused) as refusal:
        device_token_issue(member=TechnicianFactory.create(), device_name=" ", at=spring)
    assert refusal.value.field == "device_name"
