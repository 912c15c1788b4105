"""What is changed at a yard is told with who did it and from what to what, whichever door it came by."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from tests.conftest import SPRING
from tests.factories import BoatFactory, ComponentFactory, MemberFactory, OwnerFactory, SpotFactory
from yard.models import ClimateNormal, Deed, DeedKind, HourlyRate, Member, Season
from yard.services.boats import boat_change, component_remove
from yard.services.changes import component_change, member_change, owner_change, spot_change, yard_change
from yard.services.deeds import deed_note
from yard.services.pins import member_pin_set
from yard.services.vat import vat_class_set
from yard.services.yards import MonthNormal, climate_set, hourly_rate_set, season_set

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def manager() -> Member:
    made: Member = MemberFactory.create()
    return made


# Typed as anything, so that it goes with every service.
def done_by(manager: Member) -> dict[str, Any]:
    return {"by": manager, "at": SPRING}


def told(kind: DeedKind, by: Member) -> list[str]:
    """What was told of a kind, the oldest first; all of it by this one."""
    deeds = list(Deed.objects.of_yard(by.yard_id).filter(kind=kind).order_by("pk"))
    assert {deed.by for deed in deeds} <= {by}
    assert {deed.at for deed in deeds} <= {SPRING}
    return [deed.told for deed in deeds]


def test_settings_are_told_from_what_to_what_and_once(manager: Member) -> None:
    yard, who = manager.yard, done_by(manager)
    Season.objects.of_yard(yard).delete()
    HourlyRate.objects.of_yard(yard).delete()
    days = yard.quote_valid_days
    for _ in range(2):  # what is the same already is no deed
        yard_change(yard=yard, changes={"quote_valid_days": 30, "working_weekdays": [0, 1]}, **who)
        season_set(yard=yard, year=2027, launch_on=date(2027, 5, 1), layup_on=date(2027, 10, 1), **who)
        hourly_rate_set(yard=yard, amount=Decimal(60), **who)
    season_set(yard=yard, year=2027, launch_on=date(2027, 4, 20), layup_on=date(2027, 10, 1), **who)
    hourly_rate_set(yard=yard, amount=Decimal("62.50"), **who)
    assert told(DeedKind.SETTINGS_CHANGED, manager) == [
        f"days that a quote holds {days} to 30; working weekdays Wednesday, Thursday, Friday taken out",
        "season 2027: boats go in from 2027-05-01; boats come out on 2027-10-01",
        f"rate of shipwright, in {yard.currency}: an hour costs 60",
        "season 2027: boats go in from 2027-05-01 to 2027-04-20",
        f"rate of shipwright, in {yard.currency}: an hour costs 60 to 62.5",
    ]


def test_vat_and_climate_are_told(manager: Member) -> None:
    yard, who = manager.yard, done_by(manager)
    given: dict[str, Any] = {"yard": yard, "code": "standard", "name": "Standard", "category": "S"}
    vat_class_set(**given, rate_pct=Decimal(25), valid_from=date(2027, 1, 1), **who)
    vat_class_set(**given, rate_pct=Decimal(24), valid_from=date(2027, 1, 1), **who)
    normals = [MonthNormal(month, Decimal(month), Decimal(80), Decimal(12)) for month in range(1, 13)]
    ClimateNormal.objects.of_yard(yard).delete()
    climate_set(yard=yard, normals=normals, **who)
    warmer = [MonthNormal(1, Decimal("1.5"), Decimal(80), Decimal(12)), *normals[1:]]
    climate_set(yard=yard, normals=warmer, **who)
    climate_set(yard=yard, normals=warmer, **who)
    first, second, whole, month = told(DeedKind.SETTINGS_CHANGED, manager)
    assert first.startswith("VAT class standard: name Standard; category ")
    assert first.endswith("rate in % from 2027-01-01 25")
    assert second == "VAT class standard: rate in % from 2027-01-01 25 to 24"
    assert whole.startswith("climate, as °C, humidity % and days of rain: Jan nothing to 1/80/12; Feb")
    assert whole.endswith("…")
    assert month == "climate, as °C, humidity % and days of rain: Jan 1/80/12 to 1.5/80/12"


def test_what_is_known_of_boats_and_owners_is_told(manager: Member) -> None:
    yard, who = manager.yard, done_by(manager)
    ines, heir = (OwnerFactory.create(yard=yard, name=name, phone="") for name in ("Ines", "Bjarke"))
    boat = BoatFactory.create(yard=yard, name="Sea Pink", loa_mm=8_400, decider_owner=ines)
    boat.owners.add(ines)
    part = ComponentFactory.create(boat=boat, name="Hatch", position="", species="")
    spot = SpotFactory.create(component=part, name="fore corner", plan_x=410, plan_y=500)
    owner_change(owner=ines, changes={"phone": "+45 12", "name": "Ines"}, **who)
    boat_change(boat=boat, loa_mm=9_000, owners=[heir], decider=heir, **who)
    boat_change(boat=boat, loa_mm=9_000, **who)
    component_change(component=part, changes={"species": "teak"}, **who)
    spot_change(spot=spot, changes={"plan_x": 430}, **who)
    for _ in range(2):
        component_remove(component=part, **who)
    assert told(DeedKind.OWNER_CHANGED, manager) == ["Ines: telephone nothing to +45 12"]
    (hers,) = told(DeedKind.BOAT_CHANGED, manager)
    assert hers.startswith("Sea Pink: length over all in mm 8400 to 9000; owners Bjarke added, Ines taken out; ")
    assert hers.endswith("who says yes or no Ines to Bjarke")
    assert told(DeedKind.PART_CHANGED, manager) == ["Sea Pink, Hatch: wood nothing to teak"]
    assert told(DeedKind.PART_REMOVED, manager) == ["Sea Pink, Hatch"]
    assert told(DeedKind.SPOT_CHANGED, manager) == ["Sea Pink, Hatch: fore corner: aft in thousandths 410 to 430"]
    assert Deed.objects.get(kind=DeedKind.PART_REMOVED).thing == f"component:{part.pk}"


def test_a_name_and_a_pin_are_told_and_the_pin_itself_is_not(manager: Member) -> None:
    hand = MemberFactory.create(yard=manager.yard, name="Jens")
    member_change(member=hand, changes={"name": "Jens Skov"}, by=manager, at=SPRING)
    member_pin_set(member=hand, pin="4821", by=manager, at=SPRING)
    assert told(DeedKind.NAME_CHANGED, manager) == ["Jens to Jens Skov"]
    assert told(DeedKind.PIN_SET, manager) == ["Jens Skov"]


def test_what_is_told_too_long_says_that_it_goes_on(manager: Member) -> None:
    deed = deed_note(yard=manager.yard, kind=DeedKind.INVITED, by=manager, told="x" * 301, at=SPRING)
    assert (len(deed.told), deed.told[-2:]) == (300, "x…")
