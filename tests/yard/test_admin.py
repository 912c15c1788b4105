"""The back room: opens for staff, shows everything, and lets nobody tamper with what has happened."""

from datetime import datetime
from decimal import Decimal

import pytest
from django.contrib import admin
from django.test import Client
from django.urls import reverse

from tests.conftest import SPRING
from tests.factories import (
    BoatDrawingFactory,
    OwnerFactory,
    SpotFactory,
    SurfaceFactory,
    TechnicianFactory,
    UserFactory,
    YardFactory,
)
from yard.models import Deed, DeedKind, DeviceToken, Mail, OutboxRow, Yard
from yard.services.device_codes import device_code_make
from yard.services.invitations import invitation_send
from yard.services.people import device_token_issue
from yard.services.vat import vat_class_set

pytestmark = pytest.mark.django_db

OURS = [model for model in admin.site._registry if model._meta.app_label == "yard"]


@pytest.fixture
def staff(client: Client) -> Client:
    client.force_login(UserFactory.create(is_staff=True, is_superuser=True))
    return client


@pytest.fixture
def failed(spring: datetime) -> OutboxRow:
    return OutboxRow.objects.create(
        yard=YardFactory.create(), task="yard.send_mail", key="a", created_at=spring, not_before=spring, attempts=6,
        failed_at=spring, last_error="ValueError: no",
    )  # fmt: skip


@pytest.mark.parametrize("model", OURS, ids=lambda model: model.__name__)
def test_each_kind_can_be_listed_searched_and_opened(model: type[Yard], staff: Client, failed: OutboxRow) -> None:
    boat = SpotFactory.create().component.boat
    SurfaceFactory.create(boat=boat)
    BoatDrawingFactory.create(boat=boat)
    technician = TechnicianFactory.create()
    device_token_issue(member=technician, device_name="Tablet", at=failed.created_at)
    device_code_make(by=technician, at=failed.created_at)
    invitation_send(by=technician, email="a@b.example", role="technician", at=failed.created_at)
    vat_class_set(
        yard=technician.yard,
        code="work",
        name="Work",
        category="S",
        rate_pct=Decimal(20),
        valid_from=failed.created_at.date(),
        at=SPRING,
    )
    Mail.objects.create(
        yard=YardFactory.create(),
        key="a",
        message_id="<a@b>",
        to_address="a@b.example",
        text="x",
        created_at=failed.created_at,
    )
    place = f"admin:yard_{model._meta.model_name}"
    assert staff.get(reverse(f"{place}_changelist"), {"q": "a"}).status_code == 200
    first = model._default_manager.order_by("pk")[0]
    answer = staff.get(reverse(f"{place}_change", args=[first.pk]))
    assert answer.status_code == 200


def test_what_is_changed_in_the_back_room_is_told_at_the_yard(staff: Client) -> None:
    owner = OwnerFactory.create(name="Ines", phone="1")
    sheet = {"yard": owner.yard_id, "name": "Ines", "email": owner.email, "locale": owner.locale}
    for phone in ("2", "2"):  # what is the same already is no deed
        staff.post(reverse("admin:yard_owner_change", args=[owner.pk]), {**sheet, "phone": phone})
    hand = TechnicianFactory.create(yard=owner.yard, name="Jens")
    address = reverse("admin:auth_user_password_change", args=[hand.user.pk])
    staff.post(address, {"usable_password": "true", "password1": "sail-loft-lamp", "password2": "sail-loft-lamp"})
    told = [(str(deed.kind), deed.told, deed.by) for deed in Deed.objects.of_yard(owner.yard).order_by("pk")]
    assert told == [
        (DeedKind.OWNER_CHANGED, "in the back room, owner Ines: telephone 1 to 2", None),
        (DeedKind.PASSWORD_SET, "in the back room, log-in of Jens: password", None),
    ]


def test_members_without_a_key_to_it_stay_outside(client: Client) -> None:
    client.force_login(TechnicianFactory.create().user)
    answer = client.get(reverse("admin:yard_yard_changelist"))
    assert answer.status_code == 302
    assert "login" in answer["Location"]


def test_given_up_work_is_sent_again_and_what_was_not_is_said(staff: Client, failed: OutboxRow) -> None:
    done = OutboxRow.objects.create(
        task="t", key="b", created_at=failed.created_at, not_before=failed.created_at, done_at=failed.created_at
    )
    answer = staff.post(
        reverse("admin:yard_outboxrow_changelist"),
        {"action": "send_again", "_selected_action": [failed.pk, done.pk]},
        follow=True,
    )
    failed.refresh_from_db()
    assert (failed.failed_at, failed.attempts) == (None, 0)
    assert "1 will be tried again" in answer.content.decode()
    assert "was not given up" in answer.content.decode()


@pytest.mark.parametrize("model", [OutboxRow, Mail, DeviceToken], ids=lambda model: model.__name__)
def test_what_has_happened_can_not_be_changed_by_hand(
    model: type[OutboxRow], staff: Client, failed: OutboxRow
) -> None:
    place = f"admin:yard_{model._meta.model_name}"
    assert staff.get(reverse(f"{place}_add")).status_code == 403
    if model is OutboxRow:
        assert staff.post(reverse(f"{place}_change", args=[failed.pk]), {"key": "x"}).status_code == 403
        assert staff.post(reverse(f"{place}_delete", args=[failed.pk]), {"post": "yes"}).status_code == 403


def test_devices_are_shut_out_and_their_digests_not_shown(staff: Client, spring: datetime) -> None:
    token, _ = device_token_issue(member=TechnicianFactory.create(), device_name="Tablet", at=spring)
    page = staff.get(reverse("admin:yard_devicetoken_change", args=[token.pk])).content.decode()
    assert token.digest not in page
    staff.post(reverse("admin:yard_devicetoken_changelist"), {"action": "revoke", "_selected_action": [token.pk]})
    token.refresh_from_db()
    assert token.revoked_at is not None
