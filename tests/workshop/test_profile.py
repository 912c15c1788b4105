"""The boat from the side: places at their length, on their side, and nothing over the edge of the sheet."""

from __future__ import annotations

import itertools
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workshop.report.plan import Mark, plan_drawing
from workshop.report.profile import MOST_ROWS, NUMBER_PITCH, Profile, profile_drawing

PORT, CENTRELINE, STARBOARD = 100, 500, 900


def drawn(*marks: Mark, loa_mm: int = 9_000, beam_mm: int = 2_600, room: float = 100) -> Profile:
    profile = profile_drawing(
        loa_mm=loa_mm, beam_mm=beam_mm, marks=marks, label="her", sides_text="port is broken", room=room
    )
    assert profile is not None
    return profile


def at(x: int, y: int = STARBOARD, number: int = 1) -> Mark:
    return Mark(x, y, number, "", "watch")


def test_places_stand_under_their_pins_on_the_plan() -> None:
    marks = [at(x, number=number) for number, x in enumerate((0, 250, 500, 900, 1000))]
    pins = {pin.number: pin.x for pin in plan_drawing(loa_mm=9_000, beam_mm=2_600, marks=marks, label="").pins}
    profile = drawn(*marks)
    assert {tick.number: tick.x for tick in profile.ticks} == pins
    # Bow to the right: what is measured from the stem stands left of it.
    assert [tick.number for tick in profile.ticks] == [4, 3, 2, 1, 0]
    assert profile.ticks[-1].x == profile.forward
    assert profile.ticks[0].x == profile.aft


@pytest.mark.parametrize(("y", "far"), [(PORT, True), (499, True), (CENTRELINE, False), (STARBOARD, False)])
def test_a_place_on_the_side_behind_is_drawn_broken_and_that_is_said(y: int, far: bool) -> None:
    profile = drawn(at(400, y))
    assert profile.ticks[0].far is far
    assert profile.sides_text == ("port is broken" if far else "")


def test_a_line_ends_where_her_shape_does() -> None:
    """The corners of the outline are the ends of a line drawn there."""
    profile = drawn(*(at(x, number=x) for x in (0, 200, 840, 940, 1000)))
    ticks = {tick.number: tick for tick in profile.ticks}
    corners = [(float(x), float(y)) for x, y in re.findall(r"([\d.]+),([\d.]+)", profile.hull)]
    for number in (200, 840, 940):
        assert pytest.approx((ticks[number].x, ticks[number].bottom), abs=0.01) in corners
    for end in (0, 1000):  # stem head and transom are points
        assert ticks[end].top == pytest.approx(ticks[end].bottom, abs=0.01)


def test_where_there_is_no_row_left_for_a_number_the_plan_alone_shows_it() -> None:
    profile = drawn(*(at(500, number=number) for number in range(1, 9)))
    assert [tick.number for tick in profile.ticks] == [1, 2, 3, 4]
    assert len({tick.y for tick in profile.ticks}) == MOST_ROWS


def test_she_is_drawn_shallower_where_there_is_less_room_and_not_at_all_where_there_is_hardly_any() -> None:
    whole = drawn(at(400))
    tight = drawn(at(400), room=whole.height - 8)
    assert tight.height == pytest.approx(whole.height - 8, abs=0.02)
    with pytest.raises(AssertionError):
        drawn(at(400), room=whole.height / 2)


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(
    loa_mm=st.integers(3_000, 60_000),
    slender=st.floats(1.05, 12),
    places=st.lists(st.tuples(st.integers(-50, 1_050), st.integers(-50, 1_050)), max_size=30),
)
def test_nothing_stands_over_the_edge_and_no_numbers_touch(
    loa_mm: int, slender: float, places: list[tuple[int, int]]
) -> None:
    marks = [at(x, y, number) for number, (x, y) in enumerate(places, start=1)]
    profile = drawn(*marks, loa_mm=loa_mm, beam_mm=int(loa_mm / slender))
    for x, y in re.findall(r"([-\d.]+),([-\d.]+)", profile.hull):
        assert 0 <= float(x) <= profile.width
        assert 0 <= float(y) <= profile.height
    for tick in profile.ticks:
        assert profile.aft <= tick.x <= profile.forward
        assert 0 <= tick.top <= tick.bottom + 0.01
        assert tick.bottom < tick.y < profile.height
    for row in {tick.y for tick in profile.ticks}:
        stand = sorted(tick.x for tick in profile.ticks if tick.y == row)
        assert all(after - before >= NUMBER_PITCH - 0.01 for before, after in itertools.pairwise(stand))
