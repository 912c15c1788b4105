"""A manager's word against the judgement: with a reason, beside it, and taken back when it no longer holds."""

from datetime import date, timedelta
from typing import Any

import pytest

from inspections.models import Assessment, DueBack, Finding, Overruling
from inspections.models.findings import FindingState
from inspections.selectors import findings_with_judgement
from inspections.services.assessments import finding_overrule, overruling_withdraw, rejudge_yard
from inspections.services.findings import finding_set_state
from tests.inspections.scenes import Scene
from yard.models import OutboxRow
from yard.outbox import drain
from yard.refusals import Refused, RefusedMany

pytestmark = pytest.mark.django_db

REASON = "Known for ten years, dry, and nothing hangs on it."


@pytest.fixture
def finding(ours: Scene) -> Finding:
    ours.store(ours.finding(water="rain", seal="open", moves="no", load="none", sides="both"))
    drain(now=ours.at + timedelta(minutes=20))
    OutboxRow.objects.filter(failed_at__isnull=True).update(done_at=ours.at)
    return Finding.objects.get()


def overrule(scene: Scene, finding: Finding, **more: Any) -> Overruling:
    said = {"by": scene.manager, "priority": "watch", "due_back_on": date(2027, 9, 1), "reason": REASON, **more}
    return finding_overrule(finding=finding, at=scene.at + timedelta(hours=1), **said)


def standing(finding: Finding) -> tuple[str, date, bool]:
    one = findings_with_judgement(finding.yard_id).get(pk=finding.pk)
    return one.standing_priority, one.standing_due_back_on, one.is_overruled


def open_line() -> DueBack:
    line: DueBack = DueBack.objects.get(ended_at__isnull=True)
    return line


def test_the_managers_word_holds_and_both_stay(ours: Scene, finding: Finding) -> None:
    judged = Assessment.objects.get()
    before = standing(finding)
    overruling = overrule(ours, finding)
    assert standing(finding) == ("watch", date(2027, 9, 1), True)
    assert before == (judged.priority, judged.due_back_on, False)
    assert (overruling.assessment, overruling.by, overruling.reason) == (judged, ours.manager, REASON)
    judged.refresh_from_db()
    assert judged.superseded_at is None
    finding.refresh_from_db()
    assert finding.state == FindingState.WATCHED
    assert (open_line().due_on, open_line().kind, open_line().reason) == (date(2027, 9, 1), "look_again", REASON)
    assert OutboxRow.objects.filter(key=f"propose:{ours.inspection.pk}", done_at__isnull=True).exists()


def test_what_is_to_be_put_right_is_due_for_that(ours: Scene, finding: Finding) -> None:
    overrule(ours, finding, priority="before_launch", due_back_on=date(2027, 4, 20))
    finding.refresh_from_db()
    assert (finding.state, open_line().kind) == (FindingState.OPEN, "put_right")


def test_two_clicks_say_it_once(ours: Scene, finding: Finding) -> None:
    assert overrule(ours, finding) == overrule(ours, finding, reason=f" {REASON} ")
    assert Overruling.objects.count() == 1


def test_a_second_thought_takes_the_place_of_the_first(ours: Scene, finding: Finding) -> None:
    first = overrule(ours, finding)
    overrule(ours, finding, priority="next_layup", due_back_on=date(2027, 10, 20))
    first.refresh_from_db()
    assert first.withdrawn_at is not None
    assert standing(finding) == ("next_layup", date(2027, 10, 20), True)


def test_withdrawn_it_lets_the_judgement_hold_again(ours: Scene, finding: Finding) -> None:
    judged = Assessment.objects.get()
    overruling = overrule(ours, finding)
    at = ours.at + timedelta(hours=2)
    overruling_withdraw(overruling=overruling, at=at)
    overruling_withdraw(overruling=overruling, at=at + timedelta(hours=1))
    overruling.refresh_from_db()
    assert overruling.withdrawn_at == at
    assert standing(finding) == (judged.priority, judged.due_back_on, False)
    assert (open_line().due_on, open_line().reason) == (judged.due_back_on, judged.reasons[0])
    finding.refresh_from_db()
    assert finding.state == FindingState.OPEN


def test_it_outlives_a_new_judgement(ours: Scene, finding: Finding) -> None:
    overrule(ours, finding)
    type(ours.component.component_class).objects.update(safety_role="rig")
    assert rejudge_yard(yard=ours.yard, at=ours.at + timedelta(days=1)) == 1
    assert Assessment.objects.count() == 2
    assert standing(finding) == ("watch", date(2027, 9, 1), True)
    finding.refresh_from_db()
    assert (finding.state, open_line().reason) == (FindingState.WATCHED, REASON)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"priority": "some day"}, "priority"),
        ({"due_back_on": date(2027, 3, 31)}, "due_back_on"),
        ({"due_back_on": date(2067, 4, 1)}, "due_back_on"),
        ({"reason": "  "}, "reason"),
        ({"reason": "x" * 2001}, "reason"),
    ],
    ids=["unknown priority", "a day that has passed", "a slip of the year", "no reason", "a long story"],
)
def test_what_makes_no_sense_is_refused(ours: Scene, finding: Finding, change: dict[str, Any], field: str) -> None:
    with pytest.raises(RefusedMany) as raised:
        overrule(ours, finding, **change)
    assert [refusal.field for refusal in raised.value.refusals] == [field]
    assert not Overruling.objects.exists()


def test_only_a_manager_of_the_yard_may(ours: Scene, theirs: Scene, finding: Finding) -> None:
    for other in (ours.technician, theirs.manager):
        with pytest.raises(Refused) as raised:
            overrule(ours, finding, by=other)
        assert raised.value.field == "by"


def test_what_has_ended_or_waits_for_its_judgement_cannot_be_overruled(ours: Scene, finding: Finding) -> None:
    finding_set_state(finding=finding, state="withdrawn", at=ours.at)
    ours.store(ours.finding())
    for one in Finding.objects.all():
        with pytest.raises(Refused) as raised:
            overrule(ours, one)
        assert raised.value.field == "finding"
