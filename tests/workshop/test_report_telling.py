"""The reasons of a judgement as the report groups them, on what the stock rules really say."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from datetime import date
from functools import lru_cache

import pytest
from django.utils.translation import override

from inspections.judgement.facts import FindingFacts
from tests.inspections.judgement.builders import a_finding, moisture, stock_signs
from tests.workshop.documents import a_finding as an_older_finding
from tests.workshop.judged_documents import facts_of, part_of, wet_coaming
from workshop.quoting.document import FindingPart
from workshop.report.telling import told

GROUPS = (
    "", "What we go by", "How likely", "When", "Not to be done", "Meanwhile", "To be sealed", "Besides",
)  # fmt: skip


def grouped(finding: FindingPart) -> Mapping[str, tuple[str, ...]]:
    return {group.label: group.sentences for group in told(finding)}


@lru_cache(maxsize=1)
def wet() -> Mapping[str, tuple[str, ...]]:
    return grouped(wet_coaming())


@pytest.mark.parametrize(
    ("label", "begins"),
    [
        ("", ("Water is in the wood: ", "Besides: ", "Looked into and set aside: ")),
        (
            "What we go by",
            ("Seen: crack", "It grew from 62 mm to 84 mm", "The meter shows 26 %", "At work there: "),
        ),
        ("How likely", ("If it fails, the harm stays with the part itself (severity 4", "As it is, it can fail")),
        ("When", ("It is work for this season: ", "Put it right by 15 October 2027.")),
        ("Not to be done", ("Do not seal or glue it while it is wet",)),
        ("Meanwhile", ("If a tool or a part is missing, keep water off it",)),
        (
            "To be sealed",
            ("Under cover in the open air it is likely dry enough to seal (18 %)", "In a heated shed"),
        ),
    ],
)
def test_each_sentence_stands_where_a_surveyor_looks_for_it(label: str, begins: tuple[str, ...]) -> None:
    assert len(wet()[label]) == len(begins)
    assert all(said.startswith(begin) for said, begin in zip(wet()[label], begins, strict=True))


def test_a_quote_whose_reasons_have_no_groups_is_sorted_by_what_they_say() -> None:
    assert grouped(dataclasses.replace(wet_coaming(), reason_groups=())) == wet()


def test_a_german_quote_is_sorted_alike() -> None:
    german = told(wet_coaming(language="de"))
    assert [len(group.sentences) for group in german] == [len(said) for said in wet().values()]
    with override("de"):
        labels = [group.label for group in told(wet_coaming(language="de"))]
    assert labels[:4] == ["", "Grundlage", "Wie wahrscheinlich", "Wann"]


def test_what_it_means_comes_first_and_what_was_not_known_last() -> None:
    assert list(wet()) == [label for label in GROUPS if label in wet()]
    watched = grouped(part_of(1, a_finding(seal="film_broken"), "HATCH"))
    assert watched["Besides"] == (
        "Come back sooner if it is 5 mm larger, reads 4 points wetter, or shows any play.",
    )


@pytest.mark.parametrize("code", stock_signs())
@pytest.mark.parametrize("component_class", ["COAMING", "PLK_CARVEL", "CHAINPLATE", "BOWSPRIT"])
def test_no_sentence_is_lost_or_told_twice_or_reworded(code: str, component_class: str) -> None:
    facts: tuple[FindingFacts, ...] = (
        facts_of(code, load="cyclic", size_mm=18, readings=moisture(31, 15)),
        facts_of(code, load="static", sides="one", water=None),
    )
    for each in facts:
        finding = part_of(1, each, component_class)
        # as judgement says itself, and as quotes were frozen before it did
        for told_of in (finding, dataclasses.replace(finding, reason_groups=())):
            groups = grouped(told_of)
            assert sorted(said for group in groups.values() for said in group) == sorted(finding.reasons)
            assert groups[""]
            assert finding.judged is not None
            assert groups.get("Not to be done", ()) == finding.judged.do_not


def test_what_was_due_already_is_told_with_its_day() -> None:
    overdue = part_of(1, facts_of("SEAM_OPEN", load="static", size_mm=40), "PLK_CARVEL", on=date(2028, 6, 1))
    assert "is overdue" in grouped(overdue)["When"][-1]


def test_a_manager_s_other_day_does_not_mix_up_the_sentences() -> None:
    moved = dataclasses.replace(wet_coaming(), due_back_on=date(2027, 7, 1), priority="watch")
    assert grouped(moved) == wet()


def test_a_quote_of_earlier_years_reads_as_one_paragraph() -> None:
    older = an_older_finding()
    assert grouped(older) == {"": older.reasons}
