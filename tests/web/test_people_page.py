"""The pages of people: who works here, inviting, owners' links, one's own password, and a new one by mail."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
import time_machine
from django.test import Client

from tests.factories import MemberFactory, TechnicianFactory
from tests.factories.yard import PASSWORD
from tests.queries import assert_same_queries
from tests.web.conftest import NOW
from tests.web.letters import Letter
from tests.web.visitor import Visitor
from yard.models import Deed, DeedKind, Invitation, Mail, Member, User
from yard.services.invitations import invitation_send
from yard.services.passwords import password_key
from yard.services.people import device_token_issue

pytestmark = pytest.mark.django_db
NEW = "tar and oakum again"


@pytest.fixture
def manager() -> Member:
    return MemberFactory.create()


def key_in_the_mail() -> str:
    found = re.search(r"/join/([\w-]+)/", Mail.objects.get().text)
    assert found is not None
    return found[1]


def test_from_the_invitation_to_the_sign_in(manager: Member) -> None:
    page = Visitor(manager).after("/people/invite/", email="ingrid@new.example", name="Ingrid", role="technician")
    assert "ingrid@new.example" in page
    guest, address = Client(), f"/join/{key_in_the_mail()}/"
    shown = guest.get(address)
    assert shown["Referrer-Policy"] == "no-referrer"
    assert shown["Cache-Control"] == "no-store"
    assert 'value="ingrid@new.example"' in shown.content.decode()
    sheet = {"name": "Ingrid", "username": "ingrid", "password": NEW, "again": NEW}
    slip = guest.post(address, {**sheet, "again": "tar and oakum"})
    assert slip.status_code == 422
    assert "is not the same" in slip.content.decode()
    made = guest.post(address, sheet)
    assert made["Location"] == "/sign-in/"
    assert "Your log-in is made" in guest.get("/sign-in/").content.decode()
    assert guest.get(address).status_code == 404
    assert guest.post("/sign-in/", {"username": "ingrid", "password": NEW})["Location"] == "/season/"
    assert Member.objects.get(user__username="ingrid").role == "technician"


def test_an_invitation_that_would_not_do_is_told_beside_its_field(manager: Member) -> None:
    page = Visitor(manager).refused("/people/invite/", email=manager.user.email, role="manager")
    assert "is that of" in page
    assert not Invitation.objects.exists()


def test_keys_are_tried_slowly() -> None:
    client = Client()
    with time_machine.travel(NOW, tick=False):
        told = [client.get(f"/join/{number}/").status_code for number in range(21)]
    assert told == [404] * 20 + [429]


def test_roles_and_log_ins_are_changed_and_the_last_manager_stays(manager: Member) -> None:
    hand = TechnicianFactory.create(yard=manager.yard)
    visitor = Visitor(manager)
    assert "is the only manager" in visitor.refused(f"/people/{manager.pk}/role/", role="technician")
    assert "is your own" in visitor.refused(f"/people/{manager.pk}/close/")
    visitor.after(f"/people/{hand.pk}/role/", role="manager")
    assert "can&#x27;t sign in any more" in visitor.after(f"/people/{hand.pk}/close/")
    assert "log-in closed" in visitor.page("/people/?stay=gone")
    assert "can sign in again" in visitor.after(f"/people/{hand.pk}/reopen/")
    # Whoever gives their own role away is led to a page that they may still see.
    assert visitor.post(f"/people/{manager.pk}/role/", role="technician")["Location"] == "/season/"


def test_owners_links_are_listed_with_their_openings_and_taken_back(letter: Letter) -> None:
    visitor = Visitor(letter.spring.manager)
    assert "not yet" in visitor.page("/people/links/")
    assert Client().get(letter.address).status_code == 200
    page = visitor.page("/people/links/", boat=str(letter.spring.boat.pk), order="opened")
    assert "1 time" in page
    assert letter.spring.boat.decider_owner is not None
    assert letter.spring.boat.decider_owner.name in page
    visitor.after(f"/people/links/{letter.link.pk}/revoke/")
    assert Client().get(letter.address).status_code == 410
    assert "taken back" in visitor.page("/people/links/", state="revoked")
    deed = Deed.objects.filter(kind=DeedKind.LINK_REVOKED).get()
    assert deed.by == letter.spring.manager


def test_forgetting_is_answered_alike_whether_anybody_has_the_address_or_not(manager: Member) -> None:
    known = Client().post("/password/forgotten/", {"email": manager.user.email}).content.decode()
    unknown = Client().post("/password/forgotten/", {"email": "nobody@skerry.example"}).content.decode()
    assert known.replace(manager.user.email, "") == unknown.replace("nobody@skerry.example", "")


def test_a_new_password_is_chosen_by_the_key_of_the_mail(manager: Member) -> None:
    guest, address = Client(), f"/password/new/{password_key(manager.user)}/"
    assert guest.get(address)["Referrer-Policy"] == "no-referrer"
    assert guest.post(address, {"password": "12345678", "again": "12345678"}).status_code == 422
    assert guest.post(address, {"password": NEW, "again": NEW})["Location"] == "/sign-in/"
    assert guest.get(address).status_code == 404
    assert Client().login(username=manager.user.username, password=NEW)
    token, _ = device_token_issue(member=manager, device_name="aboard", at=NOW)
    manager.user.refresh_from_db()
    address = f"/password/new/{password_key(manager.user)}/"
    assert "Signed in with your name: aboard." in guest.get(address).content.decode()
    assert guest.post(address, {"password": NEW * 2, "again": NEW * 2, "shut_out_tablets": "on"}).status_code == 302
    token.refresh_from_db()
    assert token.revoked_at is not None


def test_ones_own_password_wants_the_old_one_and_signs_out_everywhere_else(manager: Member) -> None:
    here, elsewhere = Visitor(manager), Visitor(manager)
    sheet = {"old_password": PASSWORD, "password": NEW, "again": NEW}
    with time_machine.travel(NOW, tick=False) as clock:
        for _ in range(5):
            assert "is not the one you have now" in here.refused("/log-in/", **{**sheet, "old_password": "guess"})
        assert "wait 1 minute" in here.refused("/log-in/", **sheet)
        clock.shift(timedelta(minutes=2))
        assert "Your new password holds" in here.after("/log-in/", **sheet)
    assert elsewhere.get("/log-in/").status_code == 302


def test_ones_own_mail_address_wants_the_password_and_stays_as_typed_where_it_is_none(manager: Member) -> None:
    User.objects.filter(pk=manager.user_id).update(email="")
    visitor, sheet = Visitor(manager), {"email": "office@skerry.example", "old_password": PASSWORD}
    assert "Enter one</a>" in visitor.page("/due-back/calendars/")
    assert "without a mail address" in visitor.page("/log-in/")
    wrong = visitor.refused("/log-in/mail/", **{**sheet, "old_password": "guess"})
    assert "is not the one you have now" in wrong
    assert 'value="office@skerry.example"' in wrong
    assert "is no mail address" in visitor.refused("/log-in/mail/", **{**sheet, "email": "office"})
    assert "Your mail goes to office@skerry.example" in visitor.after("/log-in/mail/", **sheet)
    manager.user.refresh_from_db()
    assert manager.user.email == "office@skerry.example"
    visitor.after("/log-in/mail/", **sheet)  # again, which changes nothing
    told = Deed.objects.of_yard(manager.yard).filter(kind="name_changed").values_list("told", flat=True)
    assert list(told) == [f"{manager.name}: mail address none to office@skerry.example"]


def test_the_pages_ask_as_often_for_many_people_as_for_one(manager: Member) -> None:
    def grow(people: int) -> None:
        while Member.objects.count() < people:
            hand = TechnicianFactory.create(yard=manager.yard)
            invitation_send(by=manager, email=f"new{hand.pk}@new.example", role="manager", at=NOW)

    visitor = Visitor(manager)
    addresses = ("/people/", "/people/list.csv")
    assert_same_queries(lambda: [visitor.page(address) for address in addresses], grow, to=(2, 8))
