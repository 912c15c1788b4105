import uuid
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yard.identifiers import uuid7_check, uuid7_new, uuid7_time
from yard.refusals import Refused

SEVEN = uuid.UUID("017f22e2-79b0-7cc3-98c4-dc0c0c07398f")


def test_new_identifiers_are_of_version_7_and_sort_by_age() -> None:
    made = [uuid7_new() for _ in range(500)]
    assert {identifier.version for identifier in made} == {7}
    assert {type(identifier) for identifier in made} == {uuid.UUID}
    assert made == sorted(set(made))


def test_a_new_identifier_carries_the_time_of_its_making() -> None:
    before = datetime.now(UTC)
    moment = uuid7_time(uuid7_new())
    # Identifiers made in a burst run ahead of the clock by a millisecond each.
    assert before - timedelta(seconds=1) < moment < datetime.now(UTC) + timedelta(seconds=5)


@pytest.mark.parametrize("written", [str(SEVEN), str(SEVEN).upper(), f" {SEVEN} ", SEVEN])
def test_version_7_is_read_in_its_usual_form(written: str | uuid.UUID) -> None:
    assert uuid7_check(written) == SEVEN


@pytest.mark.parametrize(
    ("value", "problem"),
    [
        pytest.param(uuid.UUID("919108f7-52d1-4320-9bac-f847db4148a8"), "of version 4", id="version 4"),
        pytest.param("c232ab00-9414-11ec-b3c8-9f6bdeced846", "of version 1", id="version 1"),
        pytest.param("1ec9414c-232a-6b00-b3c8-9f6bdeced846", "of version 6", id="version 6"),
        pytest.param("017f22e2-79b0-7cc3-08c4-dc0c0c07398f", "of no known kind", id="another variant"),
        pytest.param(uuid.UUID(int=0), "of no known kind", id="nil"),
        pytest.param("017f22e279b07cc398c4dc0c0c07398f", "is not a UUID", id="without dashes"),
        pytest.param("{017f22e2-79b0-7cc3-98c4-dc0c0c07398f}", "is not a UUID", id="in braces"),
        pytest.param("urn:uuid:017f22e2-79b0-7cc3-98c4-dc0c0c07398f", "is not a UUID", id="as a URN"),
        pytest.param("017f22e2-79b0-7cc3-98c4-dc0c0c07398g", "is not a UUID", id="no hexadecimal digit"),
        pytest.param("", "is not a UUID", id="empty"),
        pytest.param(None, "is not a UUID", id="missing"),
        pytest.param(7, "is not a UUID", id="number"),
        pytest.param("ffffffff-ffff-7fff-bfff-ffffffffffff", "beyond the year 9999", id="far future"),
    ],
)
def test_anything_else_is_refused_by_name(value: object, problem: str) -> None:
    with pytest.raises(Refused) as refusal:
        uuid7_check(value, field="entry")
    assert refusal.value.field == "entry"
    assert problem in refusal.value.problem


@given(st.integers(0, 253_000_000_000_000), st.integers(0, 2**76 - 1))
@settings(deadline=None)
def test_the_time_is_the_first_48_bits_whatever_the_rest(milliseconds: int, rest: int) -> None:
    bits = (milliseconds << 80) | rest
    bits = (bits & ~(0xF << 76)) | (7 << 76)
    bits = (bits & ~(0b11 << 62)) | (0b10 << 62)
    moment = uuid7_time(uuid.UUID(int=bits))
    assert moment == datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=milliseconds)


def test_the_time_of_another_version_is_refused() -> None:
    with pytest.raises(Refused, match="of version 4"):
        uuid7_time(uuid.uuid4())
