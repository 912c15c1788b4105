"""Links that open nothing, what may be had under a live one, and what goes out with every answer."""

from __future__ import annotations

from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from tests.web.conftest import NOW
from tests.web.letters import Letter
from tests.web.visitor import read_out
from web.base.rates import Rate
from workshop.models import LinkOpening
from workshop.services.links import link_revoke

pytestmark = pytest.mark.django_db


def addresses(letter: Letter, token: str) -> list[str]:
    return [
        reverse("web:owner-quote", args=[token]),
        reverse("web:owner-photo", args=[token, letter.photo, "report"]),
        reverse("web:owner-report", args=[token]),
    ]


def assert_closed(letter: Letter, token: str, status: int, words: str) -> None:
    client = Client()
    answers = [client.get(address) for address in addresses(letter, token)]
    answers.append(
        client.post(
            reverse("web:owner-answer", args=[token, letter.line("Toerail").pk]),
            {"verdict": "approve", "digest": letter.quote.digest},
        )
    )
    for answer in answers:
        page = answer.content.decode()
        assert answer.status_code == status
        assert words in page
        assert letter.spring.boat.name not in page
        assert letter.spring.yard.name not in page
        assert "no-store" in answer["Cache-Control"]
    assert letter.decisions() == []
    assert not LinkOpening.objects.exists()


@pytest.mark.parametrize("spoilt", ["nonsense", "{}x", "x{}", "{}.{}"])
def test_a_wrong_link_opens_nothing(letter: Letter, spoilt: str) -> None:
    assert_closed(letter, spoilt.format(letter.token, letter.token), 404, "This link opens nothing")


def test_an_expired_link_opens_nothing(letter: Letter) -> None:
    with time_machine.travel(letter.link.expires_at + timedelta(seconds=1)):
        assert_closed(letter, letter.token, 410, "This link has run out")


def test_a_withdrawn_link_opens_nothing(letter: Letter) -> None:
    link_revoke(link=letter.link, at=NOW)
    assert_closed(letter, letter.token, 410, "This link has been withdrawn")


def test_every_answer_keeps_the_address_to_itself(letter: Letter) -> None:
    for address in addresses(letter, letter.token):
        answer = read_out(Client().get(address))
        assert answer["Referrer-Policy"] == "no-referrer"
        assert answer["X-Robots-Tag"] == "noindex, nofollow"
        assert not answer.cookies
    page = Client().get(letter.address)
    assert page["Cache-Control"] == "no-store"
    assert "frame-ancestors 'none'" in page["Content-Security-Policy"]
    assert "Cookie" not in page.get("Vary", "")


def test_a_picture_of_the_quote_is_shown_and_no_other(letter: Letter) -> None:
    def status(sha256: str, size: str) -> int:
        answer = read_out(Client().get(reverse("web:owner-photo", args=[letter.token, sha256, size])))
        code: int = answer.status_code
        return code

    assert status(letter.photo, "thumbnail") == 200
    assert status(letter.photo, "report") == 200
    assert status(letter.photo, "full") == 404
    assert status(letter.photo, "huge") == 404
    assert status(letter.strange_photo, "report") == 404
    assert status("0" * 64, "report") == 404


def test_pictures_stay_on_the_phone_for_an_hour_only(letter: Letter) -> None:
    answer = read_out(Client().get(reverse("web:owner-photo", args=[letter.token, letter.photo, "report"])))
    assert answer["Cache-Control"] == "private, max-age=3600, immutable"
    assert answer["Content-Type"] == "image/jpeg"


@pytest.fixture
def _three_a_minute(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("web.owner.gate.rate_of", lambda name: Rate(name, 3, 60))


@pytest.mark.usefixtures("_three_a_minute")
def test_whoever_asks_too_often_is_told_to_wait(letter: Letter) -> None:
    client = Client()
    with time_machine.travel(NOW.replace(second=20), tick=False) as clock:
        assert [client.get(letter.address).status_code for _ in range(4)] == [200, 200, 200, 429]
        slow = client.get(letter.address)
        assert slow["Retry-After"] == "40"
        assert "A little slower, please" in slow.content.decode()
        assert letter.spring.boat.name not in slow.content.decode()
        clock.shift(41)
        assert client.get(letter.address).status_code == 200
    assert LinkOpening.objects.count() == 4


@pytest.mark.usefixtures("_three_a_minute")
def test_reading_pictures_does_not_count_but_guessing_them_does(letter: Letter) -> None:
    client = Client()
    real = reverse("web:owner-photo", args=[letter.token, letter.photo, "thumbnail"])
    guess = reverse("web:owner-photo", args=["guess", letter.photo, "thumbnail"])

    def status(address: str) -> int:
        answer = read_out(client.get(address))
        code: int = answer.status_code
        return code

    with time_machine.travel(NOW, tick=False):
        assert {status(real) for _ in range(6)} == {200}
        assert [status(guess) for _ in range(4)] == [404, 404, 404, 429]
        assert status(real) == 429


def test_a_picture_costs_few_queries(letter: Letter, django_assert_max_num_queries: DjangoAssertNumQueries) -> None:
    with django_assert_max_num_queries(2):
        read_out(Client().get(reverse("web:owner-photo", args=[letter.token, letter.photo, "thumbnail"])))
