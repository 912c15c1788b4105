"""The due-back book as the report shows it, by year and month."""

from __future__ import annotations

from datetime import date

from workshop.quoting.document import DueBackPart
from workshop.report.calendar import calendar_view


def line(on: date, kind: str, place: str, tag: str = "") -> DueBackPart:
    return DueBackPart(on, kind, place, tag, "")


BOOK = (
    line(date(2027, 4, 30), "put_right", "Window frame", "K7F2019M"),
    line(date(2027, 4, 16), "put_right", "Boom"),
    line(date(2027, 4, 20), "look_again", "Locker"),
    line(date(2028, 3, 31), "look_again", "Hatch"),
    line(date(2028, 4, 3), "look_again", "Coaming"),
)


def test_each_month_has_a_row_and_each_kind_a_column_in_the_order_of_the_work() -> None:
    view = calendar_view(BOOK, "en_GB")
    assert view.kinds == ("put right", "look again")
    assert [(year.year, [month.month for month in year.months]) for year in view.years] == [
        (2027, ["April"]),
        (2028, ["March", "April"]),
    ]
    put_right, look_again = view.years[0].months[0].cells
    assert [(each.day, each.place, each.tag) for each in put_right] == [
        ("16", "Boom", ""),
        ("30", "Window frame", "K7F2-019M"),
    ]
    assert [each.place for each in look_again] == ["Locker"]


def test_every_line_of_the_book_is_in_the_calendar_once() -> None:
    view = calendar_view(BOOK, "en_GB")
    places = [each.place for year in view.years for month in year.months for cell in month.cells for each in cell]
    assert sorted(places) == sorted(each.place for each in BOOK)


def test_an_empty_book_has_no_columns() -> None:
    view = calendar_view((), "en_GB")
    assert (view.kinds, view.years) == ((), ())
