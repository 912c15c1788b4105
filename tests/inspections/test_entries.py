"""Taking entries: each gets its own answer, and is stored once."""

from datetime import date, timedelta
from typing import Any

import pytest

from inspections.models import Assessment, DueBack, Entry, EntryPhoto, Finding, Reading, SetAside
from inspections.models.findings import FindingState
from inspections.services.entries import MOST_ENTRIES, entries_submit
from inspections.services.inspections import inspection_close
from tests.factories import AssessmentFactory, ComponentFactory, DueBackFactory, SpotFactory
from tests.factories.inspections import made_id
from tests.inspections.scenes import Scene
from yard.models import OutboxRow, Spot
from yard.refusals import Refused
from yard.tag_codes import tag_check, tag_new

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

PHOTO = "ab" * 32


def outcomes(scene: Scene, *sheets: Any, **more: Any) -> list[str]:
    return [result.outcome for result in scene.submit(*sheets, **more)]


def places_refused(scene: Scene, sheet: Any, **more: Any) -> list[str]:
    (result,) = scene.submit(sheet, **more)
    assert result.outcome == "refused", result
    assert not Entry.objects.filter(pk=sheet["id"]).exists()
    return [refusal.field for refusal in result.refusals]


def why_aside(scene: Scene, sheet: Any, **more: Any) -> str:
    (result,) = scene.submit(sheet, **more)
    assert result.outcome == "set_aside", result
    row = SetAside.objects.get(yard=scene.yard, entry_id=sheet["id"])
    assert (row.sent, row.why, row.boat, row.author) == (sheet, result.why, scene.boat, scene.technician)
    assert not Entry.objects.filter(pk=sheet["id"]).exists()
    return result.why


def keys_waiting() -> set[str]:
    return set(OutboxRow.objects.filter(done_at__isnull=True).values_list("key", flat=True))


# --- stored ----------------------------------------------------------------------------------------


def test_a_finding_is_stored_with_all_that_was_said(ours: Scene) -> None:
    sheet = ours.finding(
        readings=[{"quantity": "moisture_pct", "value": "22.5", "unit": "pct", "wood_temperature_c": "8.5"}],
        water="rain", load="none", seal="partly", moves="no", sides="one", trend="grown", in_load_path=False,
        note="dark line", photos=[PHOTO], sequence=7,
    )  # fmt: skip
    ours.store(sheet)
    entry = Entry.objects.get(pk=sheet["id"])
    assert (entry.answers, entry.component, entry.author) == (ours.corners, ours.component, ours.technician)
    assert (entry.answer, entry.signs, str(entry.size_mm)) == ("finding", ["CRACK_WOOD"], "40.0")
    assert (entry.water, entry.load, entry.seal, entry.moves) == ("rain", "none", "partly", "no")
    assert (entry.sides, entry.trend, entry.in_load_path, entry.note) == ("one", "grown", False, "dark line")
    assert (entry.observed_at, entry.received_at, entry.sequence) == (ours.at, ours.at + timedelta(minutes=10), 7)
    reading = Reading.objects.get(entry=entry)
    assert (reading.quantity, str(reading.value), str(reading.wood_temperature_c)) == (
        "moisture_pct",
        "22.50",
        "8.5",
    )
    assert EntryPhoto.objects.get(entry=entry).sha256 == PHOTO


def test_a_finding_has_the_id_of_its_first_entry_and_is_to_be_judged(ours: Scene) -> None:
    sheet = ours.finding()
    ours.store(sheet)
    finding = Finding.objects.get()
    assert (str(finding.pk), str(finding.entry_id), finding.state) == (sheet["id"], sheet["id"], FindingState.OPEN)
    assert (finding.boat, finding.inspection, finding.component) == (ours.boat, ours.inspection, ours.component)
    assert str(finding.spot_id) == sheet["spot"]["id"]
    assert keys_waiting() == {f"assess:{sheet['id']}"}


def test_a_place_not_seen_is_to_be_judged_and_a_sound_one_is_not(ours: Scene) -> None:
    hidden = ours.not_seen()
    ours.store(ours.wet(), hidden)
    assert keys_waiting() == {f"assess:{hidden['id']}"}
    assert not Finding.objects.exists()


def test_something_elsewhere_is_stored_without_a_spot(ours: Scene) -> None:
    sheet = ours.finding()
    del sheet["check"], sheet["spot"]
    ours.store({**sheet, "elsewhere": "stem of the dinghy"})
    finding = Finding.objects.get()
    assert (finding.component, finding.spot, finding.entry.elsewhere) == (None, None, "stem of the dinghy")


def test_a_finding_outside_the_list_names_its_component(ours: Scene) -> None:
    sheet = ours.finding()
    del sheet["check"]
    ours.store({**sheet, "component": ours.component.pk})
    assert Finding.objects.get().component == ours.component


# --- spots -----------------------------------------------------------------------------------------


def test_a_new_spot_gets_a_tag_of_its_own(ours: Scene) -> None:
    ours.store(ours.finding())
    spot = Spot.objects.get()
    assert tag_check(spot.tag) == spot.tag
    assert (spot.name, spot.plan_x, spot.plan_y, spot.level) == ("lower aft corner", 410, 320, "deck")
    assert (spot.component, spot.yard) == (ours.component, ours.yard)


def test_a_scanned_sticker_is_the_new_spots_tag(ours: Scene) -> None:
    tag = tag_new()
    sheet = ours.finding()
    sheet["spot"]["tag"] = f"{tag[:4].lower()}-{tag[4:]}"
    ours.store(sheet)
    assert Spot.objects.get().tag == tag


def test_two_entries_may_speak_of_the_same_new_spot(ours: Scene) -> None:
    first, second = ours.finding(), ours.finding(ours.moisture)
    second["spot"] = {"id": first["spot"]["id"]}
    second["readings"] = [{"quantity": "moisture_pct", "value": 30, "unit": "pct"}]
    ours.store(first, second)
    assert Spot.objects.count() == 1
    assert Finding.objects.filter(spot=first["spot"]["id"]).count() == 2


def test_a_spot_that_is_there_is_named_by_its_id_alone(ours: Scene) -> None:
    spot = SpotFactory.create(component=ours.component)
    ours.store(ours.finding(spot={"id": str(spot.pk)}))
    assert Finding.objects.get().spot == spot


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"name": ""}, "spot.name"),
        ({"id": "4a1c7f8e-3f0e-4a71-9f0a-0d9f6f3f1b11"}, "spot.id"),
    ],
    ids=["no name", "id of another version"],
)
def test_a_new_spot_that_makes_no_sense_is_refused(ours: Scene, change: dict[str, str], place: str) -> None:
    sheet = ours.finding()
    sheet["spot"].update(change)
    assert places_refused(ours, sheet) == [place]
    assert not Spot.objects.exists()


def test_a_spot_elsewhere_is_refused(ours: Scene, theirs: Scene) -> None:
    other_component = ComponentFactory.create(
        boat=ours.boat, component_class=ours.component.component_class, name="other"
    )
    for spot in (SpotFactory.create(component=other_component), SpotFactory.create(component=theirs.component)):
        assert places_refused(ours, ours.finding(spot={"id": str(spot.pk), "name": "x"})) == ["spot.id"]


def test_a_tag_that_another_spot_carries_is_refused(ours: Scene) -> None:
    there = SpotFactory.create(component=ours.component)
    sheet = ours.finding()
    sheet["spot"]["tag"] = there.tag
    assert places_refused(ours, sheet) == ["spot.tag"]
    named = ours.finding(spot={"id": str(there.pk), "tag": tag_new()})
    assert places_refused(ours, named) == ["spot.tag"]


def test_the_same_tag_at_another_yard_is_no_matter(ours: Scene, theirs: Scene) -> None:
    there = SpotFactory.create(component=theirs.component)
    sheet = ours.finding()
    sheet["spot"]["tag"] = there.tag
    ours.store(sheet)
    assert Spot.objects.get(yard=ours.yard).tag == there.tag


def test_a_finding_at_a_check_without_a_spot_needs_one(ours: Scene) -> None:
    sheet = ours.finding()
    del sheet["spot"]
    assert places_refused(ours, sheet) == ["spot"]


# --- readings and what else the check says ----------------------------------------------------------


@pytest.mark.parametrize(
    ("reading", "place"),
    [
        ({"value": "3.9"}, "readings[0].value"),
        ({"value": "100.1"}, "readings[0].value"),
        ({"unit": "%"}, "readings[0].unit"),
        ({"quantity": "moisture_beside"}, "readings"),
    ],
    ids=["below", "above", "another unit", "another quantity"],
)
def test_a_reading_lies_in_the_checks_range(ours: Scene, reading: dict[str, str], place: str) -> None:
    sheet = ours.wet()
    sheet["readings"][0].update(reading)
    assert places_refused(ours, sheet) == [place]


@pytest.mark.parametrize("value", ["4", "100"])
def test_the_ends_of_the_range_are_in_it(ours: Scene, value: str) -> None:
    ours.store(ours.wet(value))


def test_a_check_that_asks_for_a_figure_is_not_answered_without_one(ours: Scene) -> None:
    assert places_refused(ours, ours.sound(ours.moisture)) == ["readings"]
    ours.store(ours.not_seen(ours.moisture))


def test_signs_of_other_yards_are_unknown(ours: Scene) -> None:
    assert places_refused(ours, ours.finding(signs=["CRACK_WOOD", "RUMOUR"])) == ["signs[1]"]


def test_components_of_other_boats_and_yards_are_refused(ours: Scene, theirs: Scene) -> None:
    other = ComponentFactory.create(boat__yard=ours.yard, component_class=ours.component.component_class)
    sheet = ours.sound()
    del sheet["check"]
    for component, problem in ((other, "another boat"), (theirs.component, "there is no component")):
        (result,) = ours.submit({**sheet, "component": component.pk})
        assert result.refusals[0].field == "component"
        assert problem in result.refusals[0].problem
        assert str(theirs.component) not in result.refusals[0].problem
    elsewhere = ComponentFactory.create(
        boat=ours.boat, component_class=ours.component.component_class, name="the other"
    )
    assert places_refused(ours, ours.sound(component=elsewhere.pk)) == ["component"]


@pytest.mark.parametrize(
    ("days", "refused"),
    [(2, False), (2.1, True), (-371, False), (-372, True)],
    ids=["two days ahead", "further ahead", "a year before the opening", "longer before"],
)
def test_a_clock_may_be_wrong_by_days_and_not_by_years(ours: Scene, days: float, refused: bool) -> None:
    moment = ours.at + timedelta(minutes=10) + timedelta(days=days)
    (result,) = ours.submit(ours.sound(observed_at=moment.isoformat()))
    assert [refusal.field for refusal in result.refusals] == (["observed_at"] if refused else [])


# --- the same again ---------------------------------------------------------------------------------


def test_the_same_batch_again_changes_nothing(ours: Scene) -> None:
    sheets = [ours.finding(photos=[PHOTO]), ours.wet(), ours.not_seen()]
    ours.store(*sheets)
    before = [model.objects.count() for model in (Entry, Reading, EntryPhoto, Finding, Spot, OutboxRow)]
    assert outcomes(ours, *sheets) == ["already_there"] * 3
    assert [model.objects.count() for model in (Entry, Reading, EntryPhoto, Finding, Spot, OutboxRow)] == before


def test_the_same_entry_twice_in_one_batch_is_stored_once(ours: Scene) -> None:
    sheet = ours.sound()
    assert outcomes(ours, sheet, sheet) == ["stored", "already_there"]
    assert Entry.objects.count() == 1


def test_the_same_id_with_other_words_is_refused_and_says_what_would_do(ours: Scene) -> None:
    sheet = ours.sound()
    ours.store(sheet)
    (result,) = ours.submit({**sheet, "note": "on second thoughts"})
    assert (result.outcome, result.refusals[0].field) == ("refused", "id")
    assert "supersedes" in result.refusals[0].remedy
    assert Entry.objects.get().note == ""


def test_an_id_of_another_yard_is_refused_without_a_word_about_it(ours: Scene, theirs: Scene) -> None:
    sheet = theirs.sound()
    theirs.store(sheet)
    (result,) = ours.submit({**ours.sound(), "id": sheet["id"]})
    assert (result.outcome, [refusal.field for refusal in result.refusals]) == ("refused", ["id"])
    assert Entry.objects.get().yard == theirs.yard


def test_one_slip_does_not_hold_up_the_rest(ours: Scene) -> None:
    good, bad = ours.sound(), ours.finding(signs=["RUMOUR"])
    results = ours.submit(good, bad, "no document", {"id": 5}, ours.wet())  # type: ignore[arg-type]
    assert [result.outcome for result in results] == ["stored", "refused", "refused", "refused", "stored"]
    assert [result.id for result in results] == [good["id"], bad["id"], "", "", results[4].id]
    assert Entry.objects.count() == 2
    assert not Spot.objects.exists()


def test_a_batch_has_an_end(ours: Scene) -> None:
    with pytest.raises(Refused) as raised:
        ours.submit(*[{}] * (MOST_ENTRIES + 1))
    assert raised.value.field == "entries"
    assert ours.submit() == []


# --- superseding ------------------------------------------------------------------------------------


def test_a_correction_keeps_the_finding_and_the_first_entry(ours: Scene) -> None:
    first = ours.finding()
    ours.store(first)
    second = ours.finding(size_mm="55", spot={"id": first["spot"]["id"]}, supersedes=first["id"])
    ours.store(second)
    finding = Finding.objects.get()
    assert (str(finding.pk), str(finding.entry_id)) == (first["id"], second["id"])
    assert Entry.objects.get(pk=first["id"]).size_mm == 40
    assert keys_waiting() == {f"assess:{first['id']}", f"assess:{second['id']}"}


@pytest.mark.parametrize("answer", ["sound", "not_seen", "not_fitted"])
def test_a_correction_that_finds_nothing_withdraws_the_finding(ours: Scene, answer: str) -> None:
    first = ours.finding()
    ours.store(first)
    finding = Finding.objects.get()
    line = DueBackFactory.create(finding=finding)
    assessment = AssessmentFactory.create(finding=finding)
    sheet = ours.not_seen() if answer == "not_seen" else ours.sound(answer=answer)
    ours.store({**sheet, "supersedes": first["id"]})
    for row in (finding, line, assessment):
        row.refresh_from_db()
    assert (finding.state, str(finding.entry_id)) == (FindingState.WITHDRAWN, sheet["id"])
    assert None not in (finding.ended_at, line.ended_at, assessment.superseded_at)
    assert f"propose:{ours.inspection.pk}" in keys_waiting()


def test_a_withdrawn_finding_comes_back_with_a_further_correction(ours: Scene) -> None:
    first = ours.finding()
    second = ours.sound(supersedes=first["id"])
    third = ours.finding(spot={"id": first["spot"]["id"]}, supersedes=second["id"])
    ours.store(first)
    ours.store(second)
    ours.store(third)
    finding = Finding.objects.get()
    assert (str(finding.pk), str(finding.entry_id), finding.state) == (first["id"], third["id"], FindingState.OPEN)
    assert finding.ended_at is None


def test_a_whole_chain_in_one_batch_ends_as_its_last_says(ours: Scene) -> None:
    first = ours.finding()
    second = ours.sound(supersedes=first["id"])
    third = ours.finding(spot={"id": first["spot"]["id"]}, size_mm="60", supersedes=second["id"])
    ours.store(first, second, third)
    finding = Finding.objects.get()
    assert (str(finding.entry_id), finding.state) == (third["id"], FindingState.OPEN)
    assert keys_waiting() == {f"assess:{third['id']}"}


def test_a_not_seen_that_was_seen_after_all_loses_its_line_and_judgement(ours: Scene) -> None:
    hidden = ours.not_seen()
    ours.store(hidden)
    entry = Entry.objects.get()
    line = DueBackFactory.create(
        finding=None, entry=entry, boat=ours.boat, component=ours.component, spot=None, set_at=ours.at
    )
    assessment = AssessmentFactory.create(finding=None, entry=entry, boat=ours.boat)
    ours.store(ours.sound(supersedes=hidden["id"]))
    assert DueBack.objects.get(pk=line.pk).ended_at is not None
    assert Assessment.objects.get(pk=assessment.pk).superseded_at is not None


def test_a_correction_may_move_to_the_place_that_was_meant(ours: Scene) -> None:
    first = ours.finding()
    ours.store(first)
    moved = ours.finding(ours.moisture, supersedes=first["id"])
    moved["readings"] = [{"quantity": "moisture_pct", "value": "31", "unit": "pct"}]
    ours.store(moved)
    finding = Finding.objects.get()
    assert (str(finding.spot_id), str(finding.entry_id)) == (moved["spot"]["id"], moved["id"])


def test_two_tablets_correcting_the_same_entry_are_both_kept(ours: Scene) -> None:
    first = ours.finding()
    ours.store(first)
    again = ours.finding(spot={"id": first["spot"]["id"]}, size_mm="50", supersedes=first["id"])
    nothing = ours.sound(supersedes=first["id"])
    ours.store(again)
    ours.store(nothing)
    finding = Finding.objects.get()
    assert (finding.state, str(finding.entry_id)) == (FindingState.OPEN, again["id"])
    assert Entry.objects.filter(supersedes=first["id"]).count() == 2


def test_what_was_verified_is_not_touched_by_a_late_correction(ours: Scene) -> None:
    first = ours.finding()
    ours.store(first)
    Finding.objects.update(state=FindingState.VERIFIED, ended_at=ours.at)
    second = ours.finding(spot={"id": first["spot"]["id"]}, supersedes=first["id"])
    ours.store(second)
    assert Finding.objects.get(pk=first["id"]).state == FindingState.VERIFIED
    assert Finding.objects.get(pk=second["id"]).state == FindingState.OPEN


def test_only_an_entry_of_this_inspection_can_be_superseded(ours: Scene, theirs: Scene) -> None:
    other = theirs.sound()
    theirs.store(other)
    for unknown in (other["id"], str(made_id(9_999_999))):
        (result,) = ours.submit(ours.sound(supersedes=unknown))
        assert (result.outcome, result.refusals[0].field) == ("refused", "supersedes")
        assert "there is no entry" in result.refusals[0].problem


# --- set aside --------------------------------------------------------------------------------------


def test_what_comes_after_the_closing_is_set_aside(ours: Scene) -> None:
    early = ours.sound()
    ours.store(early, ours.wet())
    inspection_close(inspection=ours.inspection, at=ours.at + timedelta(hours=1), by=ours.manager)
    late = ours.finding()
    assert "closed on 1 April 2027" in why_aside(ours, late, at=ours.at + timedelta(days=1))
    assert outcomes(ours, early, late) == ["already_there", "set_aside"]
    assert SetAside.objects.count() == 1


def test_a_check_that_is_not_there_and_a_part_taken_off_are_set_aside(ours: Scene) -> None:
    assert "no check" in why_aside(ours, {**ours.sound(), "check": 999_999_999})
    sheet = ours.sound()
    ours.component.removed_on = date(2027, 3, 30)
    ours.component.save()
    assert "taken out on 30 March 2027" in why_aside(ours, sheet)


def test_a_check_of_another_yard_is_as_unknown_as_any(ours: Scene, theirs: Scene) -> None:
    assert why_aside(ours, ours.sound(theirs.corners)) == f"the inspection has no check {theirs.corners.pk}"


def test_what_follows_something_set_aside_is_set_aside_too(ours: Scene) -> None:
    first = {**ours.sound(), "check": 999_999_999}
    why_aside(ours, first)
    assert "set aside itself" in why_aside(ours, ours.sound(supersedes=first["id"]))


def test_something_set_aside_keeps_its_words(ours: Scene) -> None:
    sheet = {**ours.sound(), "check": 999_999_999}
    why_aside(ours, sheet)
    (result,) = ours.submit({**sheet, "note": "other"})
    assert (result.outcome, result.refusals[0].field) == ("refused", "id")


def test_entries_go_by_the_members_yard_only(ours: Scene, theirs: Scene) -> None:
    from django.db import IntegrityError, transaction

    with pytest.raises(IntegrityError, match="another yard"), transaction.atomic():
        entries_submit(
            inspection=ours.inspection, author=theirs.technician, device=None, sheets=[ours.sound()], at=ours.at
        )
    assert not Entry.objects.exists()
