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
from web.office.signing_in import FOR_A_NAME
from yard.models import Member

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


def test_after_five_slips_even_the_right_password_waits(member: Member) -> None:
    client = Client()
    with time_machine.travel(NOW.replace(minute=2), tick=False) as clock:
        for _ in range(FOR_A_NAME.most):
            assert client.post(SIGN_IN, {"username": member.user.username, "password": "guess"}).status_code == 422
        answer = client.post(SIGN_IN, {"username": member.user.username.upper(), "password": PASSWORD})
        assert answer.status_code == 429
        assert "Please wait 13 minutes" in answer.content.decode()
        assert answer["Retry-After"] == str(13 * 60)
        clock.shift(timedelta(minutes=13, seconds=1))
        assert client.post(SIGN_IN, {"username": member.user.username, "password": PASSWORD}).status_code == 302


def test_the_wait_is_as_long_where_the_database_counts(member: Member, settings: Settings) -> None:
    settings.CACHES = {
        "default": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "yard_cache"}
    }
    call_command("createcachetable", verbosity=0)
    client = Client()
    with time_machine.travel(NOW.replace(minute=2), tick=False) as clock:
        for _ in range(FOR_A_NAME.most):
            client.post(SIGN_IN, {"username": member.user.username, "password": "guess"})
        clock.shift(timedelta(minutes=12))
        answer = client.post(SIGN_IN, {"username": member.user.username, "password": PASSWORD})
        assert answer.status_code == 429
        clock.shift(timedelta(minutes=2))
        answer = client.post(SIGN_IN, {"username": member.user.username, "password": PASSWORD})
        assert answer.status_code == 302


def test_one_persons_slips_don_t_shut_the_next_one_out(member: Member) -> None:
    other, client = MemberFactory.create(), Client()
    for _ in range(FOR_A_NAME.most):
        client.post(SIGN_IN, {"username": member.user.username, "password": "guess"})
    assert client.post(SIGN_IN, {"username": other.user.username, "password": PASSWORD}).status_code == 302


def test_signing_in_forgets_the_slips_before(member: Member) -> None:
    client = Client()
    for _ in range(3):
        for _ in range(FOR_A_NAME.most - 1):
            client.post(SIGN_IN, {"username": member.user.username, "password": "guess"})
        assert client.post(SIGN_IN, {"username": member.user.username, "password": PASSWORD}).status_code == 302
        client.post("/sign-out/")


def test_many_names_from_one_address_are_guessed_slowly(member: Member) -> None:
    client = Client()
    with time_machine.travel(NOW, tick=False):
        for number in range(30):
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
