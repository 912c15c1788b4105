"""The workshop's pages of the back room open, and what was said can't be changed there."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import UserFactory
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import (
    CalendarFeed,
    Caution,
    Decision,
    DigestChoice,
    Job,
    Material,
    OwnerLink,
    Quote,
    ReminderStop,
    Reply,
    Report,
    Treatment,
    Verification,
)
from workshop.services.decisions import decision_make
from workshop.services.links import link_opened
from yard.models import Deed, DeedKind

pytestmark = pytest.mark.django_db

CHANGED_HERE = [Treatment, Material, Caution]
READ_HERE = [CalendarFeed, DigestChoice, Job, Quote, Decision, OwnerLink, ReminderStop, Reply, Report, Verification]


@pytest.fixture
def office(client: Client) -> Client:
    client.force_login(UserFactory.create(is_staff=True, is_superuser=True))
    return client


@pytest.fixture
def decided() -> Spring:
    spring = a_spring()
    spring.finding(spring.component(), "REBED_SEALANT")
    quote = spring.sent()
    link_opened(link=OwnerLink.objects.get(), at=AT, from_address=None, user_agent="")
    decision_make(
        line=quote.lines.get(), verdict="approve", digest=quote.digest, at=AT, owner=spring.boat.decider_owner
    )
    return spring


def test_a_pack_is_entered_with_its_material_and_is_of_the_same_yard(office: Client, decided: Spring) -> None:
    sealant = Material.objects.get(code="sealant")
    address = reverse("admin:workshop_material_change", args=[sealant.pk])
    form = office.get(address).context["adminform"].form.initial
    given = {name: value for name, value in form.items() if value is not None}
    count = {"packs-TOTAL_FORMS": 1, "packs-INITIAL_FORMS": 0}
    pack = {"packs-0-name": "tin", "packs-0-plural": "tins", "packs-0-size": "290", "packs-0-price": "16"}
    answer = office.post(address, {**given, **count, **pack})
    assert answer.status_code == 302
    assert [(pack.name, pack.yard) for pack in sealant.packs.all()] == [("tin", decided.yard)]
    lines = {**count, "packs-INITIAL_FORMS": 1, **pack, "packs-0-price": "17"}
    key = {"packs-0-id": sealant.packs.get().pk, "packs-0-material": sealant.pk}
    assert office.post(address, {**given, "unit_price": "0.09", **lines, **key}).status_code == 302
    first, second = Deed.objects.filter(kind=DeedKind.SETTINGS_CHANGED).order_by("pk")
    assert first.told.endswith("name tin; plural tins; size 290; price 16")
    was = f"{given['unit_price']:f}".rstrip("0")
    assert second.told.startswith(f"in the back room, material {sealant}: unit price {was} to 0.09; material pack ")
    assert second.told.endswith(": price 16 to 17")


@pytest.mark.parametrize("model", CHANGED_HERE + READ_HERE, ids=lambda model: model.__name__)
def test_lists_and_rows_open(office: Client, decided: Spring, model: type[Quote]) -> None:
    name = f"admin:workshop_{model._meta.model_name}"
    assert office.get(reverse(f"{name}_changelist")).status_code == 200
    row = model.objects.first()
    if row is not None:
        assert office.get(reverse(f"{name}_change", args=[row.pk])).status_code == 200


@pytest.mark.parametrize("model", READ_HERE, ids=lambda model: model.__name__)
def test_what_was_said_is_not_changed_here(office: Client, decided: Spring, model: type[Quote]) -> None:
    name = f"admin:workshop_{model._meta.model_name}"
    assert office.get(reverse(f"{name}_add")).status_code == 403
    row = model.objects.first()
    if row is not None:
        assert office.post(reverse(f"{name}_change", args=[row.pk]), {"state": "draft"}).status_code == 403
        assert office.post(reverse(f"{name}_delete", args=[row.pk]), {"post": "yes"}).status_code == 403
