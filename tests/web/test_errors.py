"""Pages for what is not there, may not be done, or broke."""

from __future__ import annotations

import pytest
from django.test import Client, RequestFactory

from tests.factories import MemberFactory
from tests.web.visitor import Visitor
from web import errors

pytestmark = pytest.mark.django_db


def test_an_address_that_leads_nowhere_gets_a_page() -> None:
    answer = Client().get("/nowhere/")
    assert answer.status_code == 404
    assert "Nothing is here" in answer.content.decode()


def test_an_address_that_only_takes_a_form_says_so_to_who_opens_it() -> None:
    visitor = Visitor(MemberFactory.create())
    for address in ("/findings/act/", "/log-in/mail/"):
        answer = visitor.get(address)
        assert (answer.status_code, answer["Allow"]) == (405, "POST")
        assert "This address only takes what a form sends" in answer.content.decode()


def test_the_api_answers_for_its_own_addresses() -> None:
    answer = Client().get("/api/v1/nowhere/")
    assert (answer.status_code, answer["Content-Type"]) == (404, "application/problem+json")


@pytest.mark.parametrize(
    "address", ["/boats/{}/", "/inspections/{}/", "/quotes/{}/", "/quotes/{}/preview/", "/season/{}/"]
)
def test_a_number_beyond_all_rows_is_not_there(address: str) -> None:
    assert Visitor(MemberFactory.create()).get(address.format("9" * 40)).status_code == 404


def test_what_breaks_is_told_without_what_broke(monkeypatch: pytest.MonkeyPatch) -> None:
    visitor = Visitor(MemberFactory.create())
    visitor.client.raise_request_exception = False
    monkeypatch.setattr("web.office.season.season_boats", lambda *_: 1 / 0)
    answer = visitor.get("/season/")
    assert answer.status_code == 500
    page = answer.content.decode()
    assert "Something broke" in page
    assert "ZeroDivisionError" not in page


def test_the_page_for_what_broke_asks_the_database_nothing(django_assert_num_queries: object) -> None:
    assert callable(django_assert_num_queries)
    with django_assert_num_queries(0):
        assert errors.broken(RequestFactory().get("/")).status_code == 500


def test_a_request_that_makes_no_sense_is_told_so() -> None:
    answer = errors.bad_request(RequestFactory().get("/"), ValueError())
    assert answer.status_code == 400
    assert "This can't be read" in answer.content.decode()
