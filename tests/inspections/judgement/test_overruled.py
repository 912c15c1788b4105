"""Counting where the office judged otherwise than the rules."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from inspections.judgement.overruled import Direction, JudgedFinding, Said, Tally, overruling_report
from inspections.judgement.vocabulary import Condition, Priority, RiskLevel

SPRING = datetime(2027, 4, 1, 8, 0, tzinfo=UTC)
AUTUMN = date(2027, 10, 15)
SEAM = JudgedFinding(
    finding="seam",
    rules_version="2",
    condition=Condition.WATER_WAY_OPEN,
    severity=3,
    probability_level="C",
    risk=RiskLevel.SERIOUS,
    priority=Priority.THIS_SEASON,
    due_back_on=AUTUMN,
    judged_at=SPRING,
)


def said(priority: Priority, *, after_days: int = 1, on: date = date(2027, 9, 1), taken_back: bool = False) -> Said:
    return Said(priority, on, f"said on day {after_days}", SPRING + timedelta(days=after_days), taken_back)


def overruled(priority: Priority, **more: object) -> JudgedFinding:
    return replace(SEAM, said=said(priority, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("one", "direction"),
    [
        (SEAM, None),
        (overruled(Priority.BEFORE_LAUNCH), Direction.SOONER),
        (overruled(Priority.NEXT_LAYUP), Direction.LATER),
        (overruled(Priority.WATCH), Direction.LATER),
        (overruled(Priority.THIS_SEASON), Direction.SAME_PRIORITY),
        (overruled(Priority.THIS_SEASON, on=AUTUMN), Direction.SAME_PRIORITY),
        (overruled(Priority.WATCH, taken_back=True), None),
    ],
)
def test_the_direction_is_that_of_the_priority(one: JudgedFinding, direction: Direction | None) -> None:
    assert one.direction is direction


def test_nothing_judged_is_no_report() -> None:
    assert overruling_report([]) == ()


def test_each_condition_and_cell_is_counted_with_its_directions() -> None:
    rot = replace(SEAM, condition=Condition.DECAY, severity=1, risk=RiskLevel.HIGH)
    (report,) = overruling_report(
        [
            SEAM,
            SEAM,
            overruled(Priority.BEFORE_LAUNCH),
            overruled(Priority.WATCH),
            overruled(Priority.THIS_SEASON),
            overruled(Priority.WATCH, taken_back=True),
            rot,
        ]
    )
    seams = Tally(judgements=6, sooner=1, later=1, same_priority=1, taken_back=1)
    whole = replace(seams, judgements=7)
    assert (report.rules_version, report.tally) == ("2", whole)
    assert [(row.condition, row.tally) for row in report.conditions] == [
        (Condition.WATER_WAY_OPEN, seams),
        (Condition.DECAY, Tally(1, 0, 0, 0, 0)),
    ]
    assert [(row.severity, row.probability_level, row.risk, row.tally.judgements) for row in report.cells] == [
        (1, "C", RiskLevel.HIGH, 1),
        (3, "C", RiskLevel.SERIOUS, 6),
    ]
    assert (whole.overruled, seams.overruled_share) == (3, 0.5)
    assert Tally(0, 0, 0, 0, 0).overruled_share == 0


def test_versions_are_told_apart_and_the_last_to_judge_comes_first() -> None:
    older = replace(overruled(Priority.WATCH), rules_version="9", judged_at=SPRING - timedelta(days=300))
    reports = overruling_report([older, SEAM])
    assert [(report.rules_version, report.tally.later) for report in reports] == [("2", 0), ("9", 1)]


def test_the_latest_reasons_come_first_and_only_those_that_stand() -> None:
    spoken = [overruled(Priority.WATCH, after_days=day) for day in (3, 1, 7, 2, 5, 6, 4)]
    (report,) = overruling_report([SEAM, *spoken, overruled(Priority.WATCH, after_days=9, taken_back=True)])
    (row,) = report.conditions
    reasons = [one.said.reason for one in row.latest if one.said is not None]
    assert reasons == [f"said on day {day}" for day in (7, 6, 5, 4, 3)]
