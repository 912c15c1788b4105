"""Cases of the trade against the rules, by the command that prints how they agree.

Source: `trade/judgement_cases.csv` and `trade/judgement_cases_apart.csv`, cases made up for this project with a
decision and its reason each: judgement, and no law. The `in_…` columns are what would be recorded; the prose
beside them is for people. All are seen on 1 April, with the launch on 1 May and the lay-up on 15 October. `leave`
is *watch* with nothing to do.

The rules were written with the first file at hand, so that they agree shows that the tables say what their author
meant. The second was written apart from the rules; `trade/README.md` tells how they agreed before it was looked at.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from inspections.judgement.facts import YardFacts
from inspections.judgement.rules import load_rules
from inspections.judgement.sensitivity import sensitivity
from inspections.judgement.trade_cases import Catalogue, TradeCase, decide, trade_case
from inspections.judgement.vocabulary import Priority
from tests.inspections.judgement.builders import stock_classes, stock_signs

FILE = Path(__file__).parent / "trade" / "judgement_cases.csv"
SEEN_ON = date(2027, 4, 1)
YARD = YardFacts(date(2027, 5, 1), date(2027, 10, 15), scheffer_index=50)
CATALOGUE = Catalogue(stock_signs(), stock_classes())

APART = FILE.with_name("judgement_cases_apart.csv")


def rows_of(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


ROWS = rows_of(FILE)
CASES = [trade_case(row, CATALOGUE, seen_on=SEEN_ON, durability_class=3) for row in (*ROWS, *rows_of(APART))]
BY_ID = {row["case_id"]: row for row in ROWS}


def asked(*arguments: str) -> Any:
    told = io.StringIO()
    call_command("judge_cases", *arguments, stdout=told)
    return json.loads(told.getvalue())


def case_with(**columns: str) -> TradeCase:
    row: Mapping[str, str] = {**BY_ID["J01"], **columns}
    return trade_case(row, CATALOGUE, seen_on=SEEN_ON, durability_class=3)


def test_the_command_prints_one_object_that_says_where_they_agree() -> None:
    told = asked(str(FILE))
    assert set(told) == {"cases", "agree", "acceptable", "disagree"}
    assert told["cases"] == 25
    assert told["agree"] >= 20
    assert told["acceptable"] >= 23
    assert len(told["disagree"]) == told["cases"] - told["agree"]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.case_id)
def test_no_case_that_must_be_done_before_launch_comes_out_lower(case: TradeCase) -> None:
    _, judgement = decide(case, YARD, load_rules())
    if case.expected == "repair_before_launch":
        assert judgement.priority is Priority.BEFORE_LAUNCH, judgement.trace


def test_the_cases_apart_agree_as_well() -> None:
    told = asked(str(APART))
    assert told["cases"] == 48
    assert told["agree"] >= 40
    assert told["acceptable"] == 48


@pytest.mark.parametrize("case", CASES[: len(ROWS)], ids=lambda case: case.case_id)
def test_the_operation_that_the_trade_suggests_is_among_the_advised_ones(case: TradeCase) -> None:
    got, judgement = decide(case, YARD, load_rules())
    if got == "leave":
        assert judgement.treatments == ()
    else:
        assert BY_ID[case.case_id]["suggested_treatment"] in judgement.treatments


def test_what_disagrees_is_told_with_its_reasons(tmp_path: Path) -> None:
    row = {**BY_ID["J02"], "decision": "leave", "acceptable_alternative": "watch_recheck 12"}
    told = asked(str(written(tmp_path, [row])))
    assert (told["agree"], told["acceptable"]) == (0, 0)
    (one,) = told["disagree"]
    assert (one["case_id"], one["expected"], one["got"]) == ("J02", "leave", "repair_before_launch")
    assert any("rig can come down" in reason for reason in one["reasons"])


def test_the_months_of_an_alternative_are_ignored(tmp_path: Path) -> None:
    row = {**BY_ID["J08"], "decision": "next_layup", "acceptable_alternative": "leave 12"}
    told = asked(str(written(tmp_path, [row])))
    assert (told["agree"], told["acceptable"], told["disagree"][0]["acceptable"]) == (0, 1, True)


def test_season_climate_and_wood_may_be_told(tmp_path: Path) -> None:
    file = str(written(tmp_path, [BY_ID["J16"]]))
    told = asked(
        file, "--seen-on", "2028-03-20", "--launch-on", "2028-04-28", "--layup-on", "2028-11-03",
        "--scheffer-index", "90", "--durability-class", "5",
    )  # fmt: skip
    assert told["agree"] == 1


@pytest.mark.parametrize(
    ("columns", "field"),
    [
        ({"signs": "A_HUNCH"}, "J01.signs"),
        ({"component_class": "FIGUREHEAD"}, "J01.component_class"),
        ({"in_moisture_pct": "140"}, "J01.moisture"),
        ({"in_size_mm": "-3"}, "J01.size_mm"),
        ({"in_size_mm": "long"}, "J01.in_size_mm"),
        ({"in_water": "soup"}, "J01.water"),
        ({"in_load_path": "perhaps"}, "J01.in_load_path"),
        ({"safety_role": "figurehead"}, "J01.safety_role"),
        ({"decision": "burn"}, "J01.decision"),
    ],
)
def test_a_row_that_makes_no_sense_is_refused_with_what_would_do(
    tmp_path: Path, columns: dict[str, str], field: str
) -> None:
    with pytest.raises(CommandError) as refusal:
        asked(str(written(tmp_path, [{**BY_ID["J01"], **columns}])))
    assert str(refusal.value).startswith(f"{field}: ")
    assert "; " in str(refusal.value)


def test_a_missing_column_or_file_is_refused(tmp_path: Path) -> None:
    row = {name: value for name, value in BY_ID["J01"].items() if name != "in_seal"}
    with pytest.raises(CommandError, match=r"J01\.in_seal: the column is missing"):
        asked(str(written(tmp_path, [row])))
    with pytest.raises(CommandError, match="can't be read"):
        asked(str(tmp_path / "nowhere.csv"))


def test_bom_line_ends_blank_lines_and_spaces_in_a_file_do_no_harm(tmp_path: Path) -> None:
    file = tmp_path / "cases.csv"
    text = FILE.read_text(encoding="utf-8").replace("|", " | ").replace("\n", "\r\n")
    file.write_bytes(b"\xef\xbb\xbf" + text.encode() + b"\r\n" + b"," * 31 + b"\r\n")
    told = asked(str(file))
    assert (told["cases"], told["acceptable"]) == (25, 25)


@pytest.mark.parametrize("text", ["", "case_id;decision\nJ01;leave\n"], ids=["empty", "parted by semicolons"])
def test_a_file_without_columns_is_refused_with_what_would_do(tmp_path: Path, text: str) -> None:
    file = tmp_path / "cases.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(CommandError, match="parted by commas"):
        asked(str(file))


def test_a_field_too_long_for_a_table_is_refused(tmp_path: Path) -> None:
    file = written(tmp_path, [{**BY_ID["J01"], "description": "x" * 200_000}])
    with pytest.raises(CommandError, match="can't be read: field larger"):
        asked(str(file))


@pytest.mark.parametrize("day", ["1 April", "9999-12-31", "0001-01-05"])
def test_a_day_that_makes_no_sense_is_refused(day: str) -> None:
    with pytest.raises(CommandError, match="seen-on"):
        asked(str(FILE), "--seen-on", day)


def test_two_cases_of_one_name_are_tried_apart() -> None:
    first, second = (next(case for case in CASES if case.case_id == name) for name in ("F04", "F07"))
    moved = [len(sensitivity([case], YARD)["moved"]) for case in (first, second)]
    assert all(moved)
    assert len(sensitivity([first, replace(second, case_id="F04")], YARD)["moved"]) == sum(moved)


@pytest.mark.parametrize(
    "columns",
    [
        {"in_moisture_pct": "0", "in_moisture_beside_pct": "0"},
        {"in_moisture_pct": "120", "in_moisture_beside_pct": ""},
        {"in_unseen_months": "1200"},
        {"in_size_mm": "0", "in_size_before_mm": "100000"},
        {name: "" for name in ROWS[0] if name.startswith("in_")},
    ],
    ids=["bone dry", "soaking", "a century closed", "gone", "nothing recorded"],
)
def test_what_is_extreme_but_possible_gets_a_decision(columns: dict[str, str]) -> None:
    _, judgement = decide(case_with(**columns), YARD, load_rules())
    assert judgement.reasons


def test_no_single_figure_decides_what_comes_before_launch() -> None:
    told = sensitivity([case for case in CASES if case.expected == "repair_before_launch"], YARD)
    assert told["changes"] > 100
    assert told["furthest_fall_of_before_launch"] <= 1
    # what may not be below 1 can't be halved, and that alone
    assert all("give a figure from 1" in one["why"] for one in told["not_tried"])


def test_the_command_tells_what_hangs_on_a_single_figure(tmp_path: Path) -> None:
    told = asked(str(written(tmp_path, [BY_ID["J14"]])), "--sensitivity")["sensitivity"]
    for moved in told["moved"]:
        assert moved["case_id"] == "J14"
        assert moved["to"] in (moved["from"] / 2, moved["from"] * 2)
        assert moved["decision"] != moved["got"]


def written(folder: Path, rows: list[Mapping[str, str]]) -> Path:
    file = folder / "cases.csv"
    with file.open("w", encoding="utf-8", newline="") as lines:
        writer = csv.DictWriter(lines, fieldnames=list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return file
