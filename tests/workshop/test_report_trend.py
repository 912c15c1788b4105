"""What was measured at a spot over the years: the charts, and the picture of then beside that of now."""

from __future__ import annotations

import dataclasses
import itertools
from datetime import date
from decimal import Decimal

import pytest

from tests.workshop.documents import a_finding, sha
from workshop.quoting.document import EarlierPart, FindingPart
from workshop.report.finding_pictures import picture_then, pictures_of
from workshop.report.trend import FOOT, HEIGHT, TOP, trend_charts

SEEN_ON = date(2027, 4, 1)


def seen_before(*earlier: EarlierPart, **changes: object) -> FindingPart:
    """84 mm and 26 % on 1 April 2027, after these looks."""
    return dataclasses.replace(a_finding(), seen_on=SEEN_ON, earlier=earlier, **changes)  # type: ignore[arg-type]


def look(year: int, size_mm: str | None = None, moisture_pct: str | None = None, photo: str = "") -> EarlierPart:
    return EarlierPart(
        date(year, 4, 1),
        None if size_mm is None else Decimal(size_mm),
        None if moisture_pct is None else Decimal(moisture_pct),
        photo,
    )


def test_two_measurements_make_a_chart_and_one_makes_none() -> None:
    (chart,) = trend_charts(seen_before(look(2025, "42.0")), "en_GB")
    assert chart.title == "Size, mm"
    assert trend_charts(seen_before(look(2025)), "en_GB") == ()
    assert trend_charts(seen_before(), "en_GB") == ()


def test_a_chart_can_be_read_without_being_seen() -> None:
    size, moisture = trend_charts(seen_before(look(2025, "42.0", "17.50"), look(2026, None, "21.00")), "en_GB")
    assert size.label == "Size over the years: 42 mm on 1 April 2025; 84 mm on 1 April 2027."
    assert moisture.label == (
        "Moisture over the years: 17.5 % on 1 April 2025; 21 % on 1 April 2026; 26 % on 1 April 2027."
    )


def test_half_the_size_stands_half_as_high_and_half_the_time_half_way() -> None:
    (chart,) = trend_charts(seen_before(look(2025, "42.0"), look(2026, "84.0")), "en_GB")
    floor = HEIGHT - FOOT
    first, middle, last = chart.points
    assert last.y == pytest.approx(TOP)
    assert floor - first.y == pytest.approx((floor - last.y) / 2)
    assert middle.x == pytest.approx((first.x + last.x) / 2, abs=0.1)


def test_what_shrank_or_measured_nought_is_drawn_too() -> None:
    (chart,) = trend_charts(seen_before(look(2025, "42.0"), size_mm=Decimal("0.0"), readings=()), "en_GB")
    assert [point.y for point in chart.points] == [pytest.approx(TOP), pytest.approx(HEIGHT - FOOT)]
    (flat,) = trend_charts(seen_before(look(2025, "0.0"), size_mm=Decimal("0.0"), readings=()), "en_GB")
    assert {point.y for point in flat.points} == {HEIGHT - FOOT}


def test_figures_of_many_years_do_not_run_into_each_other() -> None:
    years = [look(year, f"{year - 1990}.0") for year in range(1995, 2027)]
    (chart,) = trend_charts(seen_before(*years), "en_GB")
    assert len(chart.points) == 33
    told = [point.x for point in chart.points if point.value]
    assert len(told) >= 2
    assert all(after - before >= 7 for before, after in itertools.pairwise(told))
    assert chart.points[-1].value == "84"


def test_two_looks_within_days_keep_their_figures_apart() -> None:
    near = EarlierPart(date(2027, 3, 30), Decimal("80.0"), None, "")
    (chart,) = trend_charts(seen_before(look(2020, "10.0"), near), "en_GB")
    assert [point.value for point in chart.points] == ["10", "", "84"]


def test_the_newest_picture_of_an_earlier_year_stands_beside_today_s() -> None:
    finding = seen_before(look(2024, photo=sha(7)), look(2025, photo=sha(8)), look(2026), photos=(sha(1), sha(2)))
    shown = {sha(1), sha(2), sha(8)}
    then = picture_then(finding, shown, "en_GB")
    assert then is not None
    assert (then.sha256, then.caption, then.shown) == (sha(8), "Then: 1 April 2025", True)
    assert "as it was on 1 April 2025" in then.alt
    now, other = pictures_of(finding, shown, "en_GB")
    assert (now.caption, other.caption) == ("Now: 1 April 2027", "")


def test_a_picture_alone_has_no_pair() -> None:
    before = seen_before(look(2025, photo=sha(8)))
    assert picture_then(before, {sha(8)}, "en_GB") is None
    alone = seen_before(look(2025), photos=(sha(1),))
    assert picture_then(alone, {sha(1)}, "en_GB") is None
    assert [picture.caption for picture in pictures_of(alone, {sha(1)}, "en_GB")] == [""]


def test_an_earlier_picture_that_is_broken_is_marked() -> None:
    then = picture_then(seen_before(look(2025, photo=sha(8)), photos=(sha(1),)), {sha(1)}, "en_GB")
    assert then is not None
    assert not then.shown
