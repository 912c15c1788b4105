"""Templates and the stock list: drafts are edited, published versions never change."""

from copy import deepcopy
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from inspections.models import Sign, Template, TemplateVersion
from inspections.services.catalogue import signs_load, templates_load
from inspections.services.templates import (
    EditedMeanwhile,
    draft_drop,
    draft_publish,
    draft_save,
    draft_start,
    template_create,
    template_rename,
)
from tests.conftest import SPRING
from tests.factories import ComponentClassFactory, MemberFactory, YardFactory
from tests.factories.inspections import CHECKS, OPENING_STEPS
from tests.inspections.scenes import Scene
from yard.models import Deed, DeedKind
from yard.refusals import Refused, RefusedMany
from yard.services.catalogue import component_classes_load

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


def draft_of(scene: Scene) -> TemplateVersion:
    return draft_start(template=Template.objects.get(yard=scene.yard), by=scene.manager, at=scene.at)


def save(scene: Scene, draft: TemplateVersion, **more: object) -> TemplateVersion:
    said = {
        "opening_steps": OPENING_STEPS,
        "checks": CHECKS,
        "note": "sill added",
        "edited_at": draft.edited_at,
        "at": scene.at + timedelta(hours=1),
        **more,
    }
    return draft_save(draft=draft, by=scene.manager, **said)  # type: ignore[arg-type]


def test_a_template_begins_as_an_empty_draft(ours: Scene) -> None:
    component_class = ComponentClassFactory.create(yard=ours.yard)
    draft = template_create(component_class=component_class, title=" Windows ", by=ours.manager, at=ours.at)
    assert (draft.template.title, draft.number, draft.checks, draft.published_at) == ("Windows", 1, [], None)
    with pytest.raises(Refused) as raised:
        template_create(component_class=component_class, title="Again", by=ours.manager, at=ours.at)
    assert raised.value.field == "component_class"


@pytest.mark.parametrize("title", ["", "   ", "x" * 121])
def test_a_template_has_a_title(ours: Scene, title: str) -> None:
    with pytest.raises(Refused) as raised:
        template_create(
            component_class=ComponentClassFactory.create(yard=ours.yard), title=title, by=None, at=ours.at
        )
    assert raised.value.field == "title"


def test_a_draft_starts_from_the_last_version_and_there_is_one(ours: Scene) -> None:
    draft = draft_of(ours)
    assert (draft.number, draft.checks, draft.opening_steps) == (2, CHECKS, OPENING_STEPS)
    assert draft_of(ours) == draft
    with pytest.raises(IntegrityError), transaction.atomic():
        TemplateVersion.objects.create(
            yard=ours.yard, template=draft.template, number=3, created_at=ours.at, edited_at=ours.at
        )


def test_a_saved_draft_has_the_text_and_says_who(ours: Scene) -> None:
    checks = [*deepcopy(CHECKS), dict(CHECKS[0], key="sill")]
    draft = save(ours, draft_of(ours), checks=checks)
    draft.refresh_from_db()
    assert (draft.checks, draft.note, draft.edited_by) == (checks, "sill added", ours.manager)
    assert draft.edited_at == ours.at + timedelta(hours=1)


def test_what_somebody_else_has_saved_is_not_written_over(ours: Scene) -> None:
    draft = draft_of(ours)
    read_at = draft.edited_at
    save(ours, draft)
    with pytest.raises(EditedMeanwhile):
        save(ours, draft, edited_at=read_at, note="mine")
    with pytest.raises(EditedMeanwhile):
        draft_publish(draft=draft, by=ours.manager, at=ours.at, edited_at=read_at)
    draft.refresh_from_db()
    assert (draft.note, draft.published_at) == ("sill added", None)


def test_a_text_that_makes_no_sense_is_not_saved(ours: Scene) -> None:
    checks = [dict(CHECKS[0], usual_signs=["RUMOUR"]), dict(CHECKS[1], reading=None)]
    with pytest.raises(RefusedMany) as raised:
        save(ours, draft_of(ours), checks=checks)
    assert [refusal.field for refusal in raised.value.refusals] == ["checks[0].usual_signs[0]", "checks[1].reading"]
    with pytest.raises(Refused) as raised_for_note:
        save(ours, draft_of(ours), note="x" * 201)
    assert raised_for_note.value.field == "note"


def test_a_published_version_never_changes(ours: Scene) -> None:
    draft = save(ours, draft_of(ours))
    published = draft_publish(draft=draft, by=ours.manager, at=ours.at + timedelta(hours=2))
    assert (published.published_at, published.published_by) == (ours.at + timedelta(hours=2), ours.manager)
    for action in (
        lambda: save(ours, published),
        lambda: draft_publish(draft=published, by=ours.manager, at=ours.at),
        lambda: draft_drop(draft=published, at=SPRING),
    ):
        with pytest.raises(Refused) as raised:
            action()
        assert raised.value.field == "version"
    with pytest.raises(IntegrityError, match="frozen"), transaction.atomic():
        TemplateVersion.objects.filter(pk=published.pk).update(checks=[])
    assert draft_of(ours).number == 3


def test_a_draft_that_asks_nothing_is_not_published(ours: Scene) -> None:
    draft = template_create(
        component_class=ComponentClassFactory.create(yard=ours.yard), title="Windows", by=None, at=ours.at
    )
    with pytest.raises(Refused) as raised:
        draft_publish(draft=draft, by=ours.manager, at=ours.at)
    assert raised.value.field == "checks"


def test_a_draft_is_published_with_the_signs_of_its_own_yard(ours: Scene, theirs: Scene) -> None:
    draft = save(ours, draft_of(ours))
    Sign.objects.filter(yard=ours.yard, code="GAP_JOINT").delete()  # theirs still has it
    with pytest.raises(RefusedMany) as raised:
        draft_publish(draft=draft, by=ours.manager, at=ours.at)
    assert raised.value.field == "checks[0].usual_signs[1]"


def test_a_draft_may_be_dropped_and_a_template_goes_with_its_only_one(ours: Scene) -> None:
    draft_drop(draft=draft_of(ours), at=SPRING)
    assert TemplateVersion.objects.filter(yard=ours.yard).count() == 1
    component_class = ComponentClassFactory.create(yard=ours.yard)
    for _ in "twice":
        draft = template_create(component_class=component_class, title="Windows", by=ours.manager, at=ours.at)
        draft_drop(draft=draft, at=SPRING)
    assert Template.objects.filter(yard=ours.yard).count() == 1
    told = Deed.objects.filter(kind=DeedKind.DRAFT_DROPPED).values_list("told", flat=True)
    assert told[0] == "Windows, version 1"


def test_a_template_is_called_otherwise(ours: Scene) -> None:
    template = Template.objects.get(yard=ours.yard)
    assert template_rename(template=template, title=" Windows,  all ", at=SPRING).title == "Windows, all"
    with pytest.raises(Refused, match="is missing"):
        template_rename(template=template, title=" ", at=SPRING)
    template_rename(template=template, title="Windows, all", at=SPRING)
    assert [deed.told.endswith(" to Windows, all") for deed in Deed.objects.all()] == [True]


# --- the stock list --------------------------------------------------------------------------------------


def test_a_new_yard_gets_all_signs_and_a_published_template_for_each_class(ours: Scene) -> None:
    yard = YardFactory.create()
    component_classes_load(yard=yard)
    assert signs_load(yard=yard) == 34
    assert templates_load(yard=yard, at=ours.at) == 40
    versions = TemplateVersion.objects.filter(yard=yard)
    assert set(versions.values_list("number", "published_at")) == {(1, ours.at)}
    crack = Sign.objects.get(yard=yard, code="CRACK_WOOD")
    assert (crack.size_unit, bool(crack.meaning), bool(crack.conditions)) == ("mm", True, True)


def test_loading_again_leaves_what_the_yard_has_made_of_it(ours: Scene) -> None:
    yard = YardFactory.create()
    component_classes_load(yard=yard)
    signs_load(yard=yard)
    templates_load(yard=yard, at=ours.at)
    Sign.objects.filter(yard=yard, code="CRACK_WOOD").update(name="Our crack")
    Sign.objects.filter(yard=yard, code="WEEP").delete()
    template = Template.objects.filter(yard=yard).first()
    assert template is not None
    draft = draft_start(template=template, by=MemberFactory.create(yard=yard), at=ours.at)
    assert signs_load(yard=yard) == 1
    assert templates_load(yard=yard, at=ours.at) == 0
    assert Sign.objects.get(yard=yard, code="CRACK_WOOD").name == "Our crack"
    assert TemplateVersion.objects.filter(pk=draft.pk, published_at__isnull=True).exists()
    assert Sign.objects.filter(yard=ours.yard).count() == 6  # other yards are not touched


def test_a_stock_list_that_makes_no_sense_is_refused_with_its_place(ours: Scene) -> None:
    with pytest.raises(Refused) as raised:
        signs_load(yard=ours.yard, items=[{"code": "X", "conditions": ["rumour"]}])
    assert raised.value.field == "signs[0].conditions"
    code = ours.component.component_class.code
    bad = {"component_class": code, "title": "t", "opening_steps": [], "checks": [dict(CHECKS[1], reading=None)]}
    with pytest.raises(Refused) as raised:
        templates_load(yard=ours.yard, at=ours.at, items=[bad])
    assert raised.value.field == "templates[0].checks[0].reading"
