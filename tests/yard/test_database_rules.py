"""What the database itself refuses, on both engines: each kind of rule is broken on purpose, past all services."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from functools import partial
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction

from tests.factories import (
    BoatDrawingFactory,
    ComponentFactory,
    MemberFactory,
    SpotFactory,
    SurfaceFactory,
)
from tests.factories.inspections import EntryFactory, TemplateVersionFactory
from tests.factories.yard import CREATED
from yard.database_rules import PREFIX, AppendOnly, FrozenOnce, SameYard, rules_of
from yard.models import (
    Boat,
    BoatDrawing,
    ClimateNormal,
    Component,
    ComponentClass,
    Deed,
    DeedKind,
    DeviceCode,
    DeviceToken,
    HourlyRate,
    Invitation,
    Mail,
    Member,
    OutboxRow,
    Owner,
    Season,
    Spot,
    Surface,
    VatClass,
    VatRate,
    Yard,
    YardOwned,
)
from yard.services.deeds import deed_note

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

FLOORS = ("yard", "inspections", "workshop", "api", "web")
DIGEST = "0" * 64


def our_models() -> Iterator[type[models.Model]]:
    return (model for model in apps.get_models() if model._meta.app_label in FLOORS)


def refused(change: Callable[[], object]) -> str:
    """What the database says to it; fails when it says nothing."""
    with pytest.raises(IntegrityError) as error, transaction.atomic():
        change()
    return str(error.value)


# --- constraints ---------------------------------------------------------------------------------------

# constraint: what to change of a good row of which kind. Each is the smallest change that breaks just this one.
BROKEN: dict[str, tuple[type[models.Model], dict[str, Any]]] = {
    "yard_vat_rate_is_a_percentage": (Yard, {"vat_rate_pct": "100.01"}),
    "yard_latitude_on_the_globe": (Yard, {"latitude": "-90.00001"}),
    "yard_longitude_on_the_globe": (Yard, {"longitude": "180.00001"}),
    "yard_quote_validity_within_a_year": (Yard, {"quote_valid_days": 0}),
    "yard_hours_per_week_plausible": (Yard, {"hours_per_week": "0.9"}),
    "yard_currency_is_three_letters": (Yard, {"currency": "eur"}),
    "hourly_rate_not_negative": (HourlyRate, {"amount": "-0.01"}),
    "vat_category_is_known": (VatClass, {"category": "AA"}),
    "vat_rate_is_a_percentage": (VatRate, {"rate_pct": "100.01"}),
    "layup_after_launch": (Season, {"layup_on": models.F("launch_on")}),
    "climate_month_in_the_year": (ClimateNormal, {"month": 13}),
    "climate_temperature_on_earth": (ClimateNormal, {"air_temperature_c": "-60.1"}),
    "climate_humidity_is_a_percentage": (ClimateNormal, {"relative_humidity_pct": "100.1"}),
    "climate_rain_days_in_a_month": (ClimateNormal, {"rain_days": "31.1"}),
    "member_role_is_known": (Member, {"role": "captain"}),
    "member_pin_has_salt_and_hash": (Member, {"pin_salt": "c2FsdA=="}),
    "owner_has_an_address": (Owner, {"email": ""}),
    "device_token_is_a_digest": (DeviceToken, {"digest": "the key itself"}),
    "device_code_is_a_digest": (DeviceCode, {"digest": "the code itself"}),
    "device_code_is_good_for_a_time": (DeviceCode, {"expires_at": models.F("created_at")}),
    "used_device_code_names_its_token": (DeviceCode, {"token": None}),
    "device_code_is_used_or_revoked": (DeviceCode, {"revoked_at": CREATED}),
    "invitation_role_is_known": (Invitation, {"role": "owner"}),
    "invitation_is_a_digest": (Invitation, {"digest": "the key itself"}),
    "invitation_is_good_for_a_time": (Invitation, {"expires_at": models.F("created_at")}),
    "accepted_invitation_names_its_member": (Invitation, {"accepted_at": CREATED}),
    "invitation_is_accepted_or_revoked": (
        Invitation,
        {"accepted_at": CREATED, "member": Member.objects.order_by("pk").values("pk")[:1], "revoked_at": CREATED},
    ),
    "boat_build_is_known": (Boat, {"build": "concrete"}),
    "boat_length_plausible": (Boat, {"loa_mm": 120_001}),
    "boat_beam_plausible": (Boat, {"beam_mm": 499}),
    "boat_year_plausible": (Boat, {"year": 1699}),
    "boat_longer_than_wide": (Boat, {"loa_mm": models.F("beam_mm")}),
    "boat_has_one_decider": (Boat, {"decider_owner": None}),
    "class_safety_role_is_known": (ComponentClass, {"safety_role": "decoration"}),
    "class_recheck_within_ten_years": (ComponentClass, {"recheck_months": 0}),
    "class_open_up_within_twenty_years": (ComponentClass, {"open_up_months": 241}),
    "class_looked_at_before_opened_up": (ComponentClass, {"open_up_months": 11}),
    "spot_tag_has_eight_characters": (Spot, {"tag": "2345-678"}),
    "spot_within_the_length": (Spot, {"plan_x": 1001}),
    "spot_within_the_beam": (Spot, {"plan_y": 1001}),
    "spot_level_is_known": (Spot, {"level": "attic"}),
    "spot_has_both_coordinates_or_none": (Spot, {"plan_y": None}),
    "surface_area_plausible": (Surface, {"area_m2": 0}),
    "surface_finish_is_known": (Surface, {"finish": "tar"}),
    "surface_exposure_is_known": (Surface, {"exposure": "moonlight"}),
    "surface_coat_within_twenty_years": (Surface, {"coat_every_months": 241}),
    "surface_strip_within_sixty_years": (Surface, {"strip_after_years": 0}),
    "drawing_type_is_known": (BoatDrawing, {"media_type": "text/html"}),
    "drawing_longer_than_high": (BoatDrawing, {"height": models.F("width")}),
    "sent_mail_says_when": (Mail, {"state": "sent"}),
    "outbox_row_done_or_failed": (OutboxRow, {"done_at": CREATED, "failed_at": CREATED}),
}


@pytest.fixture
def one_of_each() -> Yard:
    """A yard with one row of every kind."""
    spot = SpotFactory.create()
    yard: Yard = spot.yard
    member = MemberFactory.create(yard=yard)
    SurfaceFactory.create(boat=spot.component.boat)
    BoatDrawingFactory.create(boat=spot.component.boat)
    token = DeviceToken.objects.create(
        yard=yard, member=member, device_name="Tablet", digest=DIGEST, created_at=CREATED
    )
    DeviceCode.objects.create(
        yard=yard,
        made_by=member,
        digest=DIGEST,
        created_at=CREATED,
        expires_at=CREATED + timedelta(minutes=15),
        used_at=CREATED,
        token=token,
    )
    Invitation.objects.create(
        yard=yard,
        email="a@b.example",
        role="technician",
        digest=DIGEST,
        invited_by=member,
        created_at=CREATED,
        expires_at=CREATED + timedelta(days=7),
    )
    Mail.objects.create(
        yard=yard, key="a", message_id="<a@skerry.example>", to_address="a@b.example", text="", created_at=CREATED
    )
    OutboxRow.objects.create(yard=yard, task="t", key="a", created_at=CREATED, not_before=CREATED)
    vat = VatClass.objects.create(yard=yard, code="standard", name="Standard", for_work=True)
    VatRate.objects.create(yard=yard, vat_class=vat, rate_pct=25, valid_from=CREATED.date())
    return yard


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_rule_is_refused_by_its_name(name: str, one_of_each: Yard) -> None:
    model, change = BROKEN[name]
    first = model._default_manager.order_by("pk").values_list("pk", flat=True)[:1].get()
    message = refused(lambda: model._default_manager.filter(pk=first).update(**change))
    assert name in message


def test_every_check_of_this_floor_is_broken_above() -> None:
    checks = {
        constraint.name
        for model in apps.get_app_config("yard").get_models()
        for constraint in model._meta.constraints
        if isinstance(constraint, models.CheckConstraint)
    }
    assert checks == {*BROKEN, "deed_kind_is_known"}


def test_a_deed_is_of_a_known_kind_and_stays_as_it_was_written() -> None:
    manager = MemberFactory.create()
    deed = deed_note(yard=manager.yard, kind=DeedKind.SIGNED_IN, by=manager, at=CREATED)
    assert "deed_kind_is_known" in refused(lambda: deed_note(yard=manager.yard, kind="stole", at=CREATED))  # type: ignore[arg-type]
    assert "never changed" in refused(lambda: Deed.objects.filter(pk=deed.pk).update(by=None))


def _again(row: models.Model, **change: Any) -> Callable[[], object]:
    """Store the row once more under a new key."""

    def store() -> None:
        row._state.adding = True
        row.pk = None
        for field, value in change.items():
            setattr(row, field, value)
        row.save(force_insert=True)

    return store


UNIQUE = {
    "one_rate_per_trade": HourlyRate,
    "one_vat_class_per_code": VatClass,
    "one_vat_class_for_work": VatClass,
    "one_vat_rate_from_a_day": VatRate,
    "one_season_per_year": Season,
    "one_normal_per_month": ClimateNormal,
    "one_open_invitation_per_address": Invitation,
    "one_owner_per_address": Owner,
    "one_boat_of_a_name": Boat,
    "one_class_per_code": ComponentClass,
    "one_component_of_a_name_and_position": Component,
    "one_spot_per_tag": Spot,
    "one_surface_of_a_name": Surface,
    "one_mail_per_key": Mail,
    "one_open_outbox_row_per_key": OutboxRow,
}


@pytest.mark.parametrize("name", UNIQUE)
def test_what_there_may_be_once_can_not_be_stored_twice(name: str, one_of_each: Yard) -> None:
    row = UNIQUE[name]._default_manager.order_by("pk")[:1].get()
    change: dict[str, Any] = {"message_id": "<b@skerry.example>"} if isinstance(row, Mail) else {}
    if isinstance(row, VatClass):
        change = {"code": "another"} if name == "one_vat_class_for_work" else {"for_work": False}
    if isinstance(row, Invitation):
        change = {"digest": "1" * 64}
    if isinstance(row, Spot):
        change["pk"] = SpotFactory.build(component=row.component).pk
    message = refused(_again(row, **change))
    # SQLite names the columns, PostgreSQL the constraint
    assert name in message or "UNIQUE constraint failed" in message


def test_every_unique_rule_of_this_floor_is_broken_above() -> None:
    names = {
        constraint.name
        for model in apps.get_app_config("yard").get_models()
        for constraint in model._meta.constraints
        if isinstance(constraint, models.UniqueConstraint)
    }
    assert names == set(UNIQUE)


def test_the_same_key_may_come_again_when_the_work_is_done_or_given_up() -> None:
    for ended in ("done_at", "failed_at"):
        row = OutboxRow.objects.create(task="t", key="same", created_at=CREATED, not_before=CREATED)
        OutboxRow.objects.filter(pk=row.pk).update(**{ended: CREATED})
    OutboxRow.objects.create(task="t", key="same", created_at=CREATED, not_before=CREATED)
    assert OutboxRow.objects.filter(key="same").count() == 3


# --- one yard ------------------------------------------------------------------------------------------


def test_a_child_and_its_parent_belong_to_one_yard() -> None:
    ours, theirs = SpotFactory.create(), SpotFactory.create()
    manager, their_manager = MemberFactory.create(yard=ours.yard), MemberFactory.create(yard=theirs.yard)
    boat, their_boat = ours.component.boat, theirs.component.boat
    changes: dict[str, Callable[[], object]] = {
        "spot": lambda: Spot.objects.filter(pk=ours.pk).update(component=theirs.component),
        "spot's own yard": lambda: Spot.objects.filter(pk=ours.pk).update(yard=theirs.yard),
        "component's boat": lambda: Component.objects.filter(pk=ours.component.pk).update(boat=their_boat),
        "component's class": lambda: Component.objects.filter(pk=ours.component.pk).update(
            component_class=theirs.component.component_class
        ),
        "boat's owner": lambda: Boat.objects.filter(pk=boat.pk).update(decider_owner=their_boat.decider_owner),
        "boat's manager": lambda: Boat.objects.filter(pk=boat.pk).update(
            decider_owner=None, decider_member=their_manager
        ),
        "new spot": lambda: SpotFactory.create(component=theirs.component, yard=ours.yard),
        "new component": lambda: ComponentFactory.create(boat=their_boat, yard=ours.yard),
        "new device": lambda: DeviceToken.objects.create(
            yard=theirs.yard, member=manager, device_name="Tablet", digest=DIGEST, created_at=CREATED
        ),
    }
    for what, change in changes.items():
        assert "another yard" in refused(change), what
    Boat.objects.filter(pk=boat.pk).update(decider_owner=None, decider_member=manager)  # this one may be


def test_many_at_once_are_held_to_one_yard_too() -> None:
    ours, theirs = ComponentFactory.create(), ComponentFactory.create()
    spots = [SpotFactory.build(component=component, yard=ours.yard) for component in (ours, ours, theirs)]
    assert "another yard" in refused(lambda: Spot.objects.bulk_create(spots))
    assert not Spot.objects.exists()


@pytest.mark.parametrize("model", list(our_models()), ids=lambda model: model._meta.label)
def test_every_reference_within_a_yard_is_held_to_it(model: type[models.Model]) -> None:
    if not issubclass(model, YardOwned):
        references: set[str] = set()
    else:
        references = {
            field.name
            for field in model._meta.get_fields()
            if isinstance(field, models.ForeignKey) and issubclass(field.related_model, YardOwned)
        }
    assert {rule.field for rule in rules_of(model) if isinstance(rule, SameYard)} == references


# --- never changed, and frozen -------------------------------------------------------------------------


def test_an_entry_is_never_changed_not_even_in_bulk() -> None:
    entry = EntryFactory.create()
    assert "never changed" in refused(lambda: type(entry).objects.filter(pk=entry.pk).update(note="tidied up"))
    entry.note = "tidied up"
    assert "never changed" in refused(entry.save)


def test_a_published_version_is_frozen_and_a_draft_is_not() -> None:
    version = TemplateVersionFactory.create(published_at=None)
    rows = type(version).objects.filter(pk=version.pk)
    rows.update(note="may change")
    rows.update(published_at=CREATED)
    changes: list[dict[str, Any]] = [
        {"note": "x"},
        {"checks": []},
        {"published_at": CREATED + timedelta(days=1)},
        {"published_at": None},
    ]
    for change in changes:
        assert "frozen" in refused(partial(rows.update, **change)), change


# --- the rules stand -----------------------------------------------------------------------------------


def _triggers() -> set[str]:
    sqlite = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    postgres = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
    with connection.cursor() as cursor:
        cursor.execute(sqlite if connection.vendor == "sqlite" else postgres)
        return {name for (name,) in cursor.fetchall() if name.startswith(PREFIX)}


def test_every_rule_has_its_triggers_and_no_two_share_a_name() -> None:
    per_same_yard = 2 if connection.vendor == "sqlite" else 1
    rules = [rule for model in our_models() for rule in rules_of(model)]
    count = sum(per_same_yard if isinstance(rule, SameYard) else 1 for rule in rules)
    assert {type(rule) for rule in rules} == {SameYard, AppendOnly, FrozenOnce}
    assert len(_triggers()) == count


def test_each_row_of_every_kind_says_which_yard_it_is_of() -> None:
    without = {model._meta.label for model in our_models() if not issubclass(model, YardOwned)}
    # A log-in belongs to a yard through its member; an outbox row may be about the whole service.
    assert without == {"yard.Yard", "yard.User", "yard.OutboxRow"}
