"""The ground floor: a yard at a cool, damp coast, its people, and one small boat."""

import random
import uuid
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import factory
from factory.django import DjangoModelFactory

from yard.models import (
    Boat,
    BoatDrawing,
    ClimateNormal,
    Component,
    ComponentClass,
    HourlyRate,
    Member,
    Owner,
    Role,
    Season,
    Spot,
    Surface,
    User,
    Yard,
)
from yard.tag_codes import tag_new

PASSWORD = "clench-and-rove-1887"
CREATED = datetime(2027, 4, 1, 8, 0, tzinfo=UTC)
FIRST_SEASON = 2024
LAST_SEASON = 2030

# Invented, of the kind of a cool coast: mean air temperature [°C], mean relative humidity [%], days with rain.
CLIMATE = (
    ("2.0", "86", "15"), ("2.1", "84", "12"), ("3.9", "79", "11"), ("7.5", "74", "10"),
    ("11.8", "72", "10"), ("15.0", "73", "11"), ("17.1", "75", "13"), ("17.0", "76", "13"),
    ("14.0", "79", "13"), ("9.8", "83", "15"), ("5.9", "86", "15"), ("3.2", "87", "16"),
)  # fmt: skip


class YardFactory(DjangoModelFactory[Yard]):
    """With seasons from 1 May to 15 October, the climate of its coast and one hourly rate."""

    class Meta:
        model = Yard
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Yard at Skerry Reach {n}")
    time_zone = "Europe/Copenhagen"
    currency = "EUR"
    vat_rate_pct = Decimal("25.00")
    holiday_country = "DK"
    latitude = Decimal("55.10000")
    longitude = Decimal("10.50000")
    mail_from = factory.Sequence(lambda n: f"yard{n}@skerry.example")

    @factory.post_generation
    def surroundings(self: Yard, create: bool, extracted: object, **_: Any) -> None:
        if not create:
            return
        Season.objects.bulk_create(
            Season(yard=self, year=year, launch_on=date(year, 5, 1), layup_on=date(year, 10, 15))
            for year in range(FIRST_SEASON, LAST_SEASON + 1)
        )
        ClimateNormal.objects.bulk_create(
            ClimateNormal(
                yard=self,
                month=month,
                air_temperature_c=Decimal(temperature),
                relative_humidity_pct=Decimal(humidity),
                rain_days=Decimal(rain_days),
            )
            for month, (temperature, humidity, rain_days) in enumerate(CLIMATE, start=1)
        )
        HourlyRate.objects.create(yard=self, trade="shipwright", amount=Decimal("62.00"))


class UserFactory(DjangoModelFactory[User]):
    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"hand{n}")
    email = factory.LazyAttribute(lambda user: f"{user.username}@skerry.example")
    password = factory.django.Password(PASSWORD)


class MemberFactory(DjangoModelFactory[Member]):
    """A manager."""

    class Meta:
        model = Member

    yard = factory.SubFactory(YardFactory)
    user = factory.SubFactory(UserFactory)
    role = Role.MANAGER
    name = factory.Sequence(lambda n: f"Manager {n}")


class TechnicianFactory(MemberFactory):
    role = Role.TECHNICIAN
    name = factory.Sequence(lambda n: f"Technician {n}")


class OwnerFactory(DjangoModelFactory[Owner]):
    class Meta:
        model = Owner

    yard = factory.SubFactory(YardFactory)
    name = factory.Sequence(lambda n: f"Owner {n}")
    email = factory.Sequence(lambda n: f"owner{n}@harbour.example")


class BoatFactory(DjangoModelFactory[Boat]):
    """A carvel boat whose one owner decides. `decider_member=…, decider_owner=None` makes her the operator's."""

    class Meta:
        model = Boat
        skip_postgeneration_save = True

    yard = factory.SubFactory(YardFactory)
    name = factory.Sequence(lambda n: f"Sea Pink {n}")
    material = "larch on oak"
    loa_mm = 8_400
    beam_mm = 2_450
    year = 1962
    decider_owner = factory.SubFactory(OwnerFactory, yard=factory.SelfAttribute("..yard"))

    @classmethod
    def _adjust_kwargs(cls, **kwargs: Any) -> dict[str, Any]:
        kwargs.setdefault("build", "carvel")  # as a declaration it would hide the factory's own `build`
        return kwargs

    @factory.post_generation
    def owners(self: Boat, create: bool, extracted: Any, **_: Any) -> None:
        if not create:
            return
        for owner in extracted or ([self.decider_owner] if self.decider_owner else []):
            self.owners.add(owner)


class ComponentClassFactory(DjangoModelFactory[ComponentClass]):
    class Meta:
        model = ComponentClass

    yard = factory.SubFactory(YardFactory)
    code = factory.Sequence(lambda n: f"WINDOW_FRAME_{n}")
    name = factory.Sequence(lambda n: f"window frame {n}")
    group = "deckhouse"
    fits = factory.List(["carvel", "clinker", "plywood"])
    contact = factory.List(["wood_to_wood", "sealant_joint"])
    load = factory.List(["none"])
    water = factory.List(["rain", "splash"])
    safety_role = "watertightness"
    hidden_by = factory.List(["lining"])
    look_first_at = factory.List(["lower corners", "the sealant below the pane"])
    usual_signs = factory.List(["CRACK_WOOD", "GAP_JOINT"])
    recheck_months = 12
    open_up_months = 48
    basis = "common practice, no source"


class ComponentFactory(DjangoModelFactory[Component]):
    class Meta:
        model = Component

    boat = factory.SubFactory(BoatFactory)
    yard = factory.SelfAttribute("boat.yard")
    component_class = factory.SubFactory(ComponentClassFactory, yard=factory.SelfAttribute("..yard"))
    name = factory.Sequence(lambda n: f"window frame {n}")
    position = "port side"
    species = "teak"
    finish = "varnish"


def _tag(number: int) -> str:
    return tag_new(random.Random(number))  # the same tags in every run


class SurfaceFactory(DjangoModelFactory[Surface]):
    """Four square metres of varnish in the full sun. Give it a `boat`."""

    class Meta:
        model = Surface

    boat = factory.SubFactory(BoatFactory)
    yard = factory.SelfAttribute("boat.yard")
    name = factory.Sequence(lambda n: f"Surface {n}")
    area_m2 = Decimal("4.00")
    finish = "varnish"
    exposure = "full_sun"
    entered_at = CREATED


class BoatDrawingFactory(DjangoModelFactory[BoatDrawing]):
    """A row without a file behind it. Where the file is wanted, let `drawing_put` take one in."""

    class Meta:
        model = BoatDrawing

    boat = factory.SubFactory(BoatFactory)
    yard = factory.SelfAttribute("boat.yard")
    file = "drawings/none.svg"
    sha256 = "0" * 64
    media_type = "image/svg+xml"
    width = 10_000
    height = 3_000
    received_at = CREATED


class SpotFactory(DjangoModelFactory[Spot]):
    class Meta:
        model = Spot

    id = factory.Sequence(lambda n: uuid.UUID(int=(0x01989680 << 96) | (0x7 << 76) | (0x8 << 60) | n))
    component = factory.SubFactory(ComponentFactory)
    yard = factory.SelfAttribute("component.yard")
    name = "lower aft corner"
    tag = factory.Sequence(_tag)
    plan_x = 400
    plan_y = 300
    level = "deck"
    created_at = CREATED


__all__ = [
    "CREATED",
    "PASSWORD",
    "BoatDrawingFactory",
    "BoatFactory",
    "ComponentClassFactory",
    "ComponentFactory",
    "MemberFactory",
    "OwnerFactory",
    "SpotFactory",
    "TechnicianFactory",
    "UserFactory",
    "YardFactory",
]
