"""Members and owners."""

import pytest

from tests.api.callers import Caller, fields_of, problem_of
from tests.factories import BoatFactory, MemberFactory, OwnerFactory
from tests.factories.yard import PASSWORD
from yard.models import Member, Owner, Yard

NEW_MEMBER = {"username": "new.hand", "password": PASSWORD, "name": "A New Hand", "role": "technician"}


def test_a_manager_gives_somebody_a_log_in_that_works(manager: Caller, nobody: Caller, yard: Yard) -> None:
    answer = manager.post("members/", NEW_MEMBER | {"email": "hand@harbour.example"})
    assert answer.status_code == 201
    assert "password" not in answer.json()
    assert manager.get(answer["Location"]).json()["email"] == "hand@harbour.example"
    sheet = {"username": "new.hand", "password": PASSWORD, "device_name": "tablet"}
    assert nobody.post("devices/", sheet).json()["member"]["role"] == "technician"


def test_a_technician_sees_colleagues_without_their_addresses_and_makes_none(
    manager: Caller, technician: Caller, stranger: Caller
) -> None:
    rows = technician.results("members/")
    assert {row["role"] for row in rows} == {"manager", "technician"}
    assert {row["email"] for row in rows} == {None}
    assert None not in {row["email"] for row in manager.results("members/")}
    problem_of(technician.post("members/", NEW_MEMBER), 403)
    assert len(stranger.results("members/")) == 1
    problem_of(stranger.get(f"members/{rows[0]['id']}/"), 404)


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"username": "two words"}, 422, {"username"}),
        ({"password": "short"}, 422, {"password"}),
        ({"role": "owner"}, 400, {"role"}),
        ({"role": None}, 400, {"role"}),
        ({"name": "   "}, 400, {"name"}),
        ({"name": "x" * 121}, 400, {"name"}),
        ({"email": "nowhere"}, 422, {"email"}),
        ({"is_staff": True}, 400, {"is_staff"}),
    ],
)
def test_what_is_wrong_with_a_new_member_is_named(
    manager: Caller, change: dict[str, object], status: int, fields: set[str]
) -> None:
    assert fields_of(manager.post("members/", NEW_MEMBER | change), status) == fields
    assert not Member.objects.filter(user__username="new.hand").exists()


def test_a_user_name_is_taken_across_yards(manager: Caller, stranger: Caller) -> None:
    assert manager.post("members/", NEW_MEMBER).status_code == 201
    assert fields_of(stranger.post("members/", NEW_MEMBER), 422) == {"username"}


def test_a_member_leaves_and_the_yard_keeps_a_manager(manager: Caller, technician: Caller, yard: Yard) -> None:
    assert technician.member is not None
    assert manager.member is not None
    address = f"members/{technician.member.pk}/"
    assert manager.change(address, {"left_on": "2020-01-31"}).json()["left_on"] == "2020-01-31"
    problem_of(technician.get("me/"), 401)
    own = f"members/{manager.member.pk}/"
    assert fields_of(manager.change(own, {"role": "technician"}), 422) == {"role"}
    assert fields_of(manager.change(own, {"left_on": "2030-01-31"}), 422) == {"left_on"}
    MemberFactory.create(yard=yard)
    assert manager.change(own, {"role": "technician"}).status_code == 200


def test_who_decides_on_a_boat_stays_until_somebody_else_does(manager: Caller, yard: Yard) -> None:
    decider = MemberFactory.create(yard=yard)
    BoatFactory.create(yard=yard, name="Turnstone", decider_owner=None, decider_member=decider)
    refused = manager.change(f"members/{decider.pk}/", {"left_on": "2030-01-31"})
    assert fields_of(refused, 422) == {"left_on"}
    assert "Turnstone" in refused.json()["detail"]


def test_owners_are_for_managers_of_their_yard(
    manager: Caller, technician: Caller, stranger: Caller, yard: Yard
) -> None:
    owner = OwnerFactory.create(yard=yard)
    problem_of(technician.get("owners/"), 403)
    problem_of(technician.get(f"owners/{owner.pk}/"), 403)
    assert stranger.results("owners/") == []
    problem_of(stranger.get(f"owners/{owner.pk}/"), 404)
    problem_of(stranger.patch(f"owners/{owner.pk}/", {"name": "Mine"}, If_Match="*"), 404)
    assert [row["id"] for row in manager.results("owners/")] == [owner.pk]


def test_an_owner_is_entered_once_for_each_address(manager: Caller, stranger: Caller, yard: Yard) -> None:
    sheet = {"name": "Ines Marsk", "email": "ines@harbour.example", "phone": "+45 00 00 00 00", "locale": "da_DK"}
    created = manager.post("owners/", sheet)
    assert created.status_code == 201
    assert manager.get(created["Location"]).json() == {"id": created.json()["id"], **sheet}
    assert fields_of(manager.post("owners/", sheet | {"email": "INES@harbour.example"}), 422) == {"email"}
    assert stranger.post("owners/", sheet).status_code == 201


def test_an_owners_change_is_checked_like_a_new_owner(manager: Caller, yard: Yard) -> None:
    one, other = OwnerFactory.create_batch(2, yard=yard)
    address = f"owners/{one.pk}/"
    assert manager.change(address, {"phone": "12"}).json()["phone"] == "12"
    assert fields_of(manager.change(address, {"email": other.email}), 422) == {"email"}
    assert fields_of(manager.change(address, {"email": "nowhere"}), 422) == {"email"}
    assert fields_of(manager.change(address, {"locale": "qqq"}), 422) == {"locale"}
    assert fields_of(manager.change(address, {"name": 7, "shoe_size": 42}), 400) == {"name", "shoe_size"}
    problem_of(manager.patch(address, {"phone": "13"}), 428)
    assert Owner.objects.get(pk=one.pk).phone == "12"
