"""Opening an inspection: what is asked, what is taken over from earlier years, and when it can't be opened."""

from datetime import date, datetime, timedelta

import pytest

from inspections.models import Check, Finding, Inspection, OpeningStep
from inspections.models.findings import FindingState
from inspections.models.inspections import CheckOrigin
from inspections.services.inspections import inspection_afloat_set, inspection_launch_set, inspection_open
from tests.factories import (
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    FindingFactory,
    InspectionFactory,
    SpotFactory,
    TemplateFactory,
    TemplateVersionFactory,
    YardFactory,
)
from tests.factories.inspections import CHECKS
from tests.inspections.scenes import Scene
from yard.models import OutboxRow
from yard.refusals import Refused, RefusedMany

pytestmark = pytest.mark.django_db

LAST_YEAR = datetime.fromisoformat("2026-04-01T08:00:00Z")


def asked(inspection: Inspection) -> list[tuple[str, str]]:
    return list(Check.objects.filter(inspection=inspection).order_by("position").values_list("origin", "key"))


def next_year(scene: Scene) -> Inspection:
    return inspection_open(boat=scene.boat, season_year=2028, at=scene.at + timedelta(days=340), by=scene.manager)


def test_it_asks_what_the_latest_published_templates_ask(ours: Scene) -> None:
    template = TemplateVersionFactory.create(
        template__component_class=ComponentClassFactory.create(yard=ours.yard), number=1
    ).template
    newer = [dict(CHECKS[0], key="sill", prompt="Is the sill sound?")]
    TemplateVersionFactory.create(template=template, number=2, checks=newer)
    TemplateVersionFactory.create(template=template, number=3, checks=CHECKS, published_at=None)
    boat = BoatFactory.create(yard=ours.yard)
    ComponentFactory.create(boat=boat, component_class=template.component_class)
    inspection = inspection_open(boat=boat, season_year=2027, at=ours.at, by=ours.manager)
    assert asked(inspection) == [("template", "sill")]
    check = Check.objects.get(inspection=inspection)
    assert check.template_version is not None
    assert check.template_version.number == 2
    assert (inspection.launch_on, inspection.opened_by) == (date(2027, 5, 1), ours.manager)


def test_a_check_carries_all_that_its_template_says(ours: Scene) -> None:
    check = ours.moisture
    assert check.reading == {"quantity": "moisture_pct", "unit": "pct", "minimum": "4", "maximum": "100"}
    assert (ours.corners.look_for, ours.corners.contact, ours.corners.after) == (
        "A dark line along the joint",
        ["wood_to_wood"],
        ["lining"],
    )
    assert (ours.corners.both_sides, ours.corners.photo_wanted) == (True, True)


def test_what_shares_an_opening_stands_together(ours: Scene) -> None:
    wheel = ComponentClassFactory.create(yard=ours.yard, safety_role="steering", load=["cyclic"])
    TemplateVersionFactory.create(
        template=TemplateFactory.create(component_class=wheel),
        opening_steps=[
            {"key": "cover", "kind": "take_off", "text": "Cover off", "shares": None},
            {"key": "lining", "kind": "take_off", "text": "Lining off", "shares": "lining"},
            {"key": "grease", "kind": "clean", "text": "Old grease off", "shares": None},
        ],
        checks=[dict(CHECKS[0], after=["cover", "grease"])],
    )
    ComponentFactory.create(boat=ours.boat, component_class=wheel, name="wheel")
    inspection = next_year(ours)
    steps = OpeningStep.objects.filter(inspection=inspection).order_by("position").values_list("key", "shares")
    assert list(steps) == [("cover", ""), ("lining", "lining"), ("lining", "lining"), ("grease", "")]


def test_what_safety_hangs_on_comes_first_then_what_is_loaded(ours: Scene) -> None:
    roles = [("trim", "none", ["none"]), ("cleat", "none", ["shock"]), ("rudder", "steering", ["cyclic"])]
    for name, role, load in roles:
        component_class = ComponentClassFactory.create(yard=ours.yard, safety_role=role, load=load)
        TemplateVersionFactory.create(template__component_class=component_class, checks=[CHECKS[1]])
        ComponentFactory.create(boat=ours.boat, component_class=component_class, name=name)
    inspection = next_year(ours)
    round_ = [check.component.name for check in inspection.checks.select_related("component")]
    frame = ours.component.name  # watertightness, not loaded; it has two checks
    assert round_ == ["rudder", frame, frame, "cleat", "trim"]


@pytest.mark.parametrize(
    ("state", "origin"),
    [
        (FindingState.OPEN, CheckOrigin.DEFERRED),
        (FindingState.WATCHED, CheckOrigin.WATCHED),
        (FindingState.HELD, CheckOrigin.HELD),
        (FindingState.DECLINED, CheckOrigin.DECLINED),
        (FindingState.DEFERRED, CheckOrigin.DEFERRED),
        (FindingState.REPAIRED, CheckOrigin.REPAIRED),
        (FindingState.VERIFIED, CheckOrigin.REPAIRED),
    ],
)
def test_a_spot_that_is_somebodys_business_becomes_a_check(
    ours: Scene, state: FindingState, origin: CheckOrigin
) -> None:
    finding = FindingFactory.create(spot__component=ours.component, inspection=ours.inspection, state=state)
    inspection = next_year(ours)
    check = Check.objects.get(inspection=inspection, spot=finding.spot)
    assert check.spot is not None
    assert (check.origin, check.key) == (origin, f"spot_{check.spot.tag.lower()}")
    assert "lower aft corner: crack in the wood" in check.prompt
    assert origin.label in check.prompt
    assert "2027" in check.prompt
    assert check.usual_signs[0] == "CRACK_WOOD"
    assert asked(inspection) == [(origin.value, check.key), ("template", "corners"), ("template", "moisture")]


@pytest.mark.parametrize("state", [FindingState.WITHDRAWN, FindingState.SEEN_AGAIN])
def test_a_finding_that_has_ended_is_not_taken_over(ours: Scene, state: FindingState) -> None:
    FindingFactory.create(spot__component=ours.component, inspection=ours.inspection, state=state)
    assert [origin for origin, _ in asked(next_year(ours))] == ["template", "template"]


def test_a_repair_verified_before_the_last_look_is_not_taken_over_again(ours: Scene) -> None:
    long_ago = InspectionFactory.create(boat=ours.boat, season_year=2025)
    FindingFactory.create(spot__component=ours.component, inspection=long_ago, state=FindingState.VERIFIED)
    assert [origin for origin, _ in asked(next_year(ours))] == ["template", "template"]


def test_a_spot_is_taken_over_once_and_its_newest_finding_speaks(ours: Scene) -> None:
    spot = SpotFactory.create(component=ours.component)
    earlier = InspectionFactory.create(boat=ours.boat, season_year=2026)
    FindingFactory.create(spot=spot, inspection=earlier, state=FindingState.HELD)
    FindingFactory.create(spot=spot, inspection=ours.inspection, state=FindingState.WATCHED)
    taken_over = [origin for origin, _ in asked(next_year(ours)) if origin != "template"]
    assert taken_over == ["watched"]


def test_findings_of_other_boats_and_of_parts_taken_off_are_left_out(ours: Scene, theirs: Scene) -> None:
    other_boat = BoatFactory.create(yard=ours.yard)
    FindingFactory.create(spot__component__boat=other_boat)
    FindingFactory.create(spot__component=theirs.component, inspection=theirs.inspection)
    gone = ComponentFactory.create(
        boat=ours.boat, component_class=ours.component.component_class, removed_on=date(2027, 9, 1)
    )
    FindingFactory.create(spot__component=gone, inspection=ours.inspection)
    assert [origin for origin, _ in asked(next_year(ours))] == ["template", "template"]


def test_a_place_not_seen_is_covered_where_the_template_asks_again(ours: Scene) -> None:
    ours.store(ours.not_seen())
    assert asked(next_year(ours)) == [("template", "corners"), ("template", "moisture")]


def test_a_place_not_seen_that_no_template_asks_for_any_more_is_taken_over(ours: Scene) -> None:
    ours.store(ours.not_seen(ours.corners), ours.wet())
    template = ours.component.component_class.template
    TemplateVersionFactory.create(template=template, number=2, checks=[CHECKS[1]])
    inspection = next_year(ours)
    assert asked(inspection) == [("not_seen", "corners"), ("template", "moisture")]
    check = Check.objects.get(inspection=inspection, key="corners")
    assert check.prompt == ours.corners.prompt
    assert check.look_for.startswith("In 2027 not seen: lining screwed down.")


def test_a_check_that_nobody_answered_counts_as_not_seen(ours: Scene) -> None:
    ours.store(ours.wet())
    template = ours.component.component_class.template
    TemplateVersionFactory.create(template=template, number=2, checks=[CHECKS[1]])
    inspection = next_year(ours)
    assert asked(inspection) == [("not_seen", "corners"), ("template", "moisture")]
    assert "In 2027 unanswered." in Check.objects.get(inspection=inspection, key="corners").look_for


def test_a_place_outside_the_list_that_was_not_seen_is_taken_over(ours: Scene) -> None:
    sheet = {**ours.not_seen(), "component": ours.component.pk, "note": "behind the bulkhead"}
    del sheet["check"]
    ours.store(sheet)
    inspection = next_year(ours)
    check = Check.objects.get(inspection=inspection, origin="not_seen")
    assert check.component == ours.component
    assert "behind the bulkhead" in check.prompt


def test_not_seen_again_at_a_spot_is_asked_once(ours: Scene) -> None:
    FindingFactory.create(spot__component=ours.component, inspection=ours.inspection, state=FindingState.WATCHED)
    second = next_year(ours)
    taken_over = Check.objects.get(inspection=second, origin="watched")
    ours.store(ours.not_seen(taken_over), inspection=second, at=second.opened_at + timedelta(days=1))
    third = inspection_open(boat=ours.boat, season_year=2029, at=second.opened_at + timedelta(days=365), by=None)
    assert [origin for origin, _ in asked(third)] == ["watched", "template", "template"]


def refusal_of(**arguments: object) -> Refused:
    with pytest.raises(Refused) as raised:
        inspection_open(**{"season_year": 2027, "by": None, **arguments})  # type: ignore[arg-type]
    return raised.value


def test_a_boat_is_inspected_once_a_season(ours: Scene) -> None:
    assert refusal_of(boat=ours.boat, at=ours.at).field == "season_year"
    assert Inspection.objects.filter(boat=ours.boat).count() == 1


def test_it_cannot_be_opened_without_a_season(ours: Scene) -> None:
    refusal = refusal_of(boat=ours.boat, season_year=2041, at=ours.at)
    assert (refusal.field, "2041" in refusal.problem) == ("season_year", True)


def test_it_cannot_be_opened_for_a_boat_that_has_left_or_has_no_parts(ours: Scene) -> None:
    empty = BoatFactory.create(yard=ours.yard)
    gone = BoatFactory.create(yard=ours.yard, left_on=date(2026, 10, 1))
    assert "no components" in refusal_of(boat=empty, at=ours.at).problem
    assert "left the yard" in refusal_of(boat=gone, at=ours.at).problem


def test_every_class_without_a_published_template_is_named(ours: Scene) -> None:
    boat = BoatFactory.create(yard=ours.yard)
    bare = ComponentClassFactory.create(yard=ours.yard, name="bowsprit")
    drafted = ComponentClassFactory.create(yard=ours.yard, name="samson post")
    TemplateVersionFactory.create(template__component_class=drafted, published_at=None)
    for component_class in (bare, drafted):
        ComponentFactory.create(boat=boat, component_class=component_class)
    refusal = refusal_of(boat=boat, at=ours.at)
    assert isinstance(refusal, RefusedMany)
    assert ["bowsprit" in one.problem or "samson post" in one.problem for one in refusal.refusals] == [True, True]
    assert not Inspection.objects.filter(boat=boat).exists()


@pytest.mark.parametrize("day", ["2027-10-15", "2026-05-01", "2028-05-01"], ids=["lay-up", "before", "after"])
def test_the_launch_is_in_the_season(ours: Scene, day: str) -> None:
    boat = BoatFactory.create(yard=ours.yard)
    ComponentFactory.create(boat=boat, component_class=ours.component.component_class)
    assert refusal_of(boat=boat, at=ours.at, launch_on=date.fromisoformat(day)).field == "launch_on"
    with pytest.raises(Refused):
        inspection_launch_set(inspection=ours.inspection, launch_on=date.fromisoformat(day), at=ours.at)


def test_a_boat_is_afloat_from_the_day_somebody_says_and_not_before(ours: Scene) -> None:
    today = ours.at.date()
    for day in (today + timedelta(days=1), date(2026, 5, 1)):
        with pytest.raises(Refused) as refusal:
            inspection_afloat_set(inspection=ours.inspection, afloat_on=day, at=ours.at)
        assert refusal.value.field == "afloat_on"
    for said in (today, today, None):
        inspection_afloat_set(inspection=ours.inspection, afloat_on=said, at=ours.at)
        assert Inspection.objects.get(pk=ours.inspection.pk).afloat_on == said


def test_another_launch_has_what_was_found_judged_again(ours: Scene) -> None:
    crack, hidden = ours.finding(), ours.not_seen(ours.moisture)
    ours.store(crack, hidden, ours.sound(ours.corners))
    OutboxRow.objects.update(done_at=ours.at)
    inspection = inspection_launch_set(inspection=ours.inspection, launch_on=date(2027, 6, 1), at=ours.at)
    assert inspection.launch_on == date(2027, 6, 1)
    waiting = OutboxRow.objects.filter(done_at__isnull=True).values_list("key", flat=True)
    assert set(waiting) == {f"assess:{crack['id']}", f"assess:{hidden['id']}"}
    inspection_launch_set(inspection=ours.inspection, launch_on=date(2027, 6, 1), at=ours.at)
    assert OutboxRow.objects.filter(done_at__isnull=True).count() == 2


def test_opening_in_a_yard_of_its_own_takes_nothing_of_others(theirs: Scene, spring: datetime) -> None:
    FindingFactory.create(spot__component=theirs.component, inspection=theirs.inspection)
    yard = YardFactory.create()
    component_class = ComponentClassFactory.create(yard=yard)
    TemplateVersionFactory.create(template__component_class=component_class)
    component = ComponentFactory.create(boat__yard=yard, component_class=component_class)
    inspection = inspection_open(boat=component.boat, season_year=2027, at=spring, by=None)
    assert set(inspection.checks.values_list("yard", flat=True)) == {yard.pk}
    assert Finding.objects.filter(yard=yard).count() == 0
