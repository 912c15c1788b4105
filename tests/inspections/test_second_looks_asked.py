"""A manager asks the technician back: a check on the tablet, whose answer takes the place of what was doubted."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from inspections.models import Assessment, Check, DueBack, Finding, SecondLookAsk
from inspections.models.inspections import CheckOrigin
from inspections.selectors.route import route_of
from inspections.services.findings import finding_set_state
from inspections.services.inspections import inspection_close, inspection_open
from inspections.services.second_look_asks import asks_not_answered, second_look_ask, second_look_withdraw
from tests.inspections.scenes import Scene
from yard.outbox import drain
from yard.refusals import Refused, RefusedMany

pytestmark = pytest.mark.django_db


def found(scene: Scene, **more: Any) -> Finding:
    sheet = scene.finding(**{"sides": "both", **more})
    scene.store(sheet)
    drain(now=scene.at + timedelta(minutes=20))
    return Finding.objects.get(pk=sheet["id"])


def ask(scene: Scene, finding: Finding, note: str = "Probe it from below, too.") -> SecondLookAsk:
    return second_look_ask(finding=finding, note=note, by=scene.manager, at=scene.at + timedelta(minutes=30))


def check_of(asked: SecondLookAsk) -> Check:
    asked.refresh_from_db()
    assert asked.asked_as is not None
    return asked.asked_as


def again(scene: Scene, asked: SecondLookAsk, answer: str = "finding", **more: Any) -> dict[str, Any]:
    sheet = {**scene.sound(check_of(asked)), "answer": answer, **more}
    scene.store(sheet, at=scene.at + timedelta(minutes=40))
    drain(now=scene.at + timedelta(minutes=50))
    return sheet


def test_it_is_a_check_of_the_open_inspection_and_holds_its_closing(ours: Scene) -> None:
    finding = found(ours, sides="one", signs=["SOFT_PROBE"])
    assert len(route_of(ours.inspection, ours.at).look_again) == 1
    asked = ask(ours, finding)
    check = check_of(asked)
    assert (check.origin, check.spot) == (CheckOrigin.SECOND_LOOK, finding.spot)
    assert "40 mm; asked for a second look by" in check.prompt
    assert check.look_for.startswith(f"{ours.manager.name} asks: Probe it from below, too.")
    stops = [stop.check.pk for leg in route_of(ours.inspection, ours.at).legs for stop in leg.stops]
    assert check.pk in stops
    assert route_of(ours.inspection, ours.at).look_again == ()
    ours.store(ours.wet())
    with pytest.raises(RefusedMany) as raised:
        inspection_close(inspection=ours.inspection, at=ours.at + timedelta(hours=1), by=None)
    assert [single.field for single in raised.value.refusals] == [f"checks.{check.pk}"]
    assert ask(ours, finding) == asked  # the same again
    with pytest.raises(Refused, match="has asked already"):
        ask(ours, finding, "Something else.")


def test_the_first_answer_tells_the_same_finding_anew_and_no_second_one(ours: Scene) -> None:
    finding = found(ours)
    asked = ask(ours, finding)
    sheet = again(ours, asked, signs=["SOFT_PROBE"], size_mm="55")
    finding.refresh_from_db()
    assert (str(finding.entry_id), finding.state) == (sheet["id"], Finding.State.OPEN)
    assert Finding.objects.count() == 1
    judged = Assessment.objects.get(finding=finding, superseded_at=None)
    assert (str(judged.entry_id), judged.condition) == (sheet["id"], "decay")
    assert DueBack.objects.filter(finding=finding, ended_at=None).count() == 1
    assert not asks_not_answered([finding.pk])
    # The first look keeps its answer to the template's question, and another sign there is a finding of its own.
    again(ours, asked, signs=["CRACK_WOOD"])
    assert Finding.objects.count() == 2
    ours.store(ours.wet())
    inspection_close(inspection=ours.inspection, at=ours.at + timedelta(hours=1), by=None)


def test_what_the_second_look_finds_sound_is_withdrawn_and_what_it_could_not_see_stays(ours: Scene) -> None:
    finding = found(ours)
    first = finding.entry_id
    asked = ask(ours, finding)
    unseen = again(ours, asked, "not_seen", not_seen_reason="tide was in")
    finding.refresh_from_db()
    assert (finding.entry_id, finding.state) == (first, Finding.State.OPEN)
    sound = again(ours, asked, "sound", supersedes=unseen["id"])
    finding.refresh_from_db()
    assert (str(finding.entry_id), finding.state) == (sound["id"], Finding.State.WITHDRAWN)
    assert not DueBack.objects.filter(finding=finding, ended_at=None).exists()
    again(ours, asked, "not_seen", not_seen_reason="wrong place", supersedes=sound["id"])
    finding.refresh_from_db()
    assert (finding.entry_id, finding.state) == (first, Finding.State.OPEN)
    assert DueBack.objects.filter(finding=finding, ended_at=None).count() == 1


def test_between_inspections_it_waits_for_the_next_one(ours: Scene) -> None:
    finding = found(ours)
    ours.store(ours.wet())
    inspection_close(inspection=ours.inspection, at=ours.at + timedelta(minutes=15), by=None)
    asked = ask(ours, finding)
    assert asked.asked_as is None
    following = inspection_open(boat=ours.boat, season_year=2028, at=ours.at + timedelta(days=360), by=None)
    check = check_of(asked)
    assert (check.inspection, check.origin) == (following, CheckOrigin.SECOND_LOOK)
    assert "asks: Probe it from below, too." in check.look_for
    assert following.checks.filter(spot=finding.spot).count() == 1


def test_a_spot_that_is_asked_about_anyway_is_asked_about_once(ours: Scene) -> None:
    finding = found(ours)
    ours.store(ours.wet())
    inspection_close(inspection=ours.inspection, at=ours.at + timedelta(minutes=15), by=None)
    following = inspection_open(boat=ours.boat, season_year=2028, at=ours.at + timedelta(days=360), by=None)
    (before,) = following.checks.filter(spot=finding.spot)
    asked = ask(ours, finding)
    check = check_of(asked)
    assert (check.pk, check.origin) == (before.pk, CheckOrigin.SECOND_LOOK)
    assert "asks: Probe it from below, too." in check.look_for
    second_look_withdraw(ask=asked, by=ours.manager, at=ours.at)
    check.refresh_from_db()
    assert (check.origin, check.prompt, check.look_for) == (before.origin, before.prompt, before.look_for)
    at = ours.at + timedelta(days=361)
    ours.store({**ours.sound(check), "observed_at": at.isoformat()}, inspection=following, at=at)
    with pytest.raises(Refused, match="looked at again in 2028"):
        ask(ours, finding)


def test_it_is_taken_back_with_its_check_until_somebody_has_looked(ours: Scene) -> None:
    finding = found(ours)
    asked = second_look_withdraw(ask=ask(ours, finding), by=ours.manager, at=ours.at)
    assert not Check.objects.filter(origin=CheckOrigin.SECOND_LOOK).exists()
    assert second_look_withdraw(ask=asked, by=ours.technician, at=ours.at).withdrawn_by == ours.manager
    anew = ask(ours, finding)
    again(ours, anew, signs=["CRACK_WOOD"])
    with pytest.raises(Refused, match="looked already"):
        second_look_withdraw(ask=anew, by=ours.manager, at=ours.at)


def test_it_is_refused_where_there_is_no_place_to_look_at(ours: Scene) -> None:
    repaired = finding_set_state(finding=found(ours), state=Finding.State.REPAIRED, at=ours.at)
    with pytest.raises(Refused, match="waits to be verified"):
        ask(ours, repaired)
    sheet = ours.finding(check=None, component=None, spot=None, elsewhere="under the cradle")
    ours.store(sheet)
    with pytest.raises(Refused, match="no spot"):
        ask(ours, Finding.objects.get(spot=None))
    with pytest.raises(Refused, match="note"):
        ask(ours, Finding.objects.get(spot=None), "  ")
