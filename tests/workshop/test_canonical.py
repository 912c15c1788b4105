import enum
import json
import uuid
from collections import OrderedDict
from datetime import UTC, date, datetime, time, timedelta, timezone
from decimal import Decimal
from types import MappingProxyType
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.canonical import canonical_bytes, digest_of
from yard.refusals import Refused


class Priority(enum.StrEnum):
    WATCH = "watch"


class Level(enum.IntEnum):
    GRAVE = 1


class Loose(enum.Enum):
    HULL = "hull"
    DECK = "deck"


CET = timezone(timedelta(hours=1))

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
documents = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | texts,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4),
    max_leaves=20,
)


@pytest.mark.parametrize(
    ("value", "written"),
    [
        pytest.param(Decimal("12.50"), '"12.50"', id="decimal keeps its digits"),
        pytest.param(Decimal("1E+2"), '"100"', id="decimal without exponent"),
        pytest.param(Decimal("1E-7"), '"0.0000001"', id="small decimal without exponent"),
        pytest.param(Decimal("-0.00"), '"0.00"', id="no negative zero"),
        pytest.param(date(2027, 4, 3), '"2027-04-03"', id="date"),
        pytest.param(datetime(2027, 4, 3, 12, 0, tzinfo=UTC), '"2027-04-03T12:00:00Z"', id="moment"),
        pytest.param(
            datetime(2027, 4, 3, 13, 0, 0, 5, tzinfo=CET), '"2027-04-03T12:00:00.000005Z"', id="moment elsewhere"
        ),
        pytest.param(uuid.UUID(int=7 << 76), '"00000000-0000-7000-0000-000000000000"', id="uuid"),
        pytest.param(Priority.WATCH, '"watch"', id="text enumeration"),
        pytest.param(Level.GRAVE, "1", id="number enumeration"),
        pytest.param(Loose.HULL, '"hull"', id="plain enumeration"),
        pytest.param((1, [True, None]), "[1,[true,null]]", id="tuple and list"),
        pytest.param({Priority.WATCH: 1, Loose.HULL: 2}, '{"hull":2,"watch":1}', id="enumerations as keys"),
        pytest.param(MappingProxyType({"a": 1}), '{"a":1}', id="another mapping"),
        pytest.param(2**53 - 1, "9007199254740991", id="largest whole number"),
        pytest.param({}, "{}", id="empty"),
    ],
)
def test_values_are_written_one_way(value: object, written: str) -> None:
    assert canonical_bytes(value) == written.encode()


@pytest.mark.parametrize(
    ("value", "place", "problem"),
    [
        pytest.param({"jobs": [{"net": 1}, {"net": 12.5}]}, "jobs[1].net", "float", id="float"),
        pytest.param({"n": 2**53}, "n", "too large", id="too large a number"),
        pytest.param({"n": Decimal("NaN")}, "n", "NaN", id="not a number"),
        pytest.param({"when": datetime(2027, 4, 3)}, "when", "time zone", id="moment without a zone"),  # noqa: DTZ001
        pytest.param({"a": {1: 2}}, "a", "key that is not text", id="number as key"),
        pytest.param({"a": {"hull": 1, Loose.HULL: 2}}, "a", "twice", id="two keys of one name"),
        pytest.param({"a": {1, 2}}, "a", "set", id="set"),
        pytest.param({"a": b"x"}, "a", "bytes", id="bytes"),
        pytest.param({"a": time(12)}, "a", "time", id="time of day"),
        pytest.param({"a": "\ud800"}, "document", "JSON", id="half a character"),
        pytest.param([object()], "document[0]", "object", id="anything else"),
    ],
)
def test_what_has_no_single_form_is_refused_with_its_place(value: Any, place: str, problem: str) -> None:
    with pytest.raises(Refused) as refusal:
        canonical_bytes(value)
    assert refusal.value.field == place
    assert problem in refusal.value.problem


@given(documents)
@settings(deadline=None)
def test_canonical_json_reads_back_as_the_same_document(document: object) -> None:
    written = canonical_bytes(document)
    assert json.loads(written) == document
    assert canonical_bytes(json.loads(written)) == written


@given(st.dictionaries(texts, st.integers(0, 9)))
@settings(deadline=None)
def test_the_order_of_members_does_not_change_the_digest(document: dict[str, int]) -> None:
    assert digest_of(document) == digest_of(OrderedDict(reversed(document.items())))


def test_one_changed_digit_changes_the_digest() -> None:
    quote = {"boat": "Sandpiper", "net": Decimal("12.50")}
    assert digest_of(quote) != digest_of(quote | {"net": Decimal("12.51")})
    assert digest_of(quote) != digest_of(quote | {"net": Decimal("12.5")})


def test_the_digest_is_the_sha256_of_the_canonical_bytes() -> None:
    # What `sha256sum` of GNU coreutils says of the two bytes {}.
    assert digest_of({}) == "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a"
