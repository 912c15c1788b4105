"""Reading sheets from files: what is told of each cell, and what can't be read at all."""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from datetime import date
from io import BytesIO
from itertools import product
from unittest.mock import Mock

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.styles import Font

from yard.fleet import files
from yard.fleet.columns import COMPONENTS
from yard.fleet.files import MOST_BYTES, MOST_BYTES_UNPACKED, grids_read
from yard.fleet.reading import tables_read
from yard.fleet.writing import fleet_xlsx, sheet_csv
from yard.refusals import Refused
from yard.safe_cells import looks_like_formula, plain_cell, safe_cell

TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"], exclude_characters="\x00"), max_size=20
)


def book(*rows: Sequence[object]) -> bytes:
    made = Workbook()
    assert made.active is not None
    for row in rows:
        made.active.append(list(row))
    written = BytesIO()
    made.save(written)
    return written.getvalue()


def archive(**parts: bytes) -> bytes:
    written = BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in parts.items():
            made.writestr(name, content)
    return written.getvalue()


def test_every_text_comes_back_from_a_safe_cell_and_none_is_a_formula() -> None:
    for text in ("".join(signs) for signs in product("'=+-@ \ta", repeat=4)):
        cell = safe_cell(text)
        assert plain_cell(cell) == text
        assert not cell.lstrip().startswith(("=", "+", "-", "@"))
        assert not looks_like_formula(cell)


@settings(max_examples=12, deadline=None)
@given(st.lists(st.tuples(TEXT, TEXT), min_size=1, max_size=3))
def test_what_is_written_is_read_back_from_both_kinds_of_file(texts: list[tuple[str, str]]) -> None:
    rows = [
        {
            "boat": "=Anna",
            "class": "window_frame",
            "name": f"n{text}",
            "position": text,
            "species": other,
            "finish": "",
        }
        for text, other in texts
    ]
    files = (sheet_csv(COMPONENTS, rows).encode(), fleet_xlsx({"components": rows}))
    for data in files:
        (table,) = [each for each in tables_read(grids_read("parts.csv", data)) if each.rows]
        told = [{**row.values} for row in table.rows]
        assert told == [{name: text.strip() for name, text in row.items()} for row in rows]
        assert not [row.refusals for row in table.rows if row.refusals]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
def test_delimiters_and_the_mark_of_utf_8_are_understood(delimiter: str, encoding: str) -> None:
    lines = ("name,LOA mm,left_on", "", "Ægir,8400,2027-10-31")
    data = "\r\n".join(line.replace(",", delimiter) for line in lines).encode(encoding)
    (table,) = tables_read(grids_read("boats.csv", data))
    (row,) = table.rows
    assert row.values == {"name": "Ægir", "loa_mm": 8400, "left_on": date(2027, 10, 31)}
    assert row.cell("loa_mm") == "B3"


def test_each_cell_that_cant_be_read_is_named() -> None:
    data = b"name,material,loa_mm,left_on\n=1+1,+45 12 34,8.4,31/10/2027,stray\n@SUM(A1),'=meant,8400,2027-02-30\n"
    (table,) = tables_read(grids_read("boats.csv", data))
    told = [[(row.cell(refusal.field), refusal.problem) for refusal in row.refusals] for row in table.rows]
    assert told == [
        [
            ("row 2", "E2 stands beside the columns"),
            ("A2", "begins like a formula: =1+1"),
            ("C2", "is no whole number: '8.4'"),
            ("D2", "is no day: '31/10/2027'"),
        ],
        [("A3", "begins like a formula: @SUM(A1)"), ("D3", "is no day: '2027-02-30'")],
    ]
    assert table.rows[0].values["material"] == "+45 12 34"
    assert table.rows[1].values["material"] == "=meant"


def test_a_workbook_gives_figures_and_days_and_no_formula() -> None:
    data = book(
        ["name", "loa_mm", "left_on", "material", "year"],
        [1887, 8400.0, date(2027, 10, 31), "=A1", True],
        ["#REF!", "8400", "2027-10-31", "'=meant", 1.5],
    )
    (table,) = tables_read(grids_read("boats.xlsx", data))
    first, second = table.rows
    assert first.values == {"name": "1887", "loa_mm": 8400, "left_on": date(2027, 10, 31)}
    assert [(first.cell(each.field), each.problem) for each in first.refusals] == [
        ("D2", "holds a formula"),
        ("E2", "holds a truth value: TRUE"),
    ]
    assert second.values == {"loa_mm": 8400, "left_on": date(2027, 10, 31), "material": "=meant"}
    assert [each.problem for each in second.refusals] == ["holds an error: #REF!", "is no whole number: '1.5'"]


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"", "has no rows"),
        (b"name\n", "has no rows"),
        (b"\xff\xfen\0a\0m\0e\0", "is in UTF-16"),
        ("name\nÆgir\n".encode("latin-1"), "is not in UTF-8, see line 2"),
        (b'name\n"Anna', "can't be read at line 2"),
        (b"nam\nAnna\n", "has not the names of columns"),
        (b"name,length\nAnna,8\n", "is no column that is known: 'length'"),
        (b"name,name\nAnna,Anna\n", "a second column has the name name"),
        (b"boat,class\nAnna,x\n", "has no column name"),
        (b"name\n" + b"A\n" * 1001, "has 1001 rows of boats"),
        (b"name\n" + b"A\n" * 9000, "has more than 8000 rows"),
        (b"name\n" + b"x" * MOST_BYTES, "is too large"),
        (b"\xd0\xcf\x11\xe0", "is an old workbook"),
        (b"PK\x03\x04 no archive", "is no workbook that can be read"),
        (archive(a=b"nothing of a workbook"), "is no workbook that can be read"),
        (archive(a=b"\0" * (MOST_BYTES_UNPACKED + 1)), "unpacks to more"),
        (archive(**{f"a{n}": b"" for n in range(201)}), "unpacks to more"),
        (archive(a='<!DOCTYPE x [<!ENTITY a "b">]>'.encode("utf-16")), "defines entities"),
        (book(["name"], *[["A"]] * 1001), "has 1001 rows of boats"),
        (book(["name"], ["A"] * 41), "has 41 columns"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_cant_be_read_at_all_says_why(data: bytes, problem: str) -> None:
    with pytest.raises(Refused) as refused:
        tables_read(grids_read("boats.csv", data))
    assert refused.value.problem.startswith(problem)


def test_a_cell_far_below_costs_nothing() -> None:
    made = Workbook()
    assert made.active is not None
    made.active["A1"] = "name"
    made.active["A1048576"] = "Anna"
    written = BytesIO()
    made.save(written)
    with pytest.raises(Refused, match="more than 8000 rows"):
        grids_read("boats.xlsx", written.getvalue())


def test_a_row_that_is_coloured_to_its_end_costs_no_more_than_what_stands_in_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made = Workbook()
    assert made.active is not None
    made.active.append(["name"])
    made.active["A2"], made.active["B2"] = "Anna", " "
    made.active["XFD2"].font = Font(bold=True)
    written = BytesIO()
    made.save(written)
    read = Mock(wraps=files._from_cell)
    monkeypatch.setattr(files, "_from_cell", read)
    (grid,) = grids_read("boats.xlsx", written.getvalue())
    assert [[cell.text for cell in cells] for _, cells in grid.rows] == [["name"], ["Anna"]]
    assert read.call_count == 2
