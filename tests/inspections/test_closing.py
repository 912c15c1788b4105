"""Closing an inspection: what must be there first, and what of earlier years it ends."""

from datetime import timedelta
from typing import Any

import pytest

from inspections.models import Assessment, Check, DueBack, Finding, Inspection
from inspections.models.findings import FindingState
from inspections.services.inspections import inspection_close, inspection_open
from inspections.services.photos import photo_receive
from tests.factories import AssessmentFactory, DueBackFactory, FindingFactory, PhotoFactory
from tests.factories.inspections import picture
from tests.inspections.scenes import Scene
from yard.refusals import RefusedMany

pytestmark = pytest.mark.django_db

PHOTO = "ab" * 32


def close(scene: Scene, inspection: Inspection | None = None, days: float = 1) -> Inspection:
    one = inspection or scene.inspection
    return inspection_close(inspection=one, at=one.opened_at + timedelta(days=5 + days), by=scene.manager)


def refused(scene: Scene) -> list[str]:
    with pytest.raises(RefusedMany) as raised:
        close(scene)
    scene.inspection.refresh_from_db()
    assert scene.inspection.closed_at is None
    return [refusal.field for refusal in raised.value.refusals]


def test_it_closes_when_all_is_answered(ours: Scene) -> None:
    ours.store(ours.sound(), ours.wet())
    closed = close(ours)
    assert (closed.closed_at, closed.closed_by) == (closed.opened_at + timedelta(days=6), ours.manager)


def test_not_seen_and_not_fitted_are_answers(ours: Scene) -> None:
    ours.store(ours.not_seen(), ours.sound(ours.moisture, answer="not_fitted"))
    assert close(ours).closed_at is not None


def test_every_unanswered_check_is_named(ours: Scene) -> None:
    assert refused(ours) == [f"checks.{ours.corners.pk}", f"checks.{ours.moisture.pk}"]
    ours.store(ours.sound())
    assert refused(ours) == [f"checks.{ours.moisture.pk}"]


def test_a_check_whose_only_answer_was_moved_elsewhere_is_unanswered(ours: Scene) -> None:
    first = ours.sound()
    ours.store(first, ours.wet())
    moved = ours.wet("20", supersedes=first["id"])
    ours.store(moved)
    assert refused(ours) == [f"checks.{ours.corners.pk}"]


def test_answers_of_another_inspection_are_none_of_this(ours: Scene, theirs: Scene) -> None:
    theirs.store(theirs.sound(), theirs.wet())
    assert len(refused(ours)) == 2


def test_a_photo_that_is_named_must_have_arrived(ours: Scene) -> None:
    ours.store(ours.sound(photos=[PHOTO]), ours.wet())
    assert refused(ours) == [f"photos.{PHOTO}"]
    PhotoFactory.create(yard=ours.yard, sha256=PHOTO)
    assert close(ours).closed_at is not None


def test_the_photo_of_another_yard_does_not_count(ours: Scene, theirs: Scene) -> None:
    PhotoFactory.create(yard=theirs.yard, sha256=PHOTO)
    ours.store(ours.sound(photos=[PHOTO]), ours.wet())
    assert refused(ours) == [f"photos.{PHOTO}"]


def test_a_photo_that_cannot_be_prepared_has_arrived_all_the_same(ours: Scene) -> None:
    PhotoFactory.create(yard=ours.yard, sha256=PHOTO, state="broken")
    ours.store(ours.sound(photos=[PHOTO]), ours.wet())
    assert close(ours).closed_at is not None


def test_a_lost_photo_is_let_go_by_a_new_entry_without_it(ours: Scene) -> None:
    first = ours.sound(photos=[PHOTO])
    ours.store(first, ours.wet())
    ours.store(ours.sound(supersedes=first["id"], note="photo lost"))
    assert close(ours).closed_at is not None


def test_everything_missing_is_named_in_one_go(ours: Scene) -> None:
    ours.store(ours.sound(photos=[PHOTO]))
    assert refused(ours) == [f"checks.{ours.moisture.pk}", f"photos.{PHOTO}"]


def test_closed_twice_is_closed(ours: Scene) -> None:
    ours.store(ours.sound(), ours.wet())
    first = close(ours)
    again = close(ours, days=9)
    assert again.closed_at == first.closed_at


def test_a_real_photo_sent_late_lets_it_close(ours: Scene) -> None:
    import hashlib

    data = picture()
    sha256 = hashlib.sha256(data).hexdigest()
    ours.store(ours.sound(photos=[sha256]), ours.wet())
    assert refused(ours) == [f"photos.{sha256}"]
    photo_receive(yard=ours.yard, sha256=sha256, data=data, by=ours.technician, at=ours.at)
    assert close(ours).closed_at is not None


# --- what it ends of earlier years -------------------------------------------------------------------


def last_years(scene: Scene, state: FindingState, **more: Any) -> Finding:
    """A finding of this year's inspection, which is last year's for the one that is opened next."""
    finding = FindingFactory.create(
        spot__component=scene.component, inspection=scene.inspection, state=state, **more
    )
    DueBackFactory.create(finding=finding)
    return finding


def answer_all(scene: Scene, inspection: Inspection, at_spot: dict[str, Any]) -> None:
    """Answer every check of an inspection; those taken over as given."""
    when = inspection.opened_at + timedelta(days=5)
    for check in Check.objects.filter(inspection=inspection):
        sheet: dict[str, Any]
        if check.origin != "template":
            sheet = scene.sound(check, **at_spot)
        elif check.answer_kind == "reading":
            sheet = scene.sound(check, readings=[{"quantity": "moisture_pct", "value": "15", "unit": "pct"}])
        else:
            sheet = scene.sound(check)
        sheet["observed_at"] = when.isoformat()
        scene.store(sheet, inspection=inspection, at=when)


FOUND = {"answer": "finding", "signs": ["CRACK_WOOD"], "size_mm": "55"}
UNSEEN = {"answer": "not_seen", "not_seen_reason": "under the tank"}
SOUND: dict[str, str] = {}


@pytest.mark.parametrize(
    ("state", "answer", "after"),
    [
        (FindingState.OPEN, SOUND, FindingState.SEEN_AGAIN),
        (FindingState.WATCHED, SOUND, FindingState.SEEN_AGAIN),
        (FindingState.WATCHED, FOUND, FindingState.SEEN_AGAIN),
        (FindingState.DECLINED, FOUND, FindingState.SEEN_AGAIN),
        (FindingState.DEFERRED, FOUND, FindingState.SEEN_AGAIN),
        (FindingState.DEFERRED, {"answer": "not_fitted"}, FindingState.SEEN_AGAIN),
        (FindingState.WATCHED, UNSEEN, FindingState.WATCHED),
        (FindingState.HELD, FOUND, FindingState.HELD),
        (FindingState.HELD, SOUND, FindingState.HELD),
        (FindingState.REPAIRED, SOUND, FindingState.REPAIRED),
        (FindingState.REPAIRED, FOUND, FindingState.SEEN_AGAIN),
    ],
    ids=[
        "open, sound now", "watched, sound now", "watched, there still", "declined, there still",
        "put off, there still", "put off, gone now", "watched, not seen now", "held, there still",
        "held, sound now", "repaired, sound now", "repaired, open again",
    ],
)  # fmt: skip
def test_a_look_at_its_spot_ends_an_earlier_finding(
    ours: Scene, state: FindingState, answer: dict[str, Any], after: FindingState
) -> None:
    finding = last_years(ours, state)
    inspection = inspection_open(
        boat=ours.boat, season_year=2028, at=ours.at + timedelta(days=340), by=ours.manager
    )
    answer_all(ours, inspection, answer)
    finding.refresh_from_db()
    assert finding.state == state  # until the inspection is closed, an answer can be taken back
    closed = close(ours, inspection)
    finding.refresh_from_db()
    assert finding.state == after
    assert finding.ended_at == (closed.closed_at if after == FindingState.SEEN_AGAIN else None)
    # Where something was found again, the new finding's line stands for the held one too.
    keeps_line = after == state and answer is not FOUND
    assert DueBack.objects.filter(finding=finding, ended_at__isnull=True).exists() == keeps_line


def test_the_look_that_a_verification_asked_for_ends_its_line(ours: Scene) -> None:
    finding = last_years(ours, FindingState.VERIFIED)
    inspection = inspection_open(boat=ours.boat, season_year=2028, at=ours.at + timedelta(days=340), by=None)
    answer_all(ours, inspection, SOUND)
    close(ours, inspection)
    assert not DueBack.objects.filter(finding=finding, ended_at__isnull=True).exists()
    assert Finding.objects.get(pk=finding.pk).state == FindingState.VERIFIED


def test_a_place_seen_now_ends_the_line_of_when_it_was_not(ours: Scene) -> None:
    ours.store(ours.not_seen(), ours.wet())
    entry = ours.inspection.entries.get(answer="not_seen")
    line = DueBackFactory.create(
        finding=None, entry=entry, boat=ours.boat, component=ours.component, spot=None, set_at=ours.at
    )
    judged = AssessmentFactory.create(finding=None, entry=entry, boat=ours.boat)
    close(ours)
    line.refresh_from_db()
    assert line.ended_at is None
    inspection = inspection_open(boat=ours.boat, season_year=2028, at=ours.at + timedelta(days=340), by=None)
    answer_all(ours, inspection, SOUND)
    closed = close(ours, inspection)
    assert DueBack.objects.get(pk=line.pk).ended_at == closed.closed_at
    assert Assessment.objects.get(pk=judged.pk).superseded_at == closed.closed_at


def test_closing_ends_nothing_of_another_boat(ours: Scene, theirs: Scene) -> None:
    finding = last_years(theirs, FindingState.WATCHED)
    ours.store(ours.sound(), ours.wet())
    close(ours)
    finding.refresh_from_db()
    assert finding.state == FindingState.WATCHED
