"""The second factor: no way in by the password alone once it is on, and a way back for whoever has lost it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import format_hotp_value, hotp_value, yield_hotp_counters_from_time
from django.test import Client

from tests.factories import MemberFactory, TechnicianFactory
from tests.factories.yard import PASSWORD
from tests.web.conftest import NOW
from tests.web.visitor import Visitor
from yard.models import Deed, DeedKind, Member
from yard.services.guessing import NAME_AND_ADDRESS

pytestmark = pytest.mark.django_db
SIGN_IN, SECOND, OWN = "/sign-in/", "/sign-in/second-factor/", "/log-in/second-factor/"


def code_of(secret: str) -> str:
    """What an app shows at this moment."""
    _, now, _ = yield_hotp_counters_from_time()
    return str(format_hotp_value(hotp_value(secret, now)))


def switched_on(member: Member) -> tuple[str, list[str]]:
    """A second factor, switched on as its owner does it: the secret and the spare codes."""
    visitor = Visitor(member)
    answer = visitor.get(f"{OWN}app/")
    assert answer["Location"].startswith("/log-in/confirm/?next=")
    answer = visitor.post(answer["Location"], password=PASSWORD, next=f"{OWN}app/")
    assert answer["Location"] == f"{OWN}app/"
    page = visitor.page(f"{OWN}app/")
    secret = page.split('<code id="secret">')[1].split("<")[0]
    assert "is wrong, used already" in visitor.post(f"{OWN}app/", code="000000").content.decode()
    page = visitor.after(f"{OWN}app/", code=code_of(secret))
    return secret, [part.split("<")[0] for part in page.split("<li><code>")[1:]]


@pytest.fixture
def member() -> Member:
    return MemberFactory.create()


def password_given(member: Member, client: Client, to: str = "") -> Any:
    return client.post(SIGN_IN, {"username": member.user.username, "password": PASSWORD, "next": to})


def test_the_password_alone_lets_nobody_in_any_more(member: Member) -> None:
    with time_machine.travel(NOW, tick=False) as clock:
        secret, spare = switched_on(member)
        assert len(spare) == 10
        assert secret not in str(Authenticator.objects.values_list("data", flat=True))
        clock.shift(timedelta(minutes=2))
        client = Client()
        assert password_given(member, client, "/due-back/")["Location"] == SECOND
        assert client.get("/season/")["Location"].startswith(SIGN_IN)
        assert client.get("/api/v1/me/").status_code == 401
        assert client.post(SECOND, {"code": "123456"}).status_code == 200
        assert client.get("/season/").status_code == 302
        before = client.session.session_key
        code = code_of(secret)
        assert client.post(SECOND, {"code": code})["Location"] == "/due-back/"
        assert client.session.session_key != before
        assert client.get("/season/").status_code == 200
        other = Client()
        password_given(member, other)
        assert other.post(SECOND, {"code": code}).status_code == 200  # a code opens once
        assert other.post(SECOND, {"code": spare[0]}).status_code == 302
        third = Client()
        password_given(member, third)
        assert third.post(SECOND, {"code": spare[0]}).status_code == 200
    told = [(str(deed.kind), deed.told) for deed in Deed.objects.order_by("pk")]
    assert (DeedKind.SIGNED_IN, "by password and second factor") in told
    assert (DeedKind.SIGN_IN_FAILED, "wrong second factor") in told


def test_codes_are_guessed_slowly(member: Member) -> None:
    with time_machine.travel(NOW, tick=False) as clock:
        secret, _ = switched_on(member)
        clock.shift(timedelta(minutes=10))
        client = Client()
        password_given(member, client)
        for _ in range(5):
            assert "is wrong" in client.post(SECOND, {"code": "000000"}).content.decode()
        assert "wrong too often" in client.post(SECOND, {"code": code_of(secret)}).content.decode()


def test_the_right_password_at_one_door_forgives_no_guessed_codes_at_the_other(member: Member) -> None:
    sheet = {"username": member.user.username, "password": PASSWORD, "device_name": "Tablet", "code": "000000"}

    def guessed() -> int:
        answer = Client().post("/api/v1/devices/", sheet, content_type="application/json")
        return int(answer.status_code)

    with time_machine.travel(NOW, tick=False) as clock:
        secret, _ = switched_on(member)
        clock.shift(timedelta(minutes=2))
        assert [guessed() for _ in range(NAME_AND_ADDRESS.free - 1)] == [401] * (NAME_AND_ADDRESS.free - 1)
        client = Client()
        assert password_given(member, client)["Location"] == SECOND
        assert [guessed(), guessed()] == [401, 429]
        clock.shift(timedelta(minutes=2))
        assert client.post(SECOND, {"code": code_of(secret)}).status_code == 302
        assert [guessed(), guessed()] == [401, 401]  # whoever is in begins again


def test_the_tablet_s_door_and_the_back_room_are_no_way_round_it(member: Member) -> None:
    member.user.is_staff = member.user.is_superuser = True
    member.user.save()
    with time_machine.travel(NOW, tick=False) as clock:
        secret, spare = switched_on(member)
        clock.shift(timedelta(minutes=2))
        client = Client()
        sheet = {"username": member.user.username, "password": PASSWORD, "device_name": "Tablet"}

        def asked(**more: str) -> Any:
            return client.post("/api/v1/devices/", {**sheet, **more}, content_type="application/json")

        for _ in range(2):  # whoever did not know that a code is wanted has made no slip
            refused = asked()
            assert (refused.status_code, refused.json()["second_factor"]) == (401, "wanted")
        assert not Deed.objects.filter(kind=DeedKind.SIGN_IN_FAILED).exists()
        assert "second_factor" not in asked(password="guess").json()
        wrong = asked(code="000000")
        assert (wrong.status_code, wrong.json()["second_factor"]) == (401, "wrong")
        assert asked(code=code_of(secret)).status_code == 201
        assert [asked(code=spare[0]).status_code for _ in range(2)] == [201, 401]  # a code opens once
        clock.shift(timedelta(seconds=61))  # for the rate at which anybody may ask
        for _ in range(4):
            asked(code="000000")
            asked()
        waits = asked(code=spare[1])
        assert (waits.status_code, waits["Retry-After"]) == (429, "61")
        door = client.post("/admin/login/", {"username": member.user.username, "password": PASSWORD})
        assert door["Location"].startswith(SIGN_IN)
        assert client.get("/admin/").status_code == 302


def test_a_manager_takes_it_away_from_who_has_lost_it_but_not_their_own(member: Member) -> None:
    hand = TechnicianFactory.create(yard=member.yard)
    with time_machine.travel(NOW, tick=False):
        switched_on(hand)
        switched_on(member)
    # Signed in already: the client's own way in asks for no second factor.
    visitor = Visitor(member)
    assert visitor.page("/people/").count("</span>on</td>") == 2
    assert "is your own" in visitor.refused(f"/people/{member.pk}/second-factor/off/")
    visitor.after(f"/people/{hand.pk}/second-factor/off/")
    assert password_given(hand, Client())["Location"] == "/season/"
    assert Deed.objects.filter(kind=DeedKind.FACTOR_REMOVED, by=member, about=hand).count() == 1


def test_switching_it_off_wants_a_proof_and_leaves_no_spare_codes(member: Member) -> None:
    with time_machine.travel(NOW, tick=False) as clock:
        switched_on(member)
        clock.shift(timedelta(hours=1))
        visitor = Visitor(member)
        assert visitor.get(f"{OWN}app/off/")["Location"].startswith("/log-in/confirm/")
        away = visitor.post("/log-in/confirm/", password=PASSWORD, next="https://elsewhere.example/")
        assert away["Location"] == "/season/"
        visitor.after(f"{OWN}app/off/")
        assert not Authenticator.objects.exists()
