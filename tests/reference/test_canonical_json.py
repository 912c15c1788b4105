"""Canonical JSON against RFC 8785.

Source: RFC 8785, examples of sections 3.2.2 and 3.2.3, seen as test vectors of several public implementations; the
escapes of section 3.2.2.2 from memory. The example's numbers are binary fractions, which our documents refuse; they
are held against the library alone, so that it is checked as well.
"""

import json

import pytest
import rfc8785

from workshop.canonical import canonical_bytes
from yard.refusals import Refused

EXAMPLE = r"""
{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}
"""
STRING = r'"€$\u000f\nA' + "'" + r'B\"\\\\\"/"'

# Section 3.2.3: names are sorted by their UTF-16 code units, so the grinning face (D83D DE00) stands before FB33.
SORTING = r"""
{
  "\u20ac": "Euro Sign",
  "\r": "Carriage Return",
  "\ufb33": "Hebrew Letter Dalet With Dagesh",
  "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face",
  "\u0080": "Control",
  "\u00f6": "Latin Small Letter O With Diaeresis"
}
"""
SORTED = [
    "Carriage Return",
    "One",
    "Control",
    "Latin Small Letter O With Diaeresis",
    "Euro Sign",
    "Emoji: Grinning Face",
    "Hebrew Letter Dalet With Dagesh",
]


def test_example_of_section_3_2_2_without_its_numbers() -> None:
    document = json.loads(EXAMPLE)
    del document["numbers"]
    assert canonical_bytes(document) == f'{{"literals":[null,true,false],"string":{STRING}}}'.encode()


def test_example_of_section_3_2_2_is_refused_with_its_numbers() -> None:
    with pytest.raises(Refused) as refusal:
        canonical_bytes(json.loads(EXAMPLE))
    assert refusal.value.field == "numbers[0]"


def test_the_library_writes_the_whole_example() -> None:
    numbers = "[333333333.3333333,1e+30,4.5,0.002,1e-27]"
    expected = f'{{"literals":[null,true,false],"numbers":{numbers},"string":{STRING}}}'
    assert rfc8785.dumps(json.loads(EXAMPLE)) == expected.encode()


def test_example_of_section_3_2_3_is_sorted_by_utf_16() -> None:
    written = canonical_bytes(json.loads(SORTING))
    assert list(json.loads(written).values()) == SORTED
    assert written.startswith(rb'{"\r":"Carriage Return","1":"One",' + '"\u0080":"Control"'.encode())
    assert "\U0001f600".encode() in written  # written as itself, not as two escapes


@pytest.mark.parametrize(
    ("character", "written"),
    [
        ("\b", r"\b"),
        ("\t", r"\t"),
        ("\n", r"\n"),
        ("\f", r"\f"),
        ("\r", r"\r"),
        ('"', r"\""),
        ("\\", r"\\"),
        ("\x00", r"\u0000"),
        ("\x1f", r"\u001f"),
        ("\x7f", "\x7f"),
        ("/", "/"),
        ("\u2028", "\u2028"),
    ],
)
def test_escapes_of_section_3_2_2_2(character: str, written: str) -> None:
    assert canonical_bytes(character) == f'"{written}"'.encode()
