"""A refusal says which field, what was wrong and what would do; several can be said at once."""

import pickle

import pytest

from yard.refusals import Refused, RefusedMany

NEGATIVE = Refused("size_mm", "-3 mm can't be", "give 0 or more")
UNKNOWN = Refused("water", "'wet' is not known", "give one of: rain, splash")


def test_a_refusal_reads_as_a_sentence() -> None:
    assert str(NEGATIVE) == "size_mm: -3 mm can't be; give 0 or more"
    assert NEGATIVE.refusals == (NEGATIVE,)


def test_seen_from_above_it_names_the_way_down() -> None:
    assert NEGATIVE.under("entries.3").field == "entries.3.size_mm"
    assert Refused("", "no entry", "send one").under("entries").field == "entries"


def test_many_are_one_refusal_that_speaks_for_the_first() -> None:
    many = RefusedMany([NEGATIVE, UNKNOWN])
    assert isinstance(many, Refused)
    assert (many.field, many.problem, many.remedy) == ("size_mm", NEGATIVE.problem, NEGATIVE.remedy)
    assert [refusal.field for refusal in many.under("entries.0").refusals] == [
        "entries.0.size_mm",
        "entries.0.water",
    ]


def test_many_within_many_are_told_flat() -> None:
    nested = RefusedMany([RefusedMany([NEGATIVE, UNKNOWN]), NEGATIVE])
    assert nested.refusals == (NEGATIVE, UNKNOWN, NEGATIVE)


def test_none_at_all_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="at least one"):
        RefusedMany([])


@pytest.mark.parametrize("refusal", [NEGATIVE, RefusedMany([NEGATIVE, UNKNOWN])], ids=["one", "many"])
def test_a_refusal_survives_the_way_between_processes(refusal: Refused) -> None:
    back = pickle.loads(pickle.dumps(refusal))  # noqa: S301 - our own bytes
    assert type(back) is type(refusal)
    assert str(back) == str(refusal)
