"""Coming in and going out."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
import time_machine
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from tests.factories import MemberFactory, UserFactory
from tests.factories.yard import PASSWORD
from tests.web.conftest import NOW
from tests.web.visitor import Visitor
from yard.models import Deed, DeedKind, Member
from yard.services.guessing import ADDRESS, NAME_AND_ADDRESS

pytestmark = pytest.mark.django_db
SIGN_IN = "/sign-in/"


@pytest.fixture
def member() -> Member:
    return MemberFactory.create()


def test_whoever_is_not_signed_in_is_led_to_the_door_and_back() -> None:
    answer = Client().get("/due-back/?kind=open_up")
    assert answer["Location"] == "/sign-in/?next=/due-back/%3Fkind%3Dopen_up"


def test_the_right_password_leads_where_one_was_going(member: Member) -> None:
    answer = Client().post(
        SIGN_IN, {"username": member.user.username, "password": PASSWORD, "next": "/due-back/?kind=open_up"}
    )
    assert answer["Location"] == "/due-back/?kind=open_up"


def test_it_leads_nowhere_else(member: Member) -> None:
    answer = Client().post(
        SIGN_IN, {"username": member.user.username, "password": PASSWORD, "next": "https://elsewhere.example/"}
    )
    assert answer["Location"] == reverse("web:season")


def test_a_wrong_password_is_told_without_saying_which_of_the_two_was_wrong(member: Member) -> None:
    known = Client().post(SIGN_IN, {"username": member.user.username, "password": "guess"})
    unknown = Client().post(SIGN_IN, {"username": "nobody", "password": "guess"})
    for answer in (known, unknown):
        assert answer.status_code == 422
        assert "This name and password don&#x27;t belong together" in answer.content.decode()


def test_an_empty_field_is_told_beside_it() -> None:
    page = Visitor().refused(SIGN_IN, username="", password="")
    assert "Name is missing." in page
    assert "Password is missing." in page
    assert 'aria-invalid="true"' in page


def slips(client: Client, member: Member, most: int = NAME_AND_ADDRESS.free) -> None:
    for _ in range(most):
        assert client.post(SIGN_IN, {"username": member.user.username, "password": "guess"}).status_code == 422


def test_after_five_slips_even_the_right_password_waits_and_each_further_slip_doubles_it(member: Member) -> None:
    client, right = Client(), {"username": member.user.username.upper(), "password": PASSWORD}
    with time_machine.travel(NOW, tick=False) as clock:
        slips(client, member)
        for minutes in (1, 2, 4):
            answer = client.post(SIGN_IN, right)
            assert answer.status_code == 429
            assert f"Please wait {minutes} minute" in answer.content.decode()
            assert answer["Retry-After"] == str(minutes * 60)
            clock.shift(timedelta(minutes=minutes, seconds=1))
            slips(client, member, most=1)
        clock.shift(timedelta(minutes=8, seconds=1))
        assert client.post(SIGN_IN, {**right, "username": member.user.username}).status_code == 302


def test_a_name_that_nobody_has_waits_as_long(member: Member) -> None:
    client = Client()
    with time_machine.travel(NOW, tick=False):
        for name in (member.user.username, "nobody"):
            told = [client.post(SIGN_IN, {"username": name, "password": "guess"}) for _ in range(7)]
            assert [answer.status_code for answer in told] == [422] * 5 + [429] * 2
            assert told[-1]["Retry-After"] == "60"


def test_the_tablet_s_door_and_the_page_count_together(member: Member) -> None:
    client, sheet = Client(), {"username": member.user.username, "password": "guess", "device_name": "Tablet"}
    with time_machine.travel(NOW, tick=False):
        slips(client, member, most=4)
        assert client.post("/api/v1/devices/", sheet, content_type="application/json").status_code == 401
        right = {**sheet, "password": PASSWORD}
        answer = client.post("/api/v1/devices/", right, content_type="application/json")
        assert answer.status_code == 429
        assert answer["Retry-After"] == "61"


def test_who_came_in_and_who_did_not_is_noted(member: Member) -> None:
    client = Client(REMOTE_ADDR="192.0.2.7")
    client.post(SIGN_IN, {"username": "nobody", "password": "guess"})
    client.post(SIGN_IN, {"username": member.user.username, "password": "guess"})
    client.post(SIGN_IN, {"username": member.user.username, "password": PASSWORD})
    came, failed = Deed.objects.of_yard(member.yard)
    assert (came.kind, came.by, came.from_address) == (DeedKind.SIGNED_IN, member, "192.0.2.7")
    assert (failed.kind, failed.by, failed.about) == (DeedKind.SIGN_IN_FAILED, None, member)
    assert Deed.objects.count() == 2


def test_the_wait_is_as_long_where_the_database_counts(member: Member, settings: Settings) -> None:
    settings.CACHES = {
        "default": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "yard_cache"}
    }
    call_command("createcachetable", verbosity=0)
    client, right = Client(), {"username": member.user.username, "password": PASSWORD}
    with time_machine.travel(NOW, tick=False) as clock:
        slips(client, member)
        clock.shift(timedelta(seconds=50))
        assert client.post(SIGN_IN, right).status_code == 429
        clock.shift(timedelta(seconds=11))
        assert client.post(SIGN_IN, right).status_code == 302


def test_one_persons_slips_don_t_shut_the_next_one_out(member: Member) -> None:
    other, client = MemberFactory.create(), Client()
    slips(client, member)
    assert client.post(SIGN_IN, {"username": other.user.username, "password": PASSWORD}).status_code == 302


def test_signing_in_forgets_the_slips_before(member: Member) -> None:
    client = Client()
    for _ in range(3):
        slips(client, member, most=NAME_AND_ADDRESS.free - 1)
        assert client.post(SIGN_IN, {"username": member.user.username, "password": PASSWORD}).status_code == 302
        client.post("/sign-out/")


def test_many_names_from_one_address_are_guessed_slowly(member: Member) -> None:
    client = Client()
    with time_machine.travel(NOW, tick=False):
        for number in range(ADDRESS.free):
            client.post(SIGN_IN, {"username": f"name{number}", "password": "guess"})
        answer = client.post(SIGN_IN, {"username": member.user.username, "password": PASSWORD})
    assert answer.status_code == 429


def test_signing_out_takes_a_post(member: Member) -> None:
    visitor = Visitor(member)
    assert visitor.get("/sign-out/").status_code == 405
    assert visitor.post("/sign-out/")["Location"] == SIGN_IN
    assert visitor.get("/season/").status_code == 302


def test_a_log_in_without_a_yard_is_told_so() -> None:
    client = Client()
    client.force_login(UserFactory.create())
    answer = client.get("/season/")
    assert answer.status_code == 403
    assert "This log-in belongs to no yard" in answer.content.decode()


def test_who_has_left_is_shut_out_from_that_day() -> None:
    visitor = Visitor(MemberFactory.create(left_on=date(2027, 4, 7)))
    assert visitor.get("/season/").status_code == 200
    with time_machine.travel(NOW + timedelta(days=1)):
        assert visitor.get("/season/").status_code == 403


def test_pages_are_not_kept_for_the_next_one_at_the_machine(member: Member) -> None:
    assert Visitor(member).get("/season/")["Cache-Control"] == "private, no-store"


def test_a_form_without_its_proof_is_not_taken(member: Member) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(member.user)
    answer = client.post("/sign-out/")
    assert answer.status_code == 403
    assert "Please load the page again" in answer.content.decode()
