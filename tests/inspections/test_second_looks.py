"""What does not settle itself is looked at once more: in this round as long as it is open, and in the next."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from inspections.models import Assessment, Check, Finding, Inspection
from inspections.models.findings import FindingState
from inspections.models.inspections import CheckOrigin
from inspections.selectors.route import route_of
from inspections.services.findings import finding_set_state
from inspections.services.inspections import inspection_close, inspection_open
from tests.factories import AssessmentFactory, FindingFactory, TemplateVersionFactory
from tests.inspections.scenes import Scene
from tests.queries import assert_same_queries
from yard.outbox import drain

pytestmark = pytest.mark.django_db

SOFT = {"signs": ["SOFT_PROBE"], "water": "rain", "seal": "open", "moves": "no", "load": "cyclic"}


def found(scene: Scene, **more: Any) -> Finding:
    sheet = scene.finding(**{**SOFT, **more})
    scene.store(sheet)
    drain(now=scene.at + timedelta(minutes=20))
    return Finding.objects.get(pk=sheet["id"])


def next_year(scene: Scene) -> Inspection:
    return inspection_open(boat=scene.boat, season_year=2028, at=scene.at + timedelta(days=360), by=None)


def taken_over(scene: Scene, finding: Finding) -> Check:
    return Check.objects.get(inspection=next_year(scene), spot=finding.spot)


def why_again(scene: Scene) -> list[str]:
    return [one.because for one in route_of(scene.inspection, scene.at).look_again]


def test_what_was_seen_from_one_face_is_asked_again_next_time_with_the_reason(ours: Scene) -> None:
    check = taken_over(ours, found(ours, sides="one", note="black along the bedding"))
    assert check.origin == CheckOrigin.SECOND_LOOK
    assert "asked for a second look in 2027, because only one face of it was seen" in check.prompt
    assert check.look_for == "Look once more, because only one face of it was seen.\nblack along the bedding"
    assert check.both_sides


def test_what_contradicts_itself_is_asked_again(ours: Scene) -> None:
    readings = [
        {"quantity": "moisture_pct", "value": "9", "unit": "pct"},
        {"quantity": "moisture_beside_pct", "value": "9", "unit": "pct"},
    ]
    finding = found(ours, sides="both", readings=readings)
    assert Assessment.objects.get(finding=finding).document["confirm"] is True
    assert "because what was recorded contradicts itself" in taken_over(ours, finding).prompt


def test_what_is_settled_is_taken_over_as_before(ours: Scene) -> None:
    finding = found(ours, sides="both")
    check = taken_over(ours, finding)
    assert check.origin == CheckOrigin.DEFERRED
    assert "second look" not in check.prompt + check.look_for


@pytest.mark.parametrize(
    ("state", "origin", "told"),
    [
        (FindingState.HELD, CheckOrigin.HELD, True),
        (FindingState.DECLINED, CheckOrigin.DECLINED, True),
        (FindingState.REPAIRED, CheckOrigin.REPAIRED, False),
    ],
)
def test_what_was_decided_keeps_its_origin(
    ours: Scene, state: FindingState, origin: CheckOrigin, told: bool
) -> None:
    finding = finding_set_state(finding=found(ours, sides="one"), state=state, at=ours.at + timedelta(hours=1))
    check = taken_over(ours, finding)
    assert (check.origin, "Look once more" in check.look_for) == (origin, told)


def test_what_comes_off_for_it_comes_off_again(ours: Scene) -> None:
    finding = found(ours, sides="one")
    inspection = next_year(ours)
    assert Check.objects.get(inspection=inspection, spot=finding.spot).after == ["lining"]
    # So the spot is looked at together with the question that it came from.
    legs = [
        {one.check.key for one in leg.stops}
        for leg in route_of(inspection, inspection.opened_at).legs
        if leg.opening == "lining"
    ]
    assert legs == [{"corners", f"spot_{finding.spot.tag.lower()}"}]  # type: ignore[union-attr]


def test_what_no_longer_comes_off_is_not_asked_for(ours: Scene) -> None:
    finding = found(ours, sides="one")
    version = ours.corners.template_version
    assert version is not None
    bare = [dict(version.checks[0], after=[])]
    TemplateVersionFactory.create(template=version.template, number=2, opening_steps=[], checks=bare)
    assert taken_over(ours, finding).after == []


def test_the_open_round_names_it_until_a_better_look_takes_its_place(ours: Scene) -> None:
    finding = found(ours, sides="one")
    assert why_again(ours) == ["only one face of it was seen"]
    assert finding.spot is not None
    better = ours.finding(**SOFT, sides="both", spot={"id": str(finding.spot_id)}, supersedes=str(finding.entry_id))
    ours.store(better)
    drain(now=ours.at + timedelta(minutes=40))
    assert why_again(ours) == []
    ours.store(ours.wet())
    # The round can be closed: the question has its answer, the better one.
    inspection_close(inspection=ours.inspection, at=ours.at + timedelta(hours=1), by=None)


def test_a_round_names_only_its_own_and_what_is_undecided(ours: Scene, theirs: Scene) -> None:
    found(theirs, sides="one")
    finding_set_state(finding=found(ours, sides="one"), state=FindingState.DECLINED, at=ours.at)
    assert why_again(ours) == []


def test_it_asks_the_same_questions_for_any_number_of_findings(ours: Scene) -> None:
    made = 0

    def grow(findings: int) -> None:
        nonlocal made
        while made < findings:
            made += 1
            finding = FindingFactory.create(
                spot__component=ours.component, inspection=ours.inspection, entry__sides="one"
            )
            AssessmentFactory.create(finding=finding, condition="decay")

    assert_same_queries(lambda: route_of(ours.inspection, ours.at), grow, to=(1, 12))
    assert len(why_again(ours)) == 12
