"""Whatever a factory makes obeys the rules of the database and the house."""

import uuid

import pytest

from tests.factories import BoatFactory, MemberFactory, SpotFactory, TechnicianFactory
from yard.models import ClimateNormal, Season
from yard.tag_codes import tag_check

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


def test_a_spot_brings_its_whole_house_in_one_yard() -> None:
    spot = SpotFactory.create()
    component = spot.component
    assert {spot.yard, component.yard, component.boat.yard, component.component_class.yard} == {spot.yard}
    assert component.boat.decider_owner in component.boat.owners.all()
    assert tag_check(spot.tag) == spot.tag
    assert spot.id.version == 7
    assert spot.id.variant == uuid.RFC_4122
    assert Season.objects.of_yard(spot.yard).filter(year=2027).exists()
    assert ClimateNormal.objects.of_yard(spot.yard).count() == 12


def test_members_have_the_role_they_are_named_for_and_can_sign_in() -> None:
    manager, technician = MemberFactory.create(), TechnicianFactory.create()
    assert manager.is_manager
    assert not technician.is_manager
    assert manager.user.check_password("clench-and-rove-1887")


def test_a_boat_of_the_operator_is_decided_on_by_a_manager() -> None:
    manager = MemberFactory.create()
    boat = BoatFactory.create(yard=manager.yard, decider_owner=None, decider_member=manager)
    assert boat.decider == manager
    assert not boat.owners.exists()
