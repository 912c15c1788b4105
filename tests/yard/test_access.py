"""Coming by invitation, a new password by mail, and being shut out: what opens, and what no longer does."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

import pytest
import time_machine
from django.core import mail as post
from django.test import Client

from tests.factories import BoatFactory, MemberFactory, TechnicianFactory
from tests.factories.yard import PASSWORD
from yard.models import Deed, DeedKind, DeviceCode, DeviceToken, Invitation, Mail, Member
from yard.outbox import drain
from yard.post.sending import KEY_NOT_KEPT
from yard.refusals import Refused
from yard.services.access import member_close, member_reopen
from yard.services.changes import member_change
from yard.services.device_codes import device_code_make
from yard.services.invitations import (
    GOOD_FOR,
    invitation_accept,
    invitation_find,
    invitation_revoke,
    invitation_send,
)
from yard.services.passwords import password_ask, password_key, password_key_find, password_set_by_key
from yard.services.people import device_token_find, device_token_issue, digest_of

pytestmark = pytest.mark.django_db

NEW = "tar and oakum again"
SHEET = {"username": "ingrid@new.example", "name": "Ingrid", "password": NEW}


@pytest.fixture
def manager(spring: datetime) -> Member:
    return MemberFactory.create()


def invited(manager: Member, at: datetime, email: str = "ingrid@new.example") -> tuple[Invitation, str]:
    """An invitation, and the key as it stands in the mail."""
    invitation = invitation_send(by=manager, email=email, name="Ingrid", role="technician", at=at)
    text = Mail.objects.get(key=f"invitation:{invitation.pk}").text
    found = re.search(r"/join/([\w-]{43})/", text)
    assert found is not None
    return invitation, found[1]


def kinds() -> list[str]:
    return [str(deed.kind) for deed in Deed.objects.order_by("pk")]


def test_an_invitation_opens_once_and_its_key_is_kept_nowhere(manager: Member, spring: datetime) -> None:
    invitation, key = invited(manager, spring)
    assert invitation.digest == digest_of(key)
    drain(now=spring + timedelta(minutes=1))
    assert key in str(post.outbox[0].body)
    assert Mail.objects.get().text == KEY_NOT_KEPT
    assert Mail.objects.get().html == ""
    member = invitation_accept(key=key, at=spring, **SHEET)
    assert member is not None
    assert (member.yard, member.role, member.user.email) == (manager.yard, "technician", "ingrid@new.example")
    assert member.user.check_password(NEW)
    assert invitation_accept(key=key, at=spring, **{**SHEET, "username": "other"}) is None
    assert Member.objects.of_yard(manager.yard).count() == 2
    assert kinds() == [DeedKind.INVITED, DeedKind.JOINED]


def test_an_invitation_runs_out_is_taken_back_and_gives_way_to_a_newer_one(
    manager: Member, spring: datetime
) -> None:
    first, first_key = invited(manager, spring)
    assert invitation_find(key=first_key, at=spring + GOOD_FOR - timedelta(seconds=1)) == first
    assert invitation_find(key=first_key, at=spring + GOOD_FOR) is None
    assert invitation_find(key=first.digest, at=spring) is None
    second, second_key = invited(manager, spring, email="Ingrid@new.example")
    assert invitation_find(key=first_key, at=spring) is None
    invitation_revoke(invitation=second, by=manager, at=spring)
    invitation_revoke(invitation=second, by=manager, at=spring)
    assert invitation_accept(key=second_key, at=spring, **SHEET) is None
    assert kinds().count(DeedKind.INVITATION_REVOKED) == 1


def test_an_invitation_opens_nothing_once_who_invited_may_not_invite_any_more(
    manager: Member, spring: datetime
) -> None:
    other = MemberFactory.create(yard=manager.yard)
    _, key = invited(other, spring)
    day = spring.astimezone(manager.yard.zone).date()
    member_change(member=other, changes={"left_on": day + timedelta(days=1)}, by=manager, at=spring)
    assert invitation_find(key=key, at=spring) is not None  # until that day they work here
    assert invitation_find(key=key, at=spring + timedelta(days=2)) is None
    member_change(member=other, changes={"left_on": None, "role": "technician"}, by=manager, at=spring)
    assert invitation_accept(key=key, at=spring, **SHEET) is None


def test_an_invitation_that_makes_no_log_in_stays_open(manager: Member, spring: datetime) -> None:
    _, key = invited(manager, spring)
    for change, field in (
        ({"password": "12345678901"}, "password"),
        ({"username": manager.user.username}, "username"),
        ({"name": ""}, "name"),
    ):
        with pytest.raises(Refused) as refusal:
            invitation_accept(key=key, at=spring, **{**SHEET, **change})
        assert refusal.value.field == field
    assert invitation_find(key=key, at=spring) is not None
    with pytest.raises(Refused, match=manager.name):
        invitation_send(by=manager, email=manager.user.email.upper(), role="manager", at=spring)


def test_a_closed_log_in_ends_sessions_and_own_tablets_and_an_opened_one_revives_neither(
    manager: Member, spring: datetime
) -> None:
    hand = TechnicianFactory.create(yard=manager.yard)
    _, own = device_token_issue(member=hand, device_name="Own", at=spring)
    _, shared = device_token_issue(member=hand, device_name="Shared", shared=True, at=spring)
    client = Client()
    with time_machine.travel(spring):
        assert client.login(username=hand.user.username, password=PASSWORD)
        assert client.get("/log-in/").status_code == 200
        for _ in range(2):  # the second time changes nothing
            member_close(member=hand, by=manager, at=spring)
        assert client.get("/log-in/").status_code == 302
        assert not Client().login(username=hand.user.username, password=PASSWORD)
        member_reopen(member=hand, by=manager, at=spring)
        assert client.get("/log-in/").status_code == 302
        assert Client().login(username=hand.user.username, password=PASSWORD)
    assert device_token_find(secret=own, at=spring) is None
    assert device_token_find(secret=shared, at=spring) is not None
    made, ended = DeedKind.KEY_MADE, DeedKind.KEY_REVOKED
    assert kinds() == [made, made, ended, DeedKind.CLOSED, DeedKind.REOPENED]
    assert DeviceToken.objects.filter(revoked_at=None).count() == 1


def test_a_yard_is_never_without_a_manager_nor_a_boat_without_her_decider(
    manager: Member, spring: datetime
) -> None:
    closed = MemberFactory.create(yard=manager.yard, user__is_active=False)
    with pytest.raises(Refused, match="is the only manager"):
        member_close(member=manager, by=manager, at=spring)
    with pytest.raises(Refused, match="is the only manager"):
        member_change(member=manager, changes={"role": "technician"}, by=manager, at=spring)
    member_reopen(member=closed, by=manager, at=spring)
    boat = BoatFactory.create(yard=manager.yard, decider_owner=None, decider_member=manager)
    with pytest.raises(Refused, match=f"decides on {boat.name}"):
        member_close(member=Member.objects.get(pk=manager.pk), by=closed, at=spring)
    manager.refresh_from_db()
    assert manager.is_manager
    assert manager.user.is_active


def test_a_new_password_comes_by_mail_to_each_log_in_of_the_address_and_its_key_opens_once(
    manager: Member, spring: datetime
) -> None:
    other = TechnicianFactory.create(user__email=manager.user.email.upper())
    TechnicianFactory.create(user__email=manager.user.email, user__is_active=False)
    client = Client()
    with time_machine.travel(spring, tick=False):
        assert client.login(username=manager.user.username, password=PASSWORD)
        password_ask(email=manager.user.email, at=spring)
        password_ask(email="nobody@skerry.example", at=spring)
        drain(now=spring)
        drain(now=spring + timedelta(minutes=1))
        assert {mail.to[0] for mail in post.outbox} == {manager.user.email, other.user.email}
        assert set(Mail.objects.values_list("text", flat=True)) == {KEY_NOT_KEPT}
        found = re.search(r"/password/new/(\S+)/", str(post.outbox[0].body))
        assert found is not None
        key = found[1]
        assert password_key_find(key=key, at=spring) == manager
        last = "1" if key.endswith("0") else "0"
        for wrong in (key[:-1] + last, "0" + key, f"x.{key}", "", ".", "\ud800"):
            assert password_key_find(key=wrong, at=spring) is None
        with pytest.raises(Refused):
            password_set_by_key(key=key, password="short", at=spring)
        assert client.get("/log-in/").status_code == 200
        assert password_set_by_key(key=key, password=NEW, at=spring) == manager
        assert password_set_by_key(key=key, password=NEW, at=spring) is None
        assert client.get("/log-in/").status_code == 302  # the session elsewhere is over


def test_a_new_password_leaves_tablets_in_unless_they_are_to_be_shut_out_too(
    manager: Member, spring: datetime
) -> None:
    with time_machine.travel(spring, tick=False) as clock:
        own, _ = device_token_issue(member=manager, device_name="own", at=spring)
        device_token_issue(member=manager, device_name="shared", shared=True, at=spring)
        device_code_make(by=manager, at=spring)
        password_set_by_key(key=password_key(manager.user), password=NEW, at=spring)
        own.refresh_from_db()
        assert own.revoked_at is None
        clock.shift(timedelta(minutes=1))
        manager.user.refresh_from_db()
        key = password_key(manager.user)
        with pytest.raises(Refused):
            password_set_by_key(key=key, password="short", shut_out_tablets=True, at=spring)
        own.refresh_from_db()
        assert own.revoked_at is None
        assert password_set_by_key(key=key, password=NEW * 2, shut_out_tablets=True, at=spring) == manager
    revoked = DeviceToken.objects.values_list("device_name", "revoked_at").order_by("pk")
    assert list(revoked) == [("own", spring), ("shared", None)]
    assert DeviceCode.objects.get().revoked_at == spring
    told = [(str(deed.kind), deed.told) for deed in Deed.objects.order_by("pk")][-2:]
    by_mail = f"{manager.name}, by the link of the mail; 1 own tablet shut out"
    assert told == [(DeedKind.KEY_REVOKED, "own"), (DeedKind.PASSWORD_SET, by_mail)]


def test_the_key_of_a_new_password_is_good_for_a_day(manager: Member, spring: datetime) -> None:
    with time_machine.travel(spring, tick=False) as clock:
        key = password_key(manager.user)
        clock.shift(timedelta(hours=24))
        assert password_key_find(key=key, at=spring) == manager
        clock.shift(timedelta(seconds=1))
        assert password_key_find(key=key, at=spring) is None
