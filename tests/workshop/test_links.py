"""The owner's link: what opens it, what does not, and that opening it changes nothing but the log."""

from datetime import timedelta

import pytest
from django.core import signing
from django.test import override_settings

from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import LinkOpening, OwnerLink, Quote
from workshop.services.links import (
    SALT,
    LinkRefused,
    link_find,
    link_opened,
    link_reissue,
    link_revoke,
    link_token,
    link_url,
)
from workshop.services.quotes import quote_withdraw
from yard.models import OutboxRow
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def spring() -> Spring:
    made = a_spring()
    made.finding(made.component(), "REBED_SEALANT")
    return made


def link_of(quote: Quote) -> OwnerLink:
    link: OwnerLink = OwnerLink.objects.get(quote=quote, revoked_at__isnull=True)
    return link


def kind_of(token: str, at: object = AT) -> str:
    with pytest.raises(LinkRefused) as refused:
        link_find(token, at)  # type: ignore[arg-type]
    return refused.value.kind


def test_a_token_opens_its_own_quote(spring: Spring) -> None:
    quote = spring.sent()
    link = link_of(quote)
    found = link_find(link_token(link), AT)
    assert (found.pk, found.quote_id, found.boat_id) == (link.pk, quote.pk, spring.boat.pk)
    assert found.owner == spring.boat.decider_owner


def test_every_character_of_the_token_counts(spring: Spring) -> None:
    token = link_token(link_of(spring.sent()))
    for position, character in enumerate(token):
        other = "A" if character != "A" else "B"
        changed = token[:position] + other + token[position + 1 :]
        # The last character of each part carries bits that base64 leaves unused: those may not open it either.
        assert kind_of(changed) == "wrong", position


@pytest.mark.parametrize("token", ["", ".", "a.b", "ø" * 40, "x" * 5000, "../../etc"])
def test_nonsense_opens_nothing(token: str) -> None:
    assert kind_of(token) == "wrong"


def test_a_signature_for_another_purpose_opens_nothing(spring: Spring) -> None:
    name = link_token(link_of(spring.sent())).partition(".")[0]
    assert kind_of(signing.Signer(salt="something else", sep=".").sign(name)) == "wrong"
    assert signing.Signer(salt=SALT, sep=".").sign(name) == link_token(OwnerLink.objects.get())


def test_another_key_makes_other_tokens(spring: Spring) -> None:
    link = link_of(spring.sent())
    with override_settings(SECRET_KEY="x" * 60):
        foreign = link_token(link)
    assert kind_of(foreign) == "wrong"


def test_a_link_lives_on_after_the_last_day_and_then_ends(spring: Spring) -> None:
    link = link_of(spring.sent())
    token = link_token(link)
    assert link_find(token, AT + timedelta(days=25)).pk == link.pk
    assert link_find(token, link.expires_at - timedelta(seconds=1)).pk == link.pk
    assert kind_of(token, link.expires_at) == "expired"


def test_a_revoked_link_opens_nothing(spring: Spring) -> None:
    link = link_of(spring.sent())
    link_revoke(link=link, at=AT)
    link_revoke(link=link, at=AT + timedelta(days=1))
    link.refresh_from_db()
    assert link.revoked_at == AT
    assert kind_of(link_token(link)) == "withdrawn"


def test_withdrawing_the_quote_withdraws_the_link(spring: Spring) -> None:
    quote = spring.sent()
    token = link_token(link_of(quote))
    quote_withdraw(quote=quote, at=AT)
    assert kind_of(token) == "withdrawn"


def test_a_new_link_has_a_new_token_and_ends_the_old_one(spring: Spring) -> None:
    quote = spring.sent()
    old = link_token(link_of(quote))
    new = link_token(link_reissue(quote=quote, at=AT))
    assert new != old
    assert kind_of(old) == "withdrawn"
    assert link_find(new, AT).quote_id == quote.pk
    assert OutboxRow.objects.filter(task="workshop.make_report").count() == 2


def test_a_draft_has_no_link_to_reissue(spring: Spring) -> None:
    with pytest.raises(Refused):
        link_reissue(quote=spring.draft(), at=AT)


def test_opening_is_logged_and_changes_nothing_else(spring: Spring) -> None:
    quote = spring.sent()
    link = link_of(quote)
    before = OwnerLink.objects.filter(pk=link.pk).values().get()
    for _ in range(2):
        link_opened(link=link, at=AT, from_address="192.0.2.7", user_agent="scanner " * 100)
    assert OwnerLink.objects.filter(pk=link.pk).values().get() == before
    assert LinkOpening.objects.filter(link=link).count() == 2
    quote.refresh_from_db()
    assert quote.state == Quote.State.SENT


def test_the_address_is_the_public_one(spring: Spring) -> None:
    link = link_of(spring.sent())
    with override_settings(PUBLIC_URL="https://yard.example"):
        assert link_url(link) == f"https://yard.example/o/{link_token(link)}/"
