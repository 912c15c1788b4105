"""What the office makes of an entry that could not be placed."""

from datetime import date, timedelta
from typing import Any

import pytest

from inspections.models import Entry, Finding, SetAside
from inspections.services.inspections import inspection_close
from inspections.services.set_aside import set_aside_dismiss, set_aside_place
from tests.factories import ComponentFactory
from tests.inspections.scenes import Scene
from yard.models import OutboxRow
from yard.refusals import Refused

pytestmark = pytest.mark.django_db


def aside(scene: Scene, sheet: dict[str, Any]) -> SetAside:
    (result,) = scene.submit({**sheet, "check": 999_999_999})
    assert result.outcome == "set_aside"
    row: SetAside = SetAside.objects.get(entry_id=sheet["id"])
    return row


def test_it_is_placed_with_its_id_its_author_and_its_times(ours: Scene) -> None:
    sheet = ours.finding()
    row = aside(ours, sheet)
    later = ours.at + timedelta(days=3)
    entry = set_aside_place(
        set_aside=row, inspection=ours.inspection, check=ours.corners, by=ours.manager, at=later
    )
    assert (str(entry.pk), entry.author, entry.observed_at) == (sheet["id"], ours.technician, ours.at)
    assert (entry.received_at, entry.answers) == (later, ours.corners)
    assert Finding.objects.get().entry == entry
    assert OutboxRow.objects.filter(key=f"assess:{entry.pk}").exists()
    row.refresh_from_db()
    assert (row.settled_at, row.settled_by, "placed at" in row.settled_how) == (later, ours.manager, True)


def test_the_tablet_that_sends_it_again_hears_that_it_is_there(ours: Scene) -> None:
    sheet = ours.finding()
    row = aside(ours, sheet)
    set_aside_place(set_aside=row, inspection=ours.inspection, check=ours.corners, by=ours.manager, at=ours.at)
    (result,) = ours.submit({**sheet, "check": 999_999_999})
    assert result.outcome == "already_there"
    assert Entry.objects.count() == 1


def test_it_may_be_placed_on_a_component_beside_the_list(ours: Scene) -> None:
    row = aside(ours, ours.sound(note="dry"))
    entry = set_aside_place(
        set_aside=row, inspection=ours.inspection, component=ours.component, by=ours.manager, at=ours.at
    )
    assert (entry.answers, entry.component, entry.note) == (None, ours.component, "dry")


def test_what_it_took_the_place_of_is_kept_where_it_is_there(ours: Scene) -> None:
    first = ours.finding()
    ours.store(first)
    row = aside(ours, ours.sound(supersedes=first["id"]))
    set_aside_place(set_aside=row, inspection=ours.inspection, check=ours.corners, by=ours.manager, at=ours.at)
    assert Finding.objects.get().state == Finding.State.WITHDRAWN
    lost = aside(ours, ours.sound(supersedes=ours.new_id()))
    entry = set_aside_place(
        set_aside=lost, inspection=ours.inspection, check=ours.corners, by=ours.manager, at=ours.at
    )
    assert entry.supersedes is None


def refusal(scene: Scene, row: SetAside, **where: Any) -> str:
    with pytest.raises(Refused) as raised:
        set_aside_place(set_aside=row, **{"inspection": scene.inspection, **where}, by=scene.manager, at=scene.at)
    row.refresh_from_db()
    return raised.value.field


def test_it_is_refused_where_it_does_not_fit(ours: Scene) -> None:
    row = aside(ours, ours.sound())
    assert refusal(ours, row) == "check"
    assert refusal(ours, row, check=ours.moisture) == "readings"
    gone = ComponentFactory.create(
        boat=ours.boat, component_class=ours.component.component_class, removed_on=date(2027, 1, 1), name="gone"
    )
    assert refusal(ours, row, component=gone) == "inspection"
    assert row.settled_at is None
    assert not Entry.objects.exists()


def test_the_office_places_what_came_after_the_closing(ours: Scene) -> None:
    ours.store(ours.sound(), ours.wet())
    inspection_close(inspection=ours.inspection, at=ours.at, by=ours.manager)
    late = ours.finding()
    (result,) = ours.submit(late)
    assert result.outcome == "set_aside"
    row = SetAside.objects.get(entry_id=late["id"])
    set_aside_place(set_aside=row, inspection=ours.inspection, check=ours.corners, by=ours.manager, at=ours.at)
    assert Finding.objects.get().entry_id == Entry.objects.get(answer="finding").pk


def test_it_is_let_go_with_a_reason_once(ours: Scene) -> None:
    row = aside(ours, ours.sound())
    with pytest.raises(Refused) as raised:
        set_aside_dismiss(set_aside=row, reason=" ", by=ours.manager, at=ours.at)
    assert raised.value.field == "reason"
    set_aside_dismiss(set_aside=row, reason="recorded twice", by=ours.manager, at=ours.at)
    with pytest.raises(Refused):
        set_aside_dismiss(set_aside=row, reason="again", by=ours.manager, at=ours.at)
    assert refusal(ours, row, check=ours.corners) == "set_aside"
    assert row.settled_how == "recorded twice"
    (result,) = ours.submit(row.sent)
    assert result.outcome == "set_aside"


def test_the_inspection_of_another_yard_is_not_to_be_had(ours: Scene, theirs: Scene) -> None:
    from inspections.models import Inspection

    row = aside(ours, ours.sound())
    with pytest.raises(Inspection.DoesNotExist):
        set_aside_place(
            set_aside=row, inspection=theirs.inspection, check=theirs.corners, by=ours.manager, at=ours.at
        )
