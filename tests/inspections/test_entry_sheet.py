"""One entry as a tablet sends it: what is read, what is refused, and when two of them are the same."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.services import entry_sheet
from tests.factories.inspections import made_id
from yard.refusals import Refused

ID, SPOT_ID, OTHER_ID = (str(made_id(number)) for number in (1, 2, 3))
PHOTO = "ab" * 32

FINDING: dict[str, Any] = {
    "id": ID,
    "check": 12,
    "spot": {"id": SPOT_ID, "name": "lower aft corner", "plan_x": 400, "plan_y": 300, "level": "deck"},
    "answer": "finding",
    "signs": ["CRACK_WOOD", "GAP_JOINT"],
    "size_mm": "40.5",
    "readings": [{"quantity": "moisture_pct", "value": "22.5", "unit": "pct", "wood_temperature_c": "8.5"}],
    "water": "rain",
    "load": "none",
    "seal": "partly",
    "moves": "no",
    "sides": "one",
    "trend": "grown",
    "in_load_path": False,
    "note": "dark line,\nfollows the joint",
    "photos": [PHOTO],
    "observed_at": "2027-04-01T08:30:00+02:00",
    "sequence": 7,
    "supersedes": OTHER_ID,
}


def but(**changes: Any) -> dict[str, Any]:
    return {**FINDING, **changes}


def without(*names: str) -> dict[str, Any]:
    return {name: value for name, value in FINDING.items() if name not in names}


def places_refused(document: object) -> list[str]:
    with pytest.raises(Refused) as raised:
        entry_sheet.read(document)
    for refusal in raised.value.refusals:
        assert refusal.problem
        assert refusal.remedy
    return [refusal.field for refusal in raised.value.refusals]


def test_a_full_sheet_is_read() -> None:
    sheet = entry_sheet.read(FINDING)
    assert (str(sheet.id), sheet.check, sheet.answer, sheet.signs) == (
        ID,
        12,
        "finding",
        ("CRACK_WOOD", "GAP_JOINT"),
    )
    assert sheet.spot is not None
    assert (sheet.spot.name, sheet.spot.plan_x, sheet.spot.level) == ("lower aft corner", 400, "deck")
    assert (str(sheet.size_mm), str(sheet.readings[0].value), sheet.in_load_path) == ("40.5", "22.5", False)
    assert sheet.observed_at.isoformat() == "2027-04-01T06:30:00+00:00"


@pytest.mark.parametrize(
    ("document", "places"),
    [
        (but(id="4a1c7f8e-3f0e-4a71-9f0a-0d9f6f3f1b11"), ["id"]),
        (without("id"), ["id"]),
        (but(answer="perhaps"), ["answer"]),
        (without("answer"), ["answer"]),
        (without("observed_at"), ["observed_at"]),
        (but(observed_at="2027-04-01T08:30:00"), ["observed_at"]),
        (but(observed_at="1969-12-31T23:59:59Z"), ["observed_at"]),
        (without("check"), ["component"]),
        (but(elsewhere="the dinghy"), ["elsewhere", "spot"]),
        (without("signs"), ["signs"]),
        ({**without("check", "spot"), "component": 3}, ["spot"]),
        (but(answer="sound"), ["signs", "size_mm"]),
        (but(answer="not_fitted"), ["signs", "size_mm"]),
        (but(answer="not_seen"), ["not_seen_reason", "size_mm"]),
        (but(not_seen_reason="sole down"), ["not_seen_reason"]),
        (but(size_mm=-1), ["size_mm"]),
        (but(size_mm="100000.1"), ["size_mm"]),
        (but(size_mm="12.34"), ["size_mm"]),
        (but(signs=["CRACK_WOOD", "CRACK_WOOD"]), ["signs[1]"]),
        (but(water="drizzle"), ["water"]),
        (but(load="heavy"), ["load"]),
        (but(seal="mostly"), ["seal"]),
        (but(moves="a bit"), ["moves"]),
        (but(sides="three"), ["sides"]),
        (but(trend="worse"), ["trend"]),
        (but(in_load_path="yes"), ["in_load_path"]),
        (but(note="x" * 4001), ["note"]),
        (but(note="a\x00b"), ["note"]),
        (but(photos=["abc"]), ["photos[0]"]),
        (but(photos=[PHOTO, PHOTO.upper()]), ["photos[1]"]),
        (but(photos=PHOTO), ["photos"]),
        (but(sequence=-1), ["sequence"]),
        (but(supersedes=ID), ["supersedes"]),
        (but(supersedes="the last one"), ["supersedes"]),
        (but(check="12"), ["check"]),
        (but(check=0), ["check"]),
        (but(spot={"name": "no id"}), ["spot.id"]),
        (but(spot={"id": SPOT_ID, "plan_x": 400}), ["spot.plan_y"]),
        (but(spot={"id": SPOT_ID, "plan_x": 1001, "plan_y": 0}), ["spot.plan_x"]),
        (but(spot={"id": SPOT_ID, "level": "attic"}), ["spot.level"]),
        (but(spot={"id": SPOT_ID, "tag": "0000-0000"}), ["spot.tag"]),
        (but(spot=SPOT_ID), ["spot"]),
        (but(readings=[{"quantity": "moisture_pct", "value": "121", "unit": "pct"}]), ["readings[0].value"]),
        (but(readings=[{"quantity": "moisture_pct", "value": "12", "unit": "ohm"}]), ["readings[0].unit"]),
        (but(readings=[{"quantity": "play_mm", "value": "wide", "unit": "mm"}]), ["readings[0].value"]),
        (but(readings=[{"value": "1", "unit": "mm"}]), ["readings[0].quantity"]),
        (
            but(readings=[{"quantity": "play_mm", "value": 1, "unit": "mm", "wood_temperature_c": 81}]),
            ["readings[0].wood_temperature_c"],
        ),
        (but(colour="red"), ["colour"]),
        ([], [""]),
        ("sound", [""]),
        ({}, ["id", "answer", "observed_at", "component"]),
    ],
    ids=lambda value: "" if not isinstance(value, list) else ",".join(value) or "document",
)
def test_what_is_wrong_is_refused_by_name(document: object, places: list[str]) -> None:
    assert places_refused(document) == places


@pytest.mark.parametrize(
    "document",
    [
        {"id": ID, "elsewhere": "stem of the dinghy", "answer": "finding", "signs": ["CRACK_WOOD"]},
        {"id": ID, "check": 12, "answer": "not_seen", "not_seen_reason": "sole down", "signs": ["NOT_SEEN"]},
        {"id": ID, "component": 3, "answer": "not_fitted"},
        {"id": ID, "check": 12, "answer": "finding", "signs": ["CRACK_WOOD"]},
    ],
    ids=["elsewhere", "not seen with its sign", "a whole component", "the check may say which spot"],
)
def test_short_sheets_that_say_enough_are_read(document: dict[str, Any]) -> None:
    assert entry_sheet.read({**document, "observed_at": "2027-04-01T08:30:00Z"}).id == made_id(1)


SAME = [
    but(size_mm=40.5),
    but(size_mm="40.50"),
    but(observed_at="2027-04-01T06:30:00Z"),
    but(note="  dark line,\r\nfollows the joint "),
    but(photos=[PHOTO.upper()]),
    but(elsewhere="", not_seen_reason=None),
    dict(reversed(FINDING.items())),
]
OTHER = [
    but(size_mm="40.6"),
    but(note="dark line, follows the joint"),
    but(in_load_path=True),
    without("in_load_path"),
    but(signs=["GAP_JOINT", "CRACK_WOOD"]),
    but(photos=[]),
    but(sequence=8),
    but(observed_at="2027-04-01T06:30:01Z"),
]


@pytest.mark.parametrize("document", SAME)
def test_the_same_words_written_otherwise_have_the_same_digest(document: dict[str, Any]) -> None:
    assert entry_sheet.read(document).digest() == entry_sheet.read(FINDING).digest()


@pytest.mark.parametrize("document", OTHER)
def test_other_words_have_another_digest(document: dict[str, Any]) -> None:
    assert entry_sheet.read(document).digest() != entry_sheet.read(FINDING).digest()


values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12) | st.just(ID) | st.just("sound"),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)


@given(st.dictionaries(st.sampled_from(list(FINDING)), values))
def test_a_crooked_sheet_is_refused_and_nothing_else(changes: dict[str, object]) -> None:
    document = {**FINDING, **changes}
    try:
        sheet = entry_sheet.read(document)
    except Refused:
        places_refused(document)
        return
    assert len(sheet.digest()) == 64
