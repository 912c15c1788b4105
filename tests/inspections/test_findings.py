"""The states of a finding, and the lines of the due-back book."""

import itertools
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inspections.models import DueBack, Finding
from inspections.models.findings import FindingState
from inspections.services.due_back import due_back_end, due_back_set
from inspections.services.findings import MAY_BECOME, finding_set_state
from tests.factories import DueBackFactory, EntryFactory, FindingFactory
from tests.inspections.scenes import Scene
from yard.refusals import Refused

pytestmark = pytest.mark.django_db

ALLOWED = sorted((state, after) for state, afters in MAY_BECOME.items() for after in afters)
REFUSED = [
    (state, after)
    for state, after in itertools.product(FindingState, FindingState)
    if after not in MAY_BECOME[state] and after != state
]


def finding_in(scene: Scene, state: FindingState) -> Finding:
    return FindingFactory.create(spot__component=scene.component, inspection=scene.inspection, state=state)


@pytest.mark.parametrize(("state", "after"), ALLOWED, ids=str)
def test_a_state_that_may_follow_does(ours: Scene, state: FindingState, after: FindingState) -> None:
    finding = finding_in(ours, state)
    line = DueBackFactory.create(finding=finding)
    at = ours.at + timedelta(days=2)
    changed = finding_set_state(finding=finding, state=after, at=at)
    line.refresh_from_db()
    ended = after in Finding.ENDED
    assert (changed.state, changed.ended_at) == (after, at if ended else None)
    assert line.ended_at == (at if ended else None)


@pytest.mark.parametrize(("state", "after"), REFUSED, ids=str)
def test_a_state_that_may_not_follow_is_refused(ours: Scene, state: FindingState, after: FindingState) -> None:
    finding = finding_in(ours, state)
    with pytest.raises(Refused) as raised:
        finding_set_state(finding=finding, state=after, at=ours.at)
    assert raised.value.field == "state"
    finding.refresh_from_db()
    assert finding.state == state


@pytest.mark.parametrize("state", FindingState)
def test_the_same_state_again_changes_nothing(ours: Scene, state: FindingState) -> None:
    finding = finding_in(ours, state)
    ended_at = finding.ended_at
    again = finding_set_state(finding=finding, state=state.value, at=ours.at + timedelta(days=9))
    assert (again.state, again.ended_at) == (state, ended_at)


def test_a_state_that_is_none_is_refused(ours: Scene) -> None:
    with pytest.raises(Refused, match="give one of: open"):
        finding_set_state(finding=finding_in(ours, FindingState.OPEN), state="mended", at=ours.at)


@given(states=st.lists(st.sampled_from(list(FindingState)), max_size=8))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_asked_an_ended_finding_stays_ended(ours: Scene, states: list[FindingState]) -> None:
    finding = finding_in(ours, FindingState.OPEN)
    ended: FindingState | None = None
    for state in states:
        try:
            now = FindingState(finding_set_state(finding=finding, state=state, at=ours.at).state)
        except Refused:
            now = FindingState(Finding.objects.get(pk=finding.pk).state)
        if ended is not None:
            assert now == ended
        if now in Finding.ENDED:
            ended = now


# --- the due-back book ---------------------------------------------------------------------------------


def test_another_day_is_another_line_and_the_same_day_is_not(ours: Scene) -> None:
    finding = finding_in(ours, FindingState.OPEN)
    say: dict[str, Any] = {"finding": finding, "kind": "put_right", "reason": "Water has a way in."}
    first = due_back_set(due_on=date(2027, 5, 3), at=ours.at, **say)
    assert due_back_set(due_on=date(2027, 5, 3), at=ours.at + timedelta(days=1), **say) == first
    second = due_back_set(due_on=date(2027, 6, 1), at=ours.at + timedelta(days=2), **say)
    first.refresh_from_db()
    assert (first.ended_at, second.ended_at) == (ours.at + timedelta(days=2), None)
    assert (second.boat, second.component, second.spot) == (ours.boat, finding.component, finding.spot)
    assert DueBack.objects.count() == 2


def test_a_line_may_stand_for_a_place_not_seen(ours: Scene) -> None:
    entry = EntryFactory.create(component=ours.component, inspection=ours.inspection, answer="not_seen")
    line = due_back_set(
        entry=entry, due_on=date(2027, 5, 3), kind="open_up", reason="Nobody has seen it.", at=ours.at
    )
    assert (line.entry, line.finding, line.boat) == (entry, None, ours.boat)
    assert due_back_end(entry=entry, at=ours.at) == 1
    assert due_back_end(entry=entry, at=ours.at) == 0


def test_a_line_has_a_reason_and_stands_for_one_thing(ours: Scene) -> None:
    finding = finding_in(ours, FindingState.OPEN)
    with pytest.raises(Refused):
        due_back_set(finding=finding, due_on=date(2027, 5, 3), kind="put_right", reason=" ", at=ours.at)
    with pytest.raises(ValueError, match="for a finding, for an entry or for a surface"):
        due_back_set(due_on=date(2027, 5, 3), kind="put_right", reason="Because.", at=ours.at)
    with pytest.raises(ValueError, match="for a finding, for an entry or for a surface"):
        due_back_end(finding=finding, entry=finding.entry, at=ours.at)
