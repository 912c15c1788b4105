"""Tag codes: a code somebody misread must never be taken for another spot's."""

import random
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yard.refusals import Refused
from yard.tag_codes import ALPHABET, LOOKS_LIKE, TAG_LENGTH, tag_check, tag_display, tag_new

SAMPLES = [tag_new(random.Random(seed)) for seed in range(40)]
LOOK_ALIKES = ["0OQD", "1IL", "2Z", "5S", "6G", "8B", "UV"]

tags = st.integers(min_value=0).map(lambda seed: tag_new(random.Random(seed)))


def refused(code: str) -> bool:
    try:
        tag_check(code)
    except Refused:
        return True
    return False


@pytest.mark.parametrize("group", LOOK_ALIKES)
def test_no_two_characters_of_a_tag_look_alike(group: str) -> None:
    assert len(set(group) & set(ALPHABET)) <= 1


def test_alphabet_is_of_prime_size_and_can_spell_no_word() -> None:
    size = len(ALPHABET)
    assert len(set(ALPHABET)) == size
    assert all(size % divisor for divisor in range(2, size))
    assert not set("AEIOU") & set(ALPHABET)


@pytest.mark.parametrize("code", SAMPLES)
def test_every_single_wrong_character_is_caught(code: str) -> None:
    for place in range(TAG_LENGTH):
        for other in "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ":
            if other != code[place]:
                assert refused(code[:place] + other + code[place + 1 :])


@pytest.mark.parametrize("code", SAMPLES)
def test_every_swap_of_two_characters_is_caught(code: str) -> None:
    for first, second in combinations(range(TAG_LENGTH), 2):
        swapped = list(code)
        swapped[first], swapped[second] = code[second], code[first]
        if code[first] != code[second]:
            assert refused("".join(swapped))


@given(tags, st.integers(0, TAG_LENGTH - 1), st.sampled_from(ALPHABET))
@settings(deadline=None, max_examples=500)
def test_any_tag_survives_no_wrong_character(code: str, place: int, other: str) -> None:
    misread = code[:place] + other + code[place + 1 :]
    assert refused(misread) == (misread != code)


@given(tags, st.integers(0, TAG_LENGTH - 2))
@settings(deadline=None, max_examples=500)
def test_any_tag_survives_no_swap_of_neighbours(code: str, place: int) -> None:
    swapped = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
    assert refused(swapped) == (swapped != code)


@given(tags)
@settings(deadline=None)
def test_what_is_displayed_reads_back_as_the_same_tag(code: str) -> None:
    assert len(code) == TAG_LENGTH
    shown = tag_display(code)
    assert shown == f"{code[:4]}-{code[4:]}"
    for typed in (shown, shown.lower(), shown.replace("-", " "), f"  {shown}\n", shown.replace("-", "\u2011")):
        assert tag_check(typed) == code


def test_new_tags_come_from_the_given_source_and_otherwise_differ() -> None:
    assert tag_new(random.Random(7)) == tag_new(random.Random(7))
    assert len({tag_new() for _ in range(200)}) == 200


@pytest.mark.parametrize(
    ("code", "problem", "remedy"),
    [
        pytest.param("", "is empty", "8 characters", id="empty"),
        pytest.param(" - ", "is empty", "8 characters", id="only separators"),
        pytest.param("2345-678", "has 7 characters", "A tag has 8", id="one short"),
        pytest.param("2345-678MM", "has 9 characters", "A tag has 8", id="one too many"),
        pytest.param("2345-678N", "doesn't add up", "changed places", id="wrong check character"),
        pytest.param("2345-67BM", "'B'", "it is probably 8", id="look-alike"),
        pytest.param("2345-67*M", "'*'", "made of 23456789", id="no tag character"),
        pytest.param("2345-67٣M", "'٣'", "made of 23456789", id="digit of another script"),
        pytest.param("2345-67ßM", "'S'", "it is probably 5", id="letter that grows when capitalised"),
    ],
)
def test_a_refusal_says_what_was_wrong_and_what_would_do(code: str, problem: str, remedy: str) -> None:
    with pytest.raises(Refused) as refusal:
        tag_check(code, field="spot_tag")
    assert refusal.value.field == "spot_tag"
    assert problem in refusal.value.problem
    assert remedy in refusal.value.remedy


def test_a_number_is_no_tag() -> None:
    with pytest.raises(Refused, match="as text"):
        tag_check(23456789)  # type: ignore[arg-type]


def test_suggestions_lead_from_outside_the_alphabet_into_it() -> None:
    assert not set(LOOKS_LIKE) & set(ALPHABET)
    assert set(LOOKS_LIKE.values()) <= set(ALPHABET)
