"""The back room: everything can be looked at, and what was recorded or judged can't be changed there."""

from datetime import timedelta

import pytest
from django.contrib import admin
from django.db import models
from django.test import Client
from django.urls import reverse

from inspections.models import Entry, Finding, Photo, Sign
from tests.factories import PhotoFactory, UserFactory
from tests.factories.inspections import AcknowledgementFactory, FindingJoinFactory, SecondLookAskFactory
from tests.inspections.scenes import Scene
from yard.models import OutboxRow
from yard.outbox import drain

pytestmark = pytest.mark.django_db

MODELS = [model for model in admin.site._registry if model._meta.app_label == "inspections"]


@pytest.fixture
def keeper() -> Client:
    client = Client()
    client.force_login(UserFactory.create(is_staff=True, is_superuser=True))
    return client


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model._meta.model_name)
def test_each_list_and_each_row_opens(keeper: Client, ours: Scene, model: type[models.Model]) -> None:
    ours.store(ours.finding(photos=["ab" * 32]), ours.not_seen(ours.moisture))
    drain(now=ours.at + timedelta(minutes=20))
    PhotoFactory.create(yard=ours.yard)
    finding = Finding.objects.get()
    AcknowledgementFactory.create(finding=finding)
    SecondLookAskFactory.create(finding=finding)
    FindingJoinFactory.create(kept=finding)
    name = f"admin:inspections_{model._meta.model_name}"
    assert keeper.get(reverse(f"{name}_changelist")).status_code == 200
    row = model._default_manager.first()
    if row is not None:
        assert keeper.get(reverse(f"{name}_change", args=[row.pk])).status_code == 200


@pytest.mark.parametrize(
    "model", [model for model in MODELS if model is not Sign], ids=lambda model: model._meta.model_name
)
def test_nothing_is_made_or_removed_by_hand(keeper: Client, ours: Scene, model: type[models.Model]) -> None:
    ours.store(ours.finding())
    name = f"admin:inspections_{model._meta.model_name}"
    assert keeper.get(reverse(f"{name}_add")).status_code == 403
    row = model._default_manager.first()
    if row is not None:
        assert keeper.post(reverse(f"{name}_delete", args=[row.pk]), {"post": "yes"}).status_code == 403
        assert keeper.post(reverse(f"{name}_change", args=[row.pk]), {"note": "changed"}).status_code == 403
        assert model._default_manager.filter(pk=row.pk).exists()


def test_an_entry_is_not_changed(keeper: Client, ours: Scene) -> None:
    ours.store(ours.sound(note="dry"))
    entry = Entry.objects.get()
    keeper.post(reverse("admin:inspections_entry_change", args=[entry.pk]), {"note": "wet"})
    entry.refresh_from_db()
    assert entry.note == "dry"


@pytest.mark.parametrize(("conditions", "kept"), [('["decay"]', True), ('["rumour"]', False), ("[]", False)])
def test_a_sign_speaks_for_conditions_that_judgement_knows(
    keeper: Client, ours: Scene, conditions: str, kept: bool
) -> None:
    sign = Sign.objects.get(yard=ours.yard, code="CRACK_WOOD")
    sent = {"yard": ours.yard.pk, "code": sign.code, "name": "Crack", "conditions": conditions}
    answer = keeper.post(reverse("admin:inspections_sign_change", args=[sign.pk]), sent)
    assert answer.status_code == (302 if kept else 200)
    sign.refresh_from_db()
    assert (sign.conditions == ["decay"]) == kept


def test_the_small_sizes_of_a_photo_can_be_asked_for_again(keeper: Client, ours: Scene) -> None:
    photo = PhotoFactory.create(yard=ours.yard, state=Photo.State.BROKEN)
    sent = {"action": "prepare_again", "_selected_action": [photo.pk]}
    assert keeper.post(reverse("admin:inspections_photo_changelist"), sent).status_code == 302
    photo.refresh_from_db()
    assert photo.state == Photo.State.RECEIVED
    assert OutboxRow.objects.filter(key=f"prepare_photo:{photo.pk}").exists()
