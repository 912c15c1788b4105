"""The drawn plan: pins where the spots are, labels that can be read, and nothing outside the sheet."""

import itertools
from xml.etree import ElementTree as ET

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from workshop.report.plan import LABEL_PITCH, Drawing, Mark, half_breadth, plan_drawing


def drawing(*marks: Mark, full: bool = True, loa_mm: int = 8_400, beam_mm: int = 2_450) -> Drawing:
    return plan_drawing(loa_mm=loa_mm, beam_mm=beam_mm, marks=marks, label="Plan", full=full)


def test_the_bow_points_right_and_port_is_on_top() -> None:
    plan = drawing(Mark(0, 500, 1, "", "watch"), Mark(1000, 500, 2, "", "watch"), Mark(500, 0, 3, "", "watch"))
    bow, stern, port = plan.pins
    assert (bow.x, bow.y) == (plan.forward, plan.centre)
    assert (stern.x, stern.y) == (plan.aft, plan.centre)
    assert port.y < plan.centre


def test_a_beamy_boat_is_drawn_beamier() -> None:
    slim, beamy = drawing(beam_mm=1_800), drawing(beam_mm=3_000)
    assert beamy.bottom - beamy.top > slim.bottom - slim.top


def test_length_and_beam_keep_their_proportion() -> None:
    plan = drawing()
    assert (plan.bottom - plan.top) / (plan.forward - plan.aft) == pytest.approx(2_450 / 8_400, abs=0.001)


@given(st.floats(0, 1))
def test_the_deck_is_never_wider_than_the_beam(share: float) -> None:
    assert 0 <= half_breadth(share) <= 1


marks = st.lists(st.tuples(st.integers(0, 1000), st.integers(0, 1000)), min_size=0, max_size=70).map(
    lambda places: [Mark(x, y, number, "K7F2-9HMX", "watch") for number, (x, y) in enumerate(places, start=1)]
)


@given(marks, st.booleans())
def test_pins_lie_on_the_boat_and_labels_on_the_sheet_clear_of_each_other(places: list[Mark], full: bool) -> None:
    plan = drawing(*places, full=full)
    assert [pin.number for pin in plan.pins] == [mark.number for mark in places]
    rows: dict[float, list[float]] = {}
    for pin in plan.pins:
        assert plan.aft - 0.01 <= pin.x <= plan.forward + 0.01
        assert plan.top - 0.01 <= pin.y <= plan.bottom + 0.01
        assert 0 <= pin.label_x <= plan.width - LABEL_PITCH
        assert 0 <= pin.label_y <= plan.height
        assert not plan.top < pin.label_y < plan.bottom
        rows.setdefault(pin.label_y, []).append(pin.label_x)
    for row in rows.values():
        row.sort()
        assert all(after - before >= LABEL_PITCH - 0.02 for before, after in itertools.pairwise(row))


def test_the_svg_says_what_it_shows_and_lets_nobody_in() -> None:
    plan = plan_drawing(
        loa_mm=8_400,
        beam_mm=2_450,
        marks=[Mark(300, 300, 1, '"><script>x</script>', "before_launch")],
        label='Plan of "Sea Pink" <b>',
    )
    root = ET.fromstring(render_to_string("workshop/report/plan.svg", {"plan": plan}))  # noqa: S314 - our own
    assert root.get("role") == "img"
    assert root.get("aria-label") == root.findtext("{*}title") == 'Plan of "Sea Pink" <b>'
    assert not [element for element in root.iter() if element.tag.endswith("script")]
    assert all("style" not in element.attrib for element in root.iter())
