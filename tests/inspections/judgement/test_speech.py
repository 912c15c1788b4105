"""Judgement in two languages: the same said in both, with the same figures, in words that each has all of."""

from __future__ import annotations

import re
from dataclasses import fields
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.judgement import vocabulary
from inspections.judgement.evidence import Evidence
from inspections.judgement.facts import EarlierLook, FindingFacts
from inspections.judgement.judgement import Judgement
from inspections.judgement.rules import load_rules
from inspections.judgement.speech import ENGLISH, GERMAN, label_in
from inspections.judgement.speech.german_labels import LABELS
from tests.inspections.judgement.builders import a_finding, judged, moisture, stock_classes, stock_signs
from yard.vocabulary import Finish, Labelled

TABLES = tuple(
    field.name
    for field in fields(ENGLISH)
    if field.name not in {"language", "split_but_unloaded"} and not callable(getattr(ENGLISH, field.name))
)
MONTHS = {
    "January": 1, "Januar": 1, "February": 2, "Februar": 2, "March": 3, "März": 3, "April": 4, "May": 5, "Mai": 5,
    "June": 6, "Juni": 6, "July": 7, "Juli": 7, "August": 8, "September": 9, "October": 10, "Oktober": 10,
    "November": 11, "December": 12, "Dezember": 12,
}  # fmt: skip

facts = st.builds(
    lambda codes, told: a_finding(signs=tuple(stock_signs()[code] for code in codes), **told),
    st.lists(st.sampled_from(sorted(stock_signs())), min_size=1, max_size=3, unique=True),
    st.fixed_dictionaries(
        {
            "water": st.sampled_from([None, "none", "rain", "standing", "immersed"]),
            "load": st.sampled_from([None, "none", "static", "cyclic", "shock"]),
            "seal": st.sampled_from(["intact", "open", "unknown"]),
            "moves": st.sampled_from(["no", "yes", "unknown"]),
            "sides": st.sampled_from(["none", "one", "both"]),
            "trend": st.sampled_from(["new", "unchanged", "grown"]),
            "in_load_path": st.sampled_from([None, True, False]),
            "size_mm": st.sampled_from([None, 3.5, 84.0]),
            "readings": st.sampled_from([(), moisture(31.5), moisture(26, 14.5)]),
            "unseen_months": st.sampled_from([None, 1, 30]),
            "earlier": st.sampled_from([(), (EarlierLook(date(2026, 4, 2), 2.5),)]),
            "observed_on": st.sampled_from([date(2027, 4, 1), date(2027, 7, 10)]),
        }
    ),
)


def days(sentence: str) -> list[tuple[int, int, int]]:
    found = re.findall(rf"(\d+)\.?\s({'|'.join(MONTHS)})\s(\d{{4}})", sentence)
    return [(int(day), MONTHS[month], int(year)) for day, month, year in found]


def figures(sentence: str) -> list[str]:
    plain = re.sub(r"(?<=\d)[\u202f ](?=\d{3})", "", sentence).replace("einem Monat", "1 Monat")
    return sorted(re.findall(r"\d+(?:\.\d+)?", re.sub(r"(?<=\d),(?=\d)", ".", plain)))


@settings(max_examples=60)
@given(finding=facts, component=st.sampled_from(["COAMING", "CHAINPLATE", "BOWSPRIT", "PLK_CARVEL", "HATCH"]))
def test_both_languages_say_the_same_sentence_by_sentence(finding: FindingFacts, component: str) -> None:
    judgement = judged(finding, stock_classes()[component])
    assert tuple(reason.en for reason in judgement.told) == judgement.reasons
    for reason in judgement.told:
        assert days(reason.de) == days(reason.en)
        assert figures(reason.de) == figures(reason.en)
        assert reason.de != reason.en
        assert reason.de[0].isupper()
        assert reason.de.endswith(".")
        assert not re.search(r"[{}_]|\d\.\d|\b(the|and|it|is|of|by)\b", reason.de.partition("Gesehen:")[0]), (
            reason.de
        )


def test_german_has_every_table_key_and_place_of_english() -> None:
    for table in TABLES:
        english, german = getattr(ENGLISH, table), getattr(GERMAN, table)
        assert german.keys() == english.keys(), table
        for key, told in german.items():
            assert sorted(re.findall(r"{\w+}", told)) == sorted(re.findall(r"{\w+}", english[key])), told


@pytest.mark.parametrize(
    "words",
    [
        *(word for name in vocabulary.__all__ if name not in {"Because", "ReasonGroup"}
          if issubclass(word := getattr(vocabulary, name), Labelled)),
        Evidence,
        Finish,
    ],
)  # fmt: skip
def test_every_code_of_a_vocabulary_has_german_words(words: type[Labelled]) -> None:
    assert set(LABELS[words]) == set(words)
    assert all(label_in(member, "de") for member in words)


def test_what_the_rules_say_is_said_in_german_too() -> None:
    rules = load_rules()
    said = [*(row.say for row in rules.must_not), *(row.say for row in rules.holds)]
    assert all(words.de != words.en for words in said)


def the_wet(judgement: Judgement) -> dict[str, list[str]]:
    told: dict[str, list[str]] = {}
    for reason in judgement.told:
        told.setdefault(reason.group, []).append(reason.de.replace("\u00a0", " "))
    return told


def test_a_wet_crack_reads_as_a_german_yard_would_write_it() -> None:
    finding = a_finding(
        signs=(stock_signs()["CRACK_WOOD"],), seal="open", water="rain", size_mm=84.5, readings=moisture(26.5, 14),
        earlier=(EarlierLook(date(2026, 4, 2), 62),),
    )  # fmt: skip
    told = the_wet(judged(finding, stock_classes()["COAMING"]))
    assert "Seit dem 2. April 2026 ist es von 62 mm auf 84,5 mm gewachsen." in told["go_by"]
    assert "Das Messgerät zeigt hier 26,5 % und im gesunden Holz daneben 14 %." in told["go_by"]
    assert told["when"][-1] == "Bis zum 15. Oktober 2027 ist es instand zu setzen."
    assert told["do_not"][0].startswith("Nicht versiegeln oder verleimen, solange es nass ist:")


def test_small_chances_are_told_as_people_weigh_them() -> None:
    assert GERMAN.odds(0.134) == "etwa 13 von 100"
    assert GERMAN.odds(0.0021) == "etwa 1 von 500"
    assert GERMAN.odds(0.0001) == "etwa 1 von 10\u202f000"
