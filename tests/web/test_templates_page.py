"""The templates in the office: the list, a draft piece by piece, two people at one check, what is refused."""

from __future__ import annotations

import csv
import re
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest

from inspections.models import Sign, Template, TemplateVersion
from inspections.services.templates import draft_publish, draft_start
from inspections.templates.editing import digest_of
from tests.factories import ComponentClassFactory, MemberFactory
from tests.factories.inspections import TemplateVersionFactory, signs_of
from tests.inspections.scenes import Scene, scene
from tests.queries import assert_same_queries
from tests.web.conftest import NOW
from tests.web.visitor import Visitor

pytestmark = pytest.mark.django_db

SILL = {"prompt": "Is the sill hard?", "answer": "signs", "usual_signs": ["SOFT_PROBE"], "after": ["lining"]}


@pytest.fixture
def laid() -> Scene:
    return scene(NOW - timedelta(days=5))


@pytest.fixture
def draft(laid: Scene) -> TemplateVersion:
    return draft_start(template=Template.objects.get(yard=laid.yard), by=laid.manager, at=NOW)


def fields_of(page: str, key: str) -> dict[str, str]:
    """The hidden fields of the open form, as a browser would send them."""
    form = page[page.index(f'name="key" value="{key}"' if key else 'id="check-new"') :]
    found = {name: re.search(rf'name="{name}"(?: value="([^"]*)")?', form) for name in ("seen", "opened")}
    return {name: (match[1] or "") if match else "" for name, match in found.items()}


def test_the_list_is_narrowed_sorted_and_taken_away(laid: Scene, draft: TemplateVersion) -> None:
    bare = ComponentClassFactory.create(yard=laid.yard, name="=Aft locker", code="AFT", group="deck")
    visitor = Visitor(laid.technician)
    page = visitor.page("/templates/")
    assert "2 classes of parts; 1 draft in the yard." in page
    assert "nothing published" in page
    assert "Begin a template" not in page  # which is for managers
    assert "=Aft locker" not in visitor.page("/templates/", state="draft")
    assert "Nothing fits that" in visitor.page("/templates/", text="no such", group="deck")
    answer = visitor.get("/templates/list.csv", order="use")
    rows = list(csv.DictReader(StringIO(answer.content.decode(), newline="")))
    assert [(row["name"], row["version"], row["draft"], row["open_inspections"]) for row in rows] == [
        (draft.template.component_class.name, "1", "2", "1"),
        ("'=Aft locker", "", "", "0"),
    ]
    manager = Visitor(laid.manager)
    assert "is not one without a template" in manager.refused("/templates/begin/", component_class="NONE")
    page = manager.after("/templates/begin/", component_class="AFT")
    assert "Nothing is asked yet." in page
    assert Template.objects.get(component_class=bare).title == "=Aft locker"


def test_a_new_yard_is_told_what_to_do_first() -> None:
    assert "The yard knows no kinds of parts yet." in Visitor(MemberFactory.create()).page("/templates/")


def test_a_check_is_added_moved_changed_and_taken_out(laid: Scene, draft: TemplateVersion) -> None:
    visitor, address = Visitor(laid.manager), f"/templates/{draft.template_id}/"
    page = visitor.page(address, check="new")
    assert "Soft to the probe" in page
    assert 'value="NOT_SEEN"' not in page  # an answer of its own, and no sign
    page = visitor.after(f"{address}draft/checks/", key="", **fields_of(page, ""), **SILL)
    assert "The check is kept in the draft of version 2." in page
    wet = {"prompt": "How wet is it?", "answer": "reading", "quantity": "moisture_pct"}
    visitor.after(f"{address}draft/checks/", key="", **wet)
    draft.refresh_from_db()
    assert draft.checks[3]["reading"] == {
        "quantity": "moisture_pct",
        "unit": "pct",
        "minimum": "4",
        "maximum": "100",
    }
    step = {"kind": "clean", "text": "Wash the sill", "shares_new": "Deck  wash"}
    visitor.after(f"{address}draft/steps/", key="", **step)
    opened = TemplateVersion.objects.get(pk=draft.pk).edited_at.isoformat()
    visitor.after(f"{address}draft/move/", part="check", key="sill_hard", way="up", opened=opened)
    stale = visitor.refused(f"{address}draft/move/", part="check", key="sill_hard", way="up", opened=opened)
    assert "it stands below as it is now" in stale
    page = visitor.page(address, check="sill_hard")
    changed = {**SILL, "both_sides": "on", "look_for": "A soft edge"}
    visitor.after(f"{address}draft/checks/", key="sill_hard", **fields_of(page, "sill_hard"), **changed)
    draft.refresh_from_db()
    assert [check["key"] for check in draft.checks] == ["corners", "sill_hard", "moisture", "wet"]
    assert (draft.checks[1]["both_sides"], draft.opening_steps[1]["shares"]) == (True, "deck_wash")
    page = visitor.page(address)
    seen = page[page.index('id="check-wet"') :].split('name="seen" value="', 1)[1].split('"', 1)[0]
    out = visitor.after(f"{address}draft/remove/", part="check", key="wet", seen=seen)
    assert "“How wet is it?” is out of the draft. It had never been published" in out
    seen_first = digest_of(TemplateVersion.objects.get(pk=draft.pk).checks[2])
    out = visitor.after(f"{address}draft/remove/", part="check", key="moisture", seen=seen_first)
    assert "Inspections that are open already keep it" in out
    assert "has changed it since" in visitor.refused(
        f"{address}draft/remove/", part="check", key="corners", seen=seen
    )


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"prompt": ""}, "Question is empty; ask what is to be looked at."),
        ({"answer": ""}, "Answer is not chosen; say what is to be answered."),
        ({"answer": "reading"}, "What is measured is not chosen; say what is measured."),
        (
            {"answer": "reading", "quantity": "play_mm", "minimum": "5", "maximum": "2,5"},
            "To 2.5 is not above the minimum of 5; give a larger figure.",
        ),
        (
            {"answer": "reading", "quantity": "moisture_pct", "minimum": "4", "maximum": "400"},
            "To no wood reads that; stay within 0 and 120 pct.",
        ),
        ({"usual_signs": ["RUMOUR"]}, "RUMOUR&#x27; is no sign of this yard; name one of its signs."),
        ({"look_for": "x" * 601}, "Look for"),
    ],
)
def test_what_is_refused_is_told_at_its_field_and_nothing_typed_is_lost(
    laid: Scene, draft: TemplateVersion, change: dict[str, Any], told: str
) -> None:
    said = {**SILL, "look_for": "A soft edge, typed with care", **change}
    page = Visitor(laid.manager).refused(f"/templates/{draft.template_id}/draft/checks/", key="", **said)
    assert told in page
    assert said["look_for"] in page
    assert said["prompt"] in page
    draft.refresh_from_db()
    assert len(draft.checks) == 2


def test_whoever_saves_second_gets_both_texts_to_choose(laid: Scene, draft: TemplateVersion) -> None:
    colleague = MemberFactory.create(yard=laid.yard, name="Birk Lind")
    address = f"/templates/{draft.template_id}/"
    mine, theirs = Visitor(laid.manager), Visitor(colleague)
    opened = fields_of(mine.page(address, check="corners"), "corners")
    sent = {"key": "corners", "answer": "signs", **opened}
    theirs.after(f"{address}draft/checks/", **sent, prompt="Theirs?", look_for="A dark line")
    answer = mine.post(f"{address}draft/checks/", **sent, prompt="Mine?", look_for="A pale line")
    assert answer.status_code == 409
    page = answer.content.decode()
    for text in ("Birk Lind saved this check at", "Theirs?", "A dark line", 'value="Mine?"', "A pale line"):
        assert text in page
    assert TemplateVersion.objects.get(pk=draft.pk).checks[0]["prompt"] == "Theirs?"
    again = {**sent, **fields_of(page, "corners")}
    mine.after(f"{address}draft/checks/", **again, prompt="Mine?", look_for="A pale line")
    assert TemplateVersion.objects.get(pk=draft.pk).checks[0]["prompt"] == "Mine?"
    other = fields_of(theirs.page(address, check="moisture"), "moisture")
    mine.after(f"{address}draft/steps/", key="", kind="clean", text="Wash it")
    wet = {"key": "moisture", "prompt": "How wet?", "answer": "reading", "quantity": "moisture_pct", **other}
    assert "saved the draft as well while you wrote" in theirs.after(f"{address}draft/checks/", **wet)


def test_it_is_published_with_a_note_once_the_reader_has_seen_what_differs(
    laid: Scene, draft: TemplateVersion
) -> None:
    visitor, address = Visitor(laid.manager), f"/templates/{draft.template_id}/"
    visitor.after(f"{address}draft/checks/", key="", **SILL)
    page = visitor.page(f"{address}draft/publish/")
    assert "1 added." in page
    opened = page.split('name="opened" value="', 1)[1].split('"', 1)[0]
    assert "is empty; say in a few words" in visitor.refused(f"{address}draft/publish/", opened=opened)
    visitor.after(f"{address}draft/steps/", key="", kind="clean", text="Wash it")
    stale = visitor.refused(f"{address}draft/publish/", opened=opened, note="sill added")
    assert "read below what differs now" in stale
    assert "2 added." in stale
    assert 'value="sill added"' in stale
    opened = stale.split('name="opened" value="', 1)[1].split('"', 1)[0]
    done = visitor.after(f"{address}draft/publish/", opened=opened, note="sill added")
    assert "Version 2 is published." in done
    assert "1 open inspection keeps its own." in done
    assert "“sill added”" in visitor.page(f"{address}compare/")
    assert laid.boat.name in visitor.page(f"{address}inspections/", version="1")
    answer = visitor.get(f"{address}inspections/list.csv", version="1", stands="open", order="boat")
    assert [row["boat"] for row in csv.DictReader(StringIO(answer.content.decode()))] == [laid.boat.name]
    assert "No closed inspection asks by version 1" in visitor.page(
        f"{address}inspections/", version="1", stands="closed"
    )
    assert "No inspection asks by version 2 yet." in visitor.page(f"{address}inspections/", version="2")
    again = visitor.after(f"{address}draft/publish/", opened=opened, note="sill added")  # pressed twice
    assert "There is no draft: version 2 was published by" in again
    visitor.after(f"{address}draft/")
    assert "is thrown away." in visitor.after(f"{address}draft/drop/")


def test_a_sign_that_the_yard_gave_up_is_told_with_its_check(laid: Scene, draft: TemplateVersion) -> None:
    visitor, address = Visitor(laid.manager), f"/templates/{draft.template_id}/"
    Sign.objects.filter(yard=laid.yard, code="GAP_JOINT").delete()
    told = "Check 1 of the draft: &#x27;GAP_JOINT&#x27; is no sign of this yard; name one of its signs."
    assert told in visitor.page(f"{address}draft/publish/")
    assert told in visitor.refused(f"{address}draft/checks/", key="", **SILL)
    opened = draft.edited_at.isoformat()
    visitor.after(f"{address}draft/move/", part="check", key="moisture", way="up", opened=opened)
    assert "GAP_JOINT, which is no sign of the yard any more" in visitor.page(address, check="corners")


def test_what_was_typed_outlives_the_draft_and_begins_the_next(laid: Scene, draft: TemplateVersion) -> None:
    visitor, address = Visitor(laid.manager), f"/templates/{draft.template_id}/"
    sent = {"key": "corners", **fields_of(visitor.page(address, check="corners"), "corners")}
    said = {"prompt": "Mine?", "answer": "signs", "look_for": "A pale line"}
    draft_publish(draft=draft, by=laid.manager, at=NOW, note="nothing")
    answer = visitor.post(f"{address}draft/checks/", **sent, **said)
    assert answer.status_code == 409
    for text in ("The draft is no longer there", 'value="Mine?"', "A pale line", 'name="start" value="yes"'):
        assert text in answer.content.decode()
    assert not TemplateVersion.objects.filter(published_at=None).exists()
    visitor.after(f"{address}draft/checks/", start="yes", **sent, **said)
    assert TemplateVersion.objects.get(number=3).checks[0]["prompt"] == "Mine?"


def test_it_is_copied_once_called_otherwise_and_a_first_draft_goes_with_its_template(
    laid: Scene, draft: TemplateVersion
) -> None:
    source = TemplateVersion.objects.get(template=draft.template, number=1)
    ComponentClassFactory.create(yard=laid.yard, name="Aft locker", code="AFT")
    visitor = Visitor(laid.manager)
    visitor.after("/templates/begin/", component_class="AFT")
    address = f"/templates/{Template.objects.get(title='Aft locker').pk}/"
    wanted = {"from": str(source.pk), "check": ["corners"]}
    assert "2 things were copied from" in visitor.after(f"{address}draft/copy/", **wanted)
    assert "Nothing was copied: all of it stands" in visitor.after(f"{address}draft/copy/", **wanted)
    assert "nothing is chosen" in visitor.refused(f"{address}draft/copy/", **{"from": str(source.pk)})
    assert "The locker aft</h1>" in visitor.after(f"{address}title/", title="The locker aft")
    assert "is missing or too long" in visitor.refused(f"{address}title/", title=" ")
    assert "of The locker aft is thrown away" in visitor.after(f"{address}draft/drop/")
    assert not Template.objects.filter(title="The locker aft").exists()


def test_the_pages_ask_no_more_for_many_classes_and_versions(laid: Scene) -> None:
    visitor, template = Visitor(laid.manager), Template.objects.get(yard=laid.yard)
    made = 1

    def grow(rows: int) -> None:
        nonlocal made
        while made < rows:
            made += 1
            TemplateVersionFactory.create(template__component_class=ComponentClassFactory.create(yard=laid.yard))
            last = draft_start(template=template, by=laid.manager, at=NOW)
            draft_publish(draft=last, by=laid.manager, at=NOW)

    pages = (
        "/templates/",
        "/templates/list.csv",
        f"/templates/{template.pk}/",
        f"/templates/{template.pk}/compare/",
    )
    assert_same_queries(lambda: [visitor.page(address) for address in pages], grow, to=(3, 30))
    draft_start(template=template, by=laid.manager, at=NOW)
    forms = (f"/templates/{template.pk}/?step=new", f"/templates/{template.pk}/draft/copy/")
    made = 30
    assert_same_queries(lambda: [visitor.page(address) for address in forms], _classes(laid), to=(3, 30))


def _classes(laid: Scene) -> Any:
    made = 0

    def grow(rows: int) -> None:
        nonlocal made
        while made < rows:
            made += 1
            TemplateVersionFactory.create(template__component_class=ComponentClassFactory.create(yard=laid.yard))

    return grow


def test_another_yards_templates_are_not_there(laid: Scene, draft: TemplateVersion) -> None:
    stranger = MemberFactory.create()
    signs_of(stranger.yard)
    visitor = Visitor(stranger)
    address = f"/templates/{draft.template_id}/"
    assert draft.template.title not in visitor.page("/templates/")
    for below in ("", "compare/", "inspections/", "versions/1/", "versions/1/preview/", "draft/copy/"):
        assert visitor.get(f"{address}{below}").status_code == 404
    assert visitor.post(f"{address}draft/checks/", key="", **SILL).status_code == 404
    assert Visitor(laid.technician).post(f"{address}draft/checks/", key="", **SILL).status_code == 403
