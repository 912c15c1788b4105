"""A draft changed piece by piece by two people, and what is known of the use of each version."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

import pytest

from inspections.models import Inspection, Template, TemplateVersion
from inspections.selectors.templates import inspections_by, template_rows, version_uses, versions_asked
from inspections.services.template_drafts import (
    draft_copy,
    draft_item_move,
    draft_item_remove,
    draft_item_save,
)
from inspections.services.templates import EditedMeanwhile, draft_drop, draft_publish, draft_start, template_create
from inspections.templates.editing import digest_of
from tests.conftest import SPRING
from tests.factories import ComponentClassFactory, MemberFactory
from tests.factories.inspections import CHECKS, TemplateVersionFactory
from tests.inspections.scenes import Scene
from yard.refusals import Refused, RefusedMany

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

CORNERS = {name: value for name, value in CHECKS[0].items() if name != "key"}


@pytest.fixture
def draft(ours: Scene) -> TemplateVersion:
    return draft_start(template=Template.objects.get(yard=ours.yard), by=ours.manager, at=ours.at)


def save(scene: Scene, draft: TemplateVersion, said: Mapping[str, Any], **more: Any) -> str:
    how = {"part": "checks", "by": scene.manager, "at": scene.at + timedelta(hours=1), **more}
    return draft_item_save(draft=draft, said=said, **how)


def keys(draft: TemplateVersion, part: str = "checks") -> list[str]:
    draft.refresh_from_db()
    return [item["key"] for item in getattr(draft, part)]


def test_two_people_change_two_checks_and_neither_loses_anything(ours: Scene, draft: TemplateVersion) -> None:
    seen = {check["key"]: digest_of(check) for check in draft.checks}
    colleague = MemberFactory.create(yard=ours.yard, name="Colleague")
    save(ours, draft, dict(CORNERS, prompt="Mine?"), key="corners", seen=seen["corners"])
    wet = {name: value for name, value in CHECKS[1].items() if name != "key"}
    save(ours, draft, dict(wet, prompt="Theirs?"), key="moisture", seen=seen["moisture"], by=colleague)
    draft.refresh_from_db()
    assert [check["prompt"] for check in draft.checks] == ["Mine?", "Theirs?"]
    with pytest.raises(EditedMeanwhile, match="Colleague has changed it"):
        save(ours, draft, dict(CORNERS, prompt="Mine again?"), key="corners", seen=seen["corners"])
    with pytest.raises(EditedMeanwhile):
        draft_item_remove(
            draft=draft, part="checks", key="corners", seen=seen["corners"], by=ours.manager, at=ours.at
        )
    assert keys(draft) == ["corners", "moisture"]


def test_a_form_that_is_sent_twice_adds_one_check(ours: Scene, draft: TemplateVersion) -> None:
    said = dict(CORNERS, prompt="Is the sill hard?", look_for=" A soft edge ")
    assert save(ours, draft, said) == save(ours, draft, said) == "sill_hard"
    assert keys(draft) == ["corners", "moisture", "sill_hard"]


def test_what_was_taken_out_meanwhile_is_told_and_may_be_put_back(ours: Scene, draft: TemplateVersion) -> None:
    seen = digest_of(draft.checks[0])
    for _ in "twice":
        draft_item_remove(draft=draft, part="checks", key="corners", seen=seen, by=ours.manager, at=ours.at)
    assert keys(draft) == ["moisture"]
    with pytest.raises(EditedMeanwhile, match="taken it out"):
        save(ours, draft, CORNERS, key="corners", seen=seen)
    save(ours, draft, CORNERS, key="corners")
    assert keys(draft) == ["moisture", "corners"]


def test_a_new_check_never_gets_the_key_of_one_that_was_asked_before(ours: Scene, draft: TemplateVersion) -> None:
    first = save(ours, draft, dict(CORNERS, prompt="Is the sill hard?"))
    draft_publish(draft=draft, by=ours.manager, at=ours.at, note="sill added")
    draft.refresh_from_db()
    later = draft_start(template=draft.template, by=ours.manager, at=ours.at)
    draft_item_remove(
        draft=later, part="checks", key=first, seen=digest_of(later.checks[-1]), by=ours.manager, at=ours.at
    )
    assert (first, save(ours, later, dict(CORNERS, prompt="Is the sill hard?", look_for="Ring"))) == (
        "sill_hard",
        "sill_hard_2",
    )
    assert draft_copy(draft=later, source=draft, checks=["sill_hard"], by=ours.manager, at=ours.at) == 1
    assert keys(later)[-1] == "sill_hard"  # out of its own earlier version it is the same place again


def test_a_step_that_goes_frees_the_checks_that_waited_for_it(ours: Scene, draft: TemplateVersion) -> None:
    key = save(ours, draft, {"kind": "clean", "text": "Wash the sill"}, part="opening_steps")
    assert keys(draft, "opening_steps") == ["lining", key]
    how = {"part": "opening_steps", "by": ours.manager, "at": ours.at + timedelta(hours=2)}
    draft_item_move(draft=draft, key=key, places=-1, edited_at=draft.edited_at, **how)  # type: ignore[arg-type]
    assert keys(draft, "opening_steps") == [key, "lining"]
    seen = digest_of(draft.opening_steps[1])
    draft_item_remove(draft=draft, key="lining", seen=seen, **how)  # type: ignore[arg-type]
    assert keys(draft, "opening_steps") == [key]
    assert draft.checks[0]["after"] == []


def test_moving_in_a_draft_that_changed_is_told(ours: Scene, draft: TemplateVersion) -> None:
    read_at = draft.edited_at
    how = {
        "part": "checks",
        "key": "moisture",
        "places": -1,
        "by": ours.manager,
        "at": ours.at + timedelta(hours=1),
    }
    draft_item_move(draft=draft, edited_at=read_at, **how)  # type: ignore[arg-type]
    with pytest.raises(EditedMeanwhile, match=f"saved by {ours.manager.name}"):
        draft_item_move(draft=draft, edited_at=read_at, **how)  # type: ignore[arg-type]
    assert keys(draft) == ["moisture", "corners"]
    with pytest.raises(Refused, match="not in the draft"):
        draft_item_move(draft=draft, edited_at=draft.edited_at, **dict(how, key="sill"))  # type: ignore[arg-type]


def test_a_piece_that_makes_no_sense_is_refused_with_its_place(ours: Scene, draft: TemplateVersion) -> None:
    reading = {"quantity": "play_mm", "unit": "pct", "minimum": "0", "maximum": "5"}
    with pytest.raises(RefusedMany) as raised:
        save(ours, draft, dict(CORNERS, answer_kind="reading", reading=reading))
    assert raised.value.field == "checks[2].reading.unit"
    assert keys(draft) == ["corners", "moisture"]


def test_a_draft_may_ask_nothing_for_a_while_and_is_not_published_then(ours: Scene) -> None:
    begun = template_create(
        component_class=ComponentClassFactory.create(yard=ours.yard), title="Sills", by=None, at=ours.at
    )
    save(ours, begun, {"kind": "clean", "text": "Wash it"}, part="opening_steps")
    with pytest.raises(Refused, match="nothing is asked"):
        draft_publish(draft=begun, by=ours.manager, at=ours.at, note="first")
    published = TemplateVersion.objects.filter(template__component_class=ours.component.component_class).get()
    with pytest.raises(Refused, match="nothing is chosen"):
        draft_copy(draft=begun, source=published, checks=[], by=ours.manager, at=ours.at)
    with pytest.raises(Refused, match="sill is not there"):
        draft_copy(draft=begun, source=published, checks=["sill"], by=ours.manager, at=ours.at)
    assert draft_copy(draft=begun, source=published, checks=["corners"], by=ours.manager, at=ours.at) == 2
    assert keys(begun, "opening_steps") == ["wash", "lining"]
    with pytest.raises(Refused, match="say in a few words"):
        draft_publish(draft=begun, by=ours.manager, at=ours.at, note="  ")
    assert draft_publish(draft=begun, by=ours.manager, at=ours.at, note="first").note == "first"


def test_another_yards_version_is_not_copied_and_a_dropped_draft_takes_nothing(
    ours: Scene, theirs: Scene, draft: TemplateVersion
) -> None:
    strange = TemplateVersion.objects.get(yard=theirs.yard)
    with pytest.raises(Refused, match="no version of this yard"):
        draft_copy(draft=draft, source=strange, checks=["corners"], by=ours.manager, at=ours.at)
    draft_drop(draft=draft, at=SPRING)
    with pytest.raises(Refused, match="thrown away"):
        save(ours, draft, CORNERS)


def test_the_use_of_each_version_is_counted(ours: Scene, theirs: Scene, draft: TemplateVersion) -> None:
    template = draft.template
    bare = ComponentClassFactory.create(yard=ours.yard, name="Aft locker")
    TemplateVersionFactory.create(template__component_class=bare, published_at=None)
    first, second = template_rows(ours.yard)[:2]
    assert (first.component_class, first.published, first.open_inspections) == (bare, None, 0)
    assert second.published is not None
    assert (second.published.number, second.draft, second.open_inspections) == (1, draft, 1)
    draft_publish(draft=draft, by=ours.manager, at=ours.at)
    assert [
        (use.version.number, use.open_inspections, use.closed_inspections) for use in version_uses(template)
    ] == [
        (2, 0, 0),
        (1, 1, 0),
    ]
    Inspection.objects.filter(pk=ours.inspection.pk).update(closed_at=ours.at)
    assert [use.closed_inspections for use in version_uses(template)] == [0, 1]
    assert list(inspections_by(template)) == [ours.inspection]
    assert list(inspections_by(template, number=2)) == []
    assert versions_asked(template, [ours.inspection]) == {ours.inspection.pk: [1]}
