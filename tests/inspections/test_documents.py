"""Reading a JSON document: what fits is returned, what doesn't is named with its place and what would do."""

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.documents import Fields
from yard.refusals import RefusedMany
from yard.vocabulary import Water

NAMES = ("text", "number", "flag", "word", "when", "list", "row")
LOW, HIGH = datetime(2000, 1, 1, tzinfo=UTC), datetime(2100, 1, 1, tzinfo=UTC)


def fields(**document: Any) -> Fields:
    return Fields(document, known=NAMES)


def refused(read: Fields) -> list[str]:
    return [refusal.field for refusal in read.refusals]


def test_everything_wrong_is_named_in_one_go() -> None:
    read = fields(text=7, number="many", flag="yes", typo=1)
    read.text("text", longest=5)
    read.decimal("number", low=Decimal(0), high=Decimal(9), places=1)
    read.flag("flag")
    with pytest.raises(RefusedMany) as raised:
        read.raise_refusals()
    assert [refusal.field for refusal in raised.value.refusals] == ["typo", "text", "number", "flag"]


def test_refusals_inside_lists_carry_their_place() -> None:
    read = fields(row=[{"text": "a"}, {"text": "", "extra": 1}, "none"])
    for row in read.rows("row", known=("text",), most=5):
        row.text("text", longest=3, required=True)
    assert refused(read) == ["row[1].extra", "row[1].text", "row[2]"]


@pytest.mark.parametrize(
    ("text", "kept"),
    [("  plain ", "plain"), ("Ærø – næver", "Ærø – næver"), ("tab\tinside", "tab\tinside"), (None, "")],
    ids=["blanks around", "beyond ASCII", "tab", "null"],
)
def test_text_is_kept_without_blanks_around_it(text: object, kept: str) -> None:
    assert fields(text=text).text("text", longest=20) == kept


@pytest.mark.parametrize(
    "text",
    ["a\x00b", "half \ud800 pair", "bell\x07", "two\nlines", "x" * 21, 12, ["a"], True],
    ids=["NUL", "lone surrogate", "control", "line feed", "too long", "number", "list", "boolean"],
)
def test_text_that_cannot_be_kept_is_refused(text: object) -> None:
    read = fields(text=text)
    assert read.text("text", longest=20) == ""
    assert refused(read) == ["text"]


@pytest.mark.parametrize("text", [None, "", "   "], ids=["null", "empty", "blanks"])
def test_text_that_is_needed_is_refused_once_when_missing(text: object) -> None:
    read = fields(text=text)
    read.text("text", longest=20, required=True)
    assert refused(read) == ["text"]


@pytest.mark.parametrize(
    ("value", "figure"),
    [("12.5", "12.5"), (12.1, "12.1"), (3, "3"), ("1e1", "10"), ("0", "0"), ("99.9", "99.9")],
)
def test_figures_are_read_as_written(value: object, figure: str) -> None:
    read = fields(number=value)
    assert read.decimal("number", low=Decimal(0), high=Decimal("99.9"), places=1) == Decimal(figure)
    assert refused(read) == []


@pytest.mark.parametrize(
    "value",
    ["-0.1", "100", 0.25, "NaN", float("nan"), float("inf"), "1,5", True, [], {}, "1e999999", 10**5000],
    ids=lambda value: "5001 digits" if value == 10**5000 else str(value),
)
def test_figures_that_make_no_sense_are_refused(value: object) -> None:
    read = fields(number=value)
    assert read.decimal("number", low=Decimal(0), high=Decimal("99.9"), places=1) is None
    assert refused(read) == ["number"]


@pytest.mark.parametrize("value", [1.0, "1", True, -1, 11, 2**63], ids=str)
def test_whole_numbers_are_whole_and_in_range(value: object) -> None:
    read = fields(number=value)
    assert read.whole("number", low=0, high=10) is None
    assert refused(read) == ["number"]


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("2027-04-01T08:30:00Z", datetime(2027, 4, 1, 8, 30, tzinfo=UTC)),
        ("2027-04-01T10:30:00+02:00", datetime(2027, 4, 1, 8, 30, tzinfo=UTC)),
        ("2027-04-01 08:30:00.123456Z", datetime(2027, 4, 1, 8, 30, 0, 123456, tzinfo=UTC)),
        ("2027-03-28T02:30:00+01:00", datetime(2027, 3, 28, 1, 30, tzinfo=UTC)),
    ],
    ids=["zulu", "offset", "fraction and blank", "in the hour that summer time skips"],
)
def test_moments_come_as_utc(text: str, moment: datetime) -> None:
    assert fields(when=text).moment("when", low=LOW, high=HIGH) == moment


@pytest.mark.parametrize(
    "text",
    ["2027-04-01T08:30:00", "2027-04-01", "2027-02-30T08:00:00Z", "1999-12-31T23:59:59Z", "soon", 1780000000, ""],
    ids=["no offset", "no time", "no such day", "before our time", "words", "number", "empty"],
)
def test_moments_that_cannot_be_are_refused(text: object) -> None:
    read = fields(when=text)
    assert read.moment("when", low=LOW, high=HIGH) is None
    assert refused(read) == ["when"]


def test_words_are_of_their_vocabulary() -> None:
    assert fields(word="rain").word("word", Water) is Water.RAIN
    read = fields(word="drizzle")
    assert read.word("word", Water) is None
    assert "rain" in read.refusals[0].remedy


@pytest.mark.parametrize("value", [["a", "a"], ["a", " "], ["a", 1], "a", ["b"] * 9], ids=str)
def test_lists_of_texts_have_each_once_and_not_too_many(value: object) -> None:
    read = fields(list=value)
    read.texts("list", longest=5, most=8)
    assert read.refusals


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


@given(anything)
def test_no_value_of_json_makes_a_reader_stumble(value: object) -> None:
    read = fields(text=value, number=value, flag=value, word=value, when=value, list=value, row=value)
    read.text("text", longest=10, required=True)
    read.decimal("number", low=Decimal(-5), high=Decimal(5), places=2)
    read.whole("number", low=-5, high=5)
    read.flag("flag")
    read.word("word", Water)
    read.words("list", Water)
    read.texts("list", longest=5, most=2)
    read.moment("when", low=LOW, high=HIGH)
    read.uuid("text")
    read.made_id("text")
    read.inside("row", known=("a",))
    list(read.rows("row", known=("a",), most=2))
    for refusal in read.refusals:
        str(refusal).encode()  # fit to be shown: no halves of pairs
        assert len(refusal.problem) < 200
