"""Reading for the count of overrulings: each finding once for each version of the rules."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inspections.judgement.overruled import VersionReport
from inspections.models import Finding
from inspections.selectors.overrulings import overrulings_report
from inspections.services.overruling import finding_overrule, overruling_withdraw
from tests.factories import AssessmentFactory, ComponentFactory, FindingFactory, OverrulingFactory
from tests.inspections.scenes import Scene
from tests.queries import assert_same_queries
from yard.outbox import drain

pytestmark = pytest.mark.django_db


def report_of(scene: Scene) -> VersionReport:
    (report,) = overrulings_report(scene.yard)
    return report


def found(scene: Scene) -> Finding:
    sheet = scene.finding(water="rain", seal="open", moves="no", load="none", sides="both")
    scene.store(sheet)
    drain(now=scene.at + timedelta(minutes=20))
    return Finding.objects.get(pk=sheet["id"])


def overrule(scene: Scene, finding: Finding, priority: str, hours: int = 1) -> object:
    return finding_overrule(
        finding=finding,
        by=scene.manager,
        priority=priority,
        due_back_on=date(2027, 9, 1),
        reason=f"{priority}, I say",
        at=scene.at + timedelta(hours=hours),
    )


def test_a_finding_counts_once_however_often_it_was_judged_or_spoken_about(ours: Scene) -> None:
    finding = found(ours)
    AssessmentFactory.create(
        finding=finding, rules_version="2", made_at=ours.at - timedelta(days=1), superseded_at=ours.at
    )
    overrule(ours, finding, "watch", 1)
    overrule(ours, finding, "before_launch", 2)
    tally = report_of(ours).tally
    assert (tally.judgements, tally.overruled, tally.sooner, tally.taken_back) == (1, 1, 1, 0)
    (row,) = report_of(ours).conditions
    assert [one.said.reason for one in row.latest if one.said] == ["before_launch, I say"]


def test_what_was_taken_back_is_counted_apart(ours: Scene) -> None:
    finding = found(ours)
    overrule(ours, finding, "watch")
    overruling_withdraw(overruling=finding.overrulings.get(), at=ours.at + timedelta(hours=3))
    tally = report_of(ours).tally
    assert (tally.judgements, tally.overruled, tally.taken_back) == (1, 0, 1)


def test_each_version_of_the_rules_has_its_own_count(ours: Scene) -> None:
    finding = FindingFactory.create(spot__component=ours.component, inspection=ours.inspection)
    old = AssessmentFactory.create(finding=finding, rules_version="1", superseded_at=ours.at)
    OverrulingFactory.create(finding=finding, assessment=old, by=ours.manager)
    AssessmentFactory.create(
        finding=finding, rules_version="2", condition="decay", made_at=old.made_at + timedelta(days=1)
    )
    newer, older = overrulings_report(ours.yard)
    assert (newer.rules_version, newer.tally.overruled, newer.conditions[0].condition) == ("2", 0, "decay")
    assert (older.rules_version, older.tally.later) == ("1", 1)


def test_the_judgement_that_was_spoken_against_counts_and_not_a_later_one(ours: Scene) -> None:
    finding = FindingFactory.create(spot__component=ours.component, inspection=ours.inspection)
    then = AssessmentFactory.create(finding=finding, risk="medium", superseded_at=ours.at)
    OverrulingFactory.create(finding=finding, assessment=then, by=ours.manager)
    AssessmentFactory.create(
        finding=finding, condition="decay", risk="high", made_at=then.made_at + timedelta(days=1)
    )
    assert [(row.condition, row.tally.later) for row in report_of(ours).conditions] == [("water_way_open", 1)]


def test_places_not_seen_and_other_yards_are_not_counted(ours: Scene, theirs: Scene) -> None:
    ours.store(ours.not_seen())
    drain(now=ours.at + timedelta(minutes=20))
    found(theirs)
    assert overrulings_report(ours.yard) == ()


def test_it_asks_the_same_questions_for_any_number_of_findings(ours: Scene) -> None:
    made = 0

    def grow(findings: int) -> None:
        nonlocal made
        while made < findings:
            made += 1
            part = ComponentFactory.create(boat=ours.boat, component_class=ours.component.component_class)
            finding = FindingFactory.create(spot__component=part, inspection=ours.inspection)
            OverrulingFactory.create(finding=finding, by=ours.manager)

    assert_same_queries(lambda: overrulings_report(ours.yard), grow, to=(1, 12))
    assert report_of(ours).tally.overruled == 12
