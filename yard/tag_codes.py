"""Codes of spot tags: eight characters that survive a marker pen, a wet sticker and a telephone.

Seven characters are drawn at random, the eighth checks them. The alphabet has one character of each group that
people mix up (0 O Q D, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V) and no vowels, so that no word can come out. It has 23
characters, which is a prime, and the check is the pure system of ISO/IEC 7064 with modulus 23 and radix 2: the
sum of value × 2^position must be 1 modulo 23. Because 23 is a prime, and the first eight powers of 2 differ
modulo 23, it catches every single wrong character and every swap of two characters, neighbours or not.

Source: ISO/IEC 7064:2003, pure systems with one check character (from memory; checked against worked values of
the standard's own MOD 11-2 and MOD 37-2). The standard names no modulus 23: the method is its, the alphabet ours.
"""

import random
import secrets
from collections.abc import Sequence
from typing import Final

from yard.refusals import Refused

ALPHABET: Final = "23456789CDFHJKMNPRTVWXY"
PAYLOAD_LENGTH: Final = 7
TAG_LENGTH: Final = PAYLOAD_LENGTH + 1
RADIX: Final = 2

# What a character outside the alphabet probably was. It is only suggested: a guess must not find the wrong spot.
LOOKS_LIKE: Final = {
    "0": "D", "O": "D", "Q": "D", "Z": "2", "S": "5", "G": "6", "B": "8", "U": "V", "A": "4", "E": "F",
}  # fmt: skip

_VALUE_OF: Final = {character: value for value, character in enumerate(ALPHABET)}
# Blanks and dashes of every kind, because tags are also pasted from documents.
_LEFT_OUT: Final = str.maketrans("", "", " \t\r\n\u00a0\u2007\u202f-\u00ad\u2010\u2011\u2012\u2013\u2014\u2212")


def tag_new(random_source: random.Random | None = None) -> str:
    """Make a new tag code of 8 characters, without a separator.

    Args:
        random_source: where the seven characters come from; the operating system's generator unless given.

    Returns:
        One of 23^7 (3.4 thousand million) codes. Whether it is free in the yard is for the database to say.
    """
    source = random_source if random_source is not None else secrets.SystemRandom()
    payload = [source.randrange(len(ALPHABET)) for _ in range(PAYLOAD_LENGTH)]
    check = check_value(payload, modulus=len(ALPHABET), radix=RADIX)
    return "".join(ALPHABET[value] for value in [*payload, check])


def tag_check(code: str, *, field: str = "tag") -> str:
    """Read a tag code as somebody typed it.

    Args:
        code: 8 characters; capitals or not, spaces and dashes are left out.
        field: name of the field for the refusal.

    Returns:
        The code in its stored form: 8 capitals and digits.

    Raises:
        Refused: wrong length, a character that tags don't have, or a check character that doesn't fit.
    """
    if not isinstance(code, str):
        raise Refused(field, "is not text", f"Send the {TAG_LENGTH} characters of the tag as text.")
    plain = code.translate(_LEFT_OUT).upper()
    if not plain:
        raise Refused(field, "is empty", f"Give the {TAG_LENGTH} characters printed on the tag, like {_example()}.")
    for character in plain:
        if character not in _VALUE_OF:
            raise Refused(field, f"has a character that tags don't have: {character!r}", _remedy(character))
    if len(plain) != TAG_LENGTH:
        raise Refused(
            field,
            f"has {len(plain)} characters",
            f"A tag has {TAG_LENGTH}, like {_example()}; look whether one was left out or typed twice.",
        )
    if not check_holds([_VALUE_OF[character] for character in plain], modulus=len(ALPHABET), radix=RADIX):
        raise Refused(
            field,
            "doesn't add up",
            "One character is wrong or two have changed places; compare with the tag character by character.",
        )
    return plain


def tag_display(code: str) -> str:
    """Show a tag code in two groups of four, like 2345-678K.

    Raises:
        Refused: the code is no valid tag.
    """
    plain = tag_check(code)
    return f"{plain[:4]}-{plain[4:]}"


def check_value(payload: Sequence[int], *, modulus: int, radix: int) -> int:
    """Work out the check value that completes a code in a pure system of ISO/IEC 7064.

    Args:
        payload: values 0 to modulus - 1, first character first.
        modulus: size of the alphabet of the check character.
        radix: base of the weights.

    Returns:
        The value 0 to modulus - 1 that makes the weighted sum 1.

    Raises:
        ValueError: a value is not in the alphabet.
    """
    return (1 - _weighted_sum([*payload, 0], modulus=modulus, radix=radix)) % modulus


def check_holds(values: Sequence[int], *, modulus: int, radix: int) -> bool:
    """Say whether a code with its check value last has a weighted sum of 1, as ISO/IEC 7064 asks.

    Raises:
        ValueError: a value is not in the alphabet.
    """
    return _weighted_sum(values, modulus=modulus, radix=radix) == 1


def _weighted_sum(values: Sequence[int], *, modulus: int, radix: int) -> int:
    total = 0
    for value in values:
        if not 0 <= value < modulus:
            raise ValueError(f"{value} is not between 0 and {modulus - 1}")
        total = (total * radix + value) % modulus
    return total


def _example() -> str:
    payload = list(range(PAYLOAD_LENGTH))
    values = [*payload, check_value(payload, modulus=len(ALPHABET), radix=RADIX)]
    text = "".join(ALPHABET[value] for value in values)
    return f"{text[:4]}-{text[4:]}"


def _remedy(character: str) -> str:
    if character in LOOKS_LIKE:
        return f"Look at the tag again: it is probably {LOOKS_LIKE[character]}."
    return f"Tags are made of {ALPHABET} only; look at the tag again."
