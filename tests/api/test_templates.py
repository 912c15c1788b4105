"""Templates: draft, publishing, and versions that never change."""

from typing import Any

import pytest

from inspections.models import Template, TemplateVersion
from tests.api.callers import Caller, fields_of, problem_of
from tests.factories import ComponentClassFactory, TemplateFactory, TemplateVersionFactory
from tests.factories.inspections import signs_of
from yard.models import Yard


@pytest.fixture
def template(yard: Yard) -> Template:
    signs_of(yard)
    template = TemplateFactory.create(component_class=ComponentClassFactory.create(yard=yard, code="HATCH"))
    TemplateVersionFactory.create(template=template)
    return template


def draft_of(manager: Caller, template: Template) -> tuple[dict[str, Any], str]:
    answer = manager.post(f"templates/{template.pk}/draft/")
    assert answer.status_code == 201
    return answer.json(), answer["ETag"]


def text_of(version: dict[str, Any], **change: Any) -> dict[str, Any]:
    return {name: version[name] for name in ("opening_steps", "checks", "note")} | change


def test_a_draft_begins_as_the_last_version_and_becomes_the_next(
    manager: Caller, technician: Caller, template: Template
) -> None:
    version, etag = draft_of(manager, template)
    assert version["number"] == 2
    assert version["checks"][0]["prompt"] == "Are the lower corners tight?"
    assert technician.get(f"templates/{template.pk}/").json()["draft"] == 2
    version["checks"][0]["prompt"] = "Are all four corners tight?"
    saved = manager.put(
        f"templates/{template.pk}/draft/", text_of(version, note="upper corners too"), If_Match=etag
    )
    assert saved.status_code == 200
    published = manager.post(f"templates/{template.pk}/draft/publish/", If_Match=saved["ETag"])
    assert published.status_code == 200
    assert published.json()["published_at"] is not None
    shown = technician.get(f"templates/{template.pk}/versions/2/").json()
    assert shown["checks"][0]["prompt"] == "Are all four corners tight?"
    assert (
        technician.get(f"templates/{template.pk}/versions/1/").json()["checks"][0]["prompt"].startswith("Are the")
    )
    numbers = [row["number"] for row in technician.get(f"templates/{template.pk}/versions/").json()]
    assert numbers == [2, 1]
    row = technician.get(f"templates/{template.pk}/").json()
    assert (row["published"], row["draft"]) == (2, None)
    problem_of(technician.get(f"templates/{template.pk}/draft/"), 404)


def test_two_managers_do_not_write_over_each_other(manager: Caller, template: Template) -> None:
    version, etag = draft_of(manager, template)
    address = f"templates/{template.pk}/draft/"
    first = manager.put(address, text_of(version, note="first"), If_Match=etag)
    assert first.status_code == 200
    problem_of(manager.put(address, text_of(version, note="second"), If_Match=etag), 412)
    problem_of(manager.put(address, text_of(version, note="second")), 428)
    problem_of(manager.post(f"{address}publish/", If_Match=etag), 412)
    problem_of(manager.post(f"{address}publish/"), 428)
    assert TemplateVersion.objects.get(published_at=None).note == "first"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"checks": "all"}, "checks"),
        ({"checks": [{"key": "a", "prompt": "?", "answer_kind": "words"}]}, "checks[0].answer_kind"),
        ({"checks": [{"key": "a b", "prompt": "?", "answer_kind": "signs"}]}, "checks[0].key"),
        ({"checks": [{"key": "a", "prompt": "?", "answer_kind": "signs", "colour": 1}]}, "checks[0].colour"),
        (
            {"checks": [{"key": "a", "prompt": "?", "answer_kind": "signs", "usual_signs": ["NO_SUCH"]}]},
            "checks[0].usual_signs[0]",
        ),
        ({"opening_steps": [{"key": "a", "kind": "burn", "text": "x"}]}, "opening_steps[0].kind"),
    ],
)
def test_what_is_wrong_in_a_template_is_named_with_its_place(
    manager: Caller, template: Template, change: dict[str, Any], field: str
) -> None:
    version, etag = draft_of(manager, template)
    answer = manager.put(f"templates/{template.pk}/draft/", text_of(version, **change), If_Match=etag)
    assert field in fields_of(answer, 422)


def test_a_note_that_is_no_text_is_refused_before_anything_is_read(manager: Caller, template: Template) -> None:
    version, etag = draft_of(manager, template)
    answer = manager.put(f"templates/{template.pk}/draft/", text_of(version, note=7), If_Match=etag)
    assert fields_of(answer, 400) == {"note"}


def test_checks_are_copied_compared_previewed_and_published_with_a_note(
    manager: Caller, technician: Caller, template: Template, yard: Yard
) -> None:
    manager.post("templates/", {"component_class": ComponentClassFactory.create(yard=yard).code, "title": "Doors"})
    doors = Template.objects.get(title="Doors")
    address = f"templates/{doors.pk}/draft/"
    wanted = {"template": template.pk, "number": 1, "checks": ["corners"]}
    problem_of(technician.post(f"{address}copy/", wanted, If_Match="*"), 403)
    problem_of(manager.post(f"{address}copy/", wanted), 428)
    etag = technician.get(address)["ETag"]
    copied = manager.post(f"{address}copy/", wanted, If_Match=etag)
    assert copied.status_code == 200
    assert [step["key"] for step in copied.json()["opening_steps"]] == ["lining"]
    problem_of(manager.post(f"{address}copy/", wanted, If_Match=etag), 412)
    for change, field in (({"checks": ["sill"]}, "checks"), ({"checks": []}, "checks")):
        answer = manager.post(f"{address}copy/", wanted | change, If_Match="*")
        assert fields_of(answer, 422) == {field}
    problem_of(manager.post(f"{address}copy/", wanted | {"number": 7}, If_Match="*"), 404)
    pack = technician.get(f"templates/{doors.pk}/versions/1/preview/").json()
    assert [check["prompt"] for check in pack["checks"]] == ["Are the lower corners tight?"]
    assert pack["steps"][0]["checks"] == [pack["checks"][0]["id"]]
    assert pack["contract"] == technician.get("tablet/").json()["contract"]
    empty = manager.post(f"{address}publish/", {"note": "  "}, If_Match="*")
    assert fields_of(empty, 400) == {"note"}
    assert (
        manager.post(f"{address}publish/", {"note": "first edition"}, If_Match="*").json()["note"]
        == "first edition"
    )
    draft, etag = draft_of(manager, doors)
    draft["checks"][0]["photo_wanted"] = False
    manager.put(address, text_of(draft), If_Match=etag)
    compared = technician.get(f"templates/{doors.pk}/versions/2/compared-with/1/").json()
    assert [(pair["became"], pair["changed"]) for pair in compared["checks"]] == [("changed", ["photo_wanted"])]
    uses = technician.get(f"templates/{doors.pk}/versions/").json()
    assert [(use["number"], use["open_inspections"]) for use in uses] == [(2, 0), (1, 0)]


def test_a_draft_may_be_thrown_away(manager: Caller, template: Template) -> None:
    _, etag = draft_of(manager, template)
    address = f"templates/{template.pk}/draft/"
    problem_of(manager.delete(address), 428)
    assert manager.delete(address, If_Match=etag).status_code == 204
    problem_of(manager.get(address), 404)
    problem_of(manager.post(f"{address}publish/", If_Match="*"), 404)


def test_a_class_gets_one_template(manager: Caller, template: Template, yard: Yard) -> None:
    ComponentClassFactory.create(yard=yard, code="LOCKER")
    created = manager.post("templates/", {"component_class": "LOCKER", "title": "Look at lockers"})
    assert created.status_code == 201
    assert created.json()["draft"] == 1
    assert created.json()["published"] is None
    again = manager.post("templates/", {"component_class": "LOCKER", "title": "Lockers"})
    assert fields_of(again, 422) == {"component_class"}
    unknown = manager.post("templates/", {"component_class": "NO_SUCH", "title": "x"})
    assert fields_of(unknown, 400) == {"component_class"}


def test_a_template_gets_another_title_by_whoever_read_the_last_one(manager: Caller, template: Template) -> None:
    address = f"templates/{template.pk}/"
    etag = manager.get(address)["ETag"]
    assert manager.patch(address, {"title": " Hatches,  all "}, If_Match=etag).json()["title"] == "Hatches, all"
    problem_of(manager.patch(address, {"title": "Late"}, If_Match=etag), 412)
    assert fields_of(manager.patch(address, {"title": ""}, If_Match="*"), 400) == {"title"}
    assert fields_of(manager.patch(address, {"title": 7}, If_Match="*"), 400) == {"title"}


def test_technicians_read_and_strangers_see_nothing(
    manager: Caller, technician: Caller, stranger: Caller, template: Template
) -> None:
    draft_of(manager, template)
    address = f"templates/{template.pk}/"
    assert [row["id"] for row in technician.results("templates/?component_class=HATCH")] == [template.pk]
    problem_of(technician.post(f"{address}draft/"), 403)
    problem_of(technician.put(f"{address}draft/", {}, If_Match="*"), 403)
    problem_of(technician.post(f"{address}draft/publish/", If_Match="*"), 403)
    problem_of(technician.delete(f"{address}draft/", If_Match="*"), 403)
    for below in ("", "versions/", "versions/1/", "draft/"):
        problem_of(stranger.get(f"{address}{below}"), 404)
    problem_of(stranger.post(f"{address}draft/"), 404)
    problem_of(stranger.post(f"{address}draft/publish/", If_Match="*"), 404)
    assert stranger.results("templates/") == []
    problem_of(manager.get(f"{address}versions/{10**12}/"), 404)
