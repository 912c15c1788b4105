"""Signing in by a passkey alone: who is let in, who is not, and what is told of it."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client

from tests.factories import MemberFactory, TechnicianFactory
from tests.factories.yard import PASSWORD
from tests.web.conftest import NOW
from tests.web.soft_passkey import SoftPasskey
from tests.web.test_second_factor import OWN, SECOND, SIGN_IN
from tests.web.visitor import Visitor
from yard.models import Deed, DeedKind, Member
from yard.services.guessing import ADDRESS, NAME_AND_ADDRESS

pytestmark = pytest.mark.django_db
ALONE, LOG_IN = "/sign-in/passkey/", "/log-in/"


def made_by(member: Member, name: str = "Telephone", **kind: Any) -> SoftPasskey:
    """A passkey, added as its owner does it on the page of their log-in."""
    passkey = SoftPasskey(**kind)
    visitor = Visitor(member)
    assert f'href="{OWN}keys/"' in visitor.page(LOG_IN)
    visitor.get(f"{OWN}keys/")
    visitor.post("/log-in/confirm/", password=PASSWORD, next=f"{OWN}keys/")
    page = visitor.page(f"{OWN}keys/")
    options = json.loads(page.split('type="application/json">')[1].split("</script>")[0])["publicKey"]
    assert (options["rp"]["name"], options["user"]["name"]) == ("Faying", member.user.username)
    assert options["user"]["displayName"] == member.name
    answer = visitor.post(f"{OWN}keys/", name=name, credential=json.dumps(passkey.made(options)), passwordless="on")
    assert answer.status_code == (302 if passkey.asks else 200)
    return passkey


def asked(client: Client) -> dict[str, Any]:
    options: dict[str, Any] = client.get(ALONE, HTTP_ACCEPT="application/json").json()["publicKey"]
    return options


def shown(client: Client, passkey: SoftPasskey, to: str = "", **instead: Any) -> Any:
    credential = json.dumps(passkey.used(asked(client), **instead))
    return client.post(ALONE, {"credential": credential, "next": to})


@pytest.fixture
def member() -> Member:
    return MemberFactory.create()


def test_it_lets_in_without_name_password_or_second_factor_and_leads_where_one_was_going(member: Member) -> None:
    passkey = made_by(member)
    client = Client(REMOTE_ADDR="192.0.2.7")
    assert shown(client, passkey, "/due-back/?kind=open_up")["Location"] == "/due-back/?kind=open_up"
    assert client.get("/due-back/").status_code == 200
    assert shown(Client(), passkey, "https://elsewhere.example/")["Location"] == "/season/"
    came = Deed.objects.filter(kind=DeedKind.SIGNED_IN).first()
    assert came is not None
    assert (came.by, came.told) == (member, "by passkey")
    added = Deed.objects.get(kind=DeedKind.FACTOR_ADDED, told="a passkey or key")
    assert added.by == member
    # The password alone is no way round it.
    answer = Client().post(SIGN_IN, {"username": member.user.username, "password": PASSWORD})
    assert answer["Location"] == SECOND


def test_its_name_stands_on_the_page_of_the_log_in_and_once_removed_it_opens_nothing(member: Member) -> None:
    passkey = made_by(member, "Telephone of the office")
    visitor = Visitor(member)
    page = visitor.page(LOG_IN)
    assert "<strong>Telephone of the office</strong>, lets you in alone" in page
    remove = page.split(f'href="{OWN}keys/')[1].split('"')[0]
    answer = visitor.get(f"{OWN}keys/{remove}")
    visitor.post(answer["Location"], password=PASSWORD, next=f"{OWN}keys/{remove}")
    assert "Telephone of the office" in visitor.page(f"{OWN}keys/{remove}")
    assert visitor.post(f"{OWN}keys/{remove}")["Location"] == LOG_IN
    assert "Telephone of the office" not in visitor.page(LOG_IN)
    answer = shown(Client(), passkey)
    assert answer.status_code == 422
    assert "This passkey is not known here" in answer.content.decode()
    assert Deed.objects.filter(kind=DeedKind.SIGN_IN_FAILED, about=member, told="unknown passkey").count() == 1


def test_one_that_does_not_ask_for_its_owner_is_not_enough(member: Member) -> None:
    made_by(member, asks=False)
    assert "lets you in alone" not in Visitor(member).page(LOG_IN)
    passkey = made_by(member)
    passkey.asks = False
    assert shown(Client(), passkey).status_code == 422


def test_what_it_answered_opens_once_and_for_its_own_session(member: Member) -> None:
    passkey, client = made_by(member), Client()
    credential = json.dumps(passkey.used(asked(client)))
    assert Client().post(ALONE, {"credential": credential}).status_code == 422
    assert client.post(ALONE, {"credential": credential}).status_code == 302
    client.post("/sign-out/")
    assert client.post(ALONE, {"credential": credential}).status_code == 422


def test_nobody_comes_in_as_somebody_else(member: Member) -> None:
    passkey, other = made_by(member), made_by(TechnicianFactory.create(yard=member.yard))
    client = Client()
    assert shown(client, passkey, userHandle=other.owner).status_code == 422
    assert shown(client, passkey, signature=passkey.owner).status_code == 422
    elsewhere = SoftPasskey(owner=passkey.owner, key=passkey.key)
    assert shown(client, elsewhere).status_code == 422
    assert client.get("/season/").status_code == 302


OWNERS = ("MQ", "enp6enp6enp6enp6eg", "_w", "", 7, None)  # a number, one too large for the database, no letters
WITH_OWNER = [json.dumps({"id": "", "rawId": "", "response": {"userHandle": who}}) for who in OWNERS]
WITHOUT = ["", "null", "[]", "7", '"text"', "{}", "{", '{"response": {}}', '{"response": "text"}']


@pytest.mark.parametrize("credential", WITHOUT + WITH_OWNER)
def test_what_is_no_passkey_is_refused_like_an_unknown_one(credential: str) -> None:
    client = Client()
    asked(client)
    assert client.post(ALONE, {"credential": credential}).status_code == 422


def test_whoever_has_left_or_is_shut_out_is_told_so(member: Member) -> None:
    passkey = made_by(member)
    shut, leaving = TechnicianFactory.create(yard=member.yard), TechnicianFactory.create(yard=member.yard)
    passkeys = [made_by(shut), made_by(leaving)]
    shut.user.is_active = False
    shut.user.save()
    Member.objects.filter(pk=leaving.pk).update(left_on=date(2027, 4, 7))
    with time_machine.travel(NOW + timedelta(days=1), tick=False):
        for each in passkeys:
            client = Client()
            assert shown(client, each)["Location"] == SIGN_IN
            assert "This log-in is shut." in client.get(SIGN_IN).content.decode()
            assert client.get("/season/").status_code == 302
        client = Client()
        client.post(SIGN_IN, {"username": leaving.user.username, "password": PASSWORD})
        assert "This log-in is shut." in client.get(SIGN_IN).content.decode()
        assert shown(Client(), passkey).status_code == 302
    told = Deed.objects.filter(kind=DeedKind.SIGN_IN_FAILED).values_list("about", "told")
    assert set(told) == {(who.pk, "the log-in is shut") for who in (shut, leaving)}


def test_refused_ones_make_their_address_wait_and_no_colleague(member: Member) -> None:
    passkey, caller = made_by(member), "192.0.2.7"
    with time_machine.travel(NOW, tick=False) as clock:
        for _ in range(ADDRESS.free):
            assert shown(Client(REMOTE_ADDR=caller), passkey, signature=passkey.owner).status_code == 422
        answer = shown(Client(REMOTE_ADDR=caller), passkey)
        assert (answer.status_code, answer["Retry-After"]) == (429, "60")
        assert "Too many tries" in answer.content.decode()
        assert shown(Client(), passkey).status_code == 302
        clock.shift(timedelta(seconds=61))
        assert shown(Client(REMOTE_ADDR=caller), passkey).status_code == 302


def test_whoever_waits_for_slips_of_the_password_waits_here_too(member: Member) -> None:
    passkey, client = made_by(member), Client()
    with time_machine.travel(NOW, tick=False) as clock:
        for _ in range(NAME_AND_ADDRESS.free):
            client.post(SIGN_IN, {"username": member.user.username, "password": "guess"})
        assert shown(client, passkey).status_code == 429
        assert client.get("/season/").status_code == 302
        clock.shift(timedelta(seconds=61))
        assert shown(client, passkey).status_code == 302


def test_challenges_are_handed_to_our_script_alone_and_not_without_end(member: Member) -> None:
    client = Client()
    assert 'data-passkey="get" hidden' in client.get(SIGN_IN).content.decode()  # until a script can use it
    assert client.get(ALONE)["Location"] == SIGN_IN
    with time_machine.travel(NOW, tick=False):
        for _ in range(120):
            assert client.get(ALONE, HTTP_ACCEPT="application/json").status_code == 200
        assert client.get(ALONE, HTTP_ACCEPT="application/json").status_code == 429
