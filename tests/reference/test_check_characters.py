"""The check character of tags against ISO/IEC 7064.

Source: worked values of two pure systems of the standard, MOD 11-2 (079 takes X, 0794 takes 0) and MOD 37-2
(G123489654321 takes Y), seen as the examples of a public library of number formats; 0794 from memory.
"""

import pytest

from yard.tag_codes import ALPHABET, RADIX, check_holds, check_value

ELEVEN = "0123456789X"
THIRTY_SEVEN = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"


@pytest.mark.parametrize(
    ("characters", "payload", "check"),
    [(ELEVEN, "079", "X"), (ELEVEN, "0794", "0"), (THIRTY_SEVEN, "G123489654321", "Y")],
)
def test_published_check_characters_come_out(characters: str, payload: str, check: str) -> None:
    values = [characters.index(character) for character in payload]
    modulus = len(characters)
    assert characters[check_value(values, modulus=modulus, radix=2)] == check
    assert check_holds([*values, characters.index(check)], modulus=modulus, radix=2)
    for other in range(modulus):
        if other != characters.index(check):
            assert not check_holds([*values, other], modulus=modulus, radix=2)


def test_weights_of_a_tag_differ_and_none_is_zero() -> None:
    # What the standard asks of modulus and radix, so that single errors and swaps show.
    weights = {RADIX**place % len(ALPHABET) for place in range(8)}
    assert len(weights) == 8
    assert 0 not in weights


def test_a_value_outside_the_alphabet_is_refused() -> None:
    with pytest.raises(ValueError, match="not between 0 and 22"):
        check_value([23], modulus=23, radix=2)
