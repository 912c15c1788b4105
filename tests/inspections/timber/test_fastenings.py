"""Screws, bolts, washers and pads: what holds, what gives first, and what is refused."""

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.timber.bearing import crushing_load_n, pad_bearing, pull_from_tipping_n, washer_area_mm2
from inspections.timber.fastening import (
    Fastener,
    WoodType,
    lag_screw_withdrawal_n,
    lead_hole,
    screw_gauge_diameter_mm,
    wood_screw_withdrawal_n,
)
from inspections.timber.fittings import (
    CAUTION,
    TENSILE_STRENGTH_MPA,
    FittingCheck,
    bolts_carry,
    screws_carry,
    what_changes,
)
from yard.refusals import Refused

STANCHION_SCREWS: dict[str, Any] = {
    "fastener": Fastener.WOOD_SCREW,
    "count": 2,
    "diameter_mm": 6.15,
    "penetration_mm": 32,
    "specific_gravity": 0.48,
    "load_n": 5000,
    "safety_factor": 3,
    "tensile_strength_mpa": TENSILE_STRENGTH_MPA["stainless_a4_70"],
}
STANCHION_BOLTS: dict[str, Any] = {
    "count": 2,
    "diameter_mm": 8,
    "bearing_area_per_bolt_mm2": 389,
    "compression_perpendicular_kpa": 5500,
    "load_n": 5000,
    "safety_factor": 3,
    "tensile_strength_mpa": TENSILE_STRENGTH_MPA["stainless_a4_70"],
}


@settings(max_examples=50, deadline=None)
@given(
    gravity=st.floats(0.2, 1.0),
    diameter=st.floats(4, 12),
    length=st.floats(5, 150),
    more=st.floats(1, 1.2),
)
@pytest.mark.parametrize("withdrawal", [wood_screw_withdrawal_n, lag_screw_withdrawal_n])
def test_denser_wood_and_more_screw_never_hold_less(
    withdrawal: Callable[..., float], gravity: float, diameter: float, length: float, more: float
) -> None:
    def holds(**changed: float) -> float:
        figures = {"specific_gravity": gravity, "diameter_mm": diameter, "penetration_mm": length}
        figures = {name: min(value, 12) if name == "diameter_mm" else value for name, value in figures.items()}
        return withdrawal(**{**figures, **changed})

    before = holds()
    assert holds(specific_gravity=gravity * more) >= before
    assert holds(diameter_mm=min(diameter * more, 12)) >= before
    assert holds(penetration_mm=length * more) >= before
    assert withdrawal(
        specific_gravity=gravity, diameter_mm=diameter, penetration_mm=length, end_grain=True
    ) == pytest.approx(0.75 * before)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("specific_gravity", 0.05),
        ("specific_gravity", 1.5),
        ("diameter_mm", 0.5),
        ("diameter_mm", 40),
        ("penetration_mm", 0),
        ("penetration_mm", -3),
        ("penetration_mm", 301),
        ("penetration_mm", float("nan")),
    ],
)
@pytest.mark.parametrize("withdrawal", [wood_screw_withdrawal_n, lag_screw_withdrawal_n])
def test_a_screw_that_can_t_be_is_refused(withdrawal: Callable[..., float], field: str, value: float) -> None:
    figures = {"specific_gravity": 0.5, "diameter_mm": 6.0, "penetration_mm": 30.0, field: value}
    with pytest.raises(Refused) as refusal:
        withdrawal(**figures)
    assert refusal.value.field == field
    assert refusal.value.remedy


@pytest.mark.parametrize("gauge", [-1, 25, 8.5])
def test_a_gauge_that_is_not_made_is_refused(gauge: float) -> None:
    with pytest.raises(Refused, match="gauge_number"):
        screw_gauge_diameter_mm(gauge_number=gauge)  # type: ignore[arg-type]


def test_light_softwood_may_do_without_a_lead_hole_and_oak_may_not() -> None:
    cedar = lead_hole(
        fastener=Fastener.WOOD_SCREW, diameter_mm=4.83, specific_gravity=0.32, wood_type=WoodType.SOFTWOOD
    )
    oak = lead_hole(
        fastener=Fastener.WOOD_SCREW, diameter_mm=4.83, specific_gravity=0.68, wood_type=WoodType.HARDWOOD
    )
    assert not cedar.needed
    assert oak.needed
    assert oak.thread_hole_min_mm > cedar.thread_hole_max_mm


def test_a_medium_hardwood_gets_a_range_where_the_two_rules_differ() -> None:
    teak = lead_hole(
        fastener=Fastener.WOOD_SCREW, diameter_mm=4.83, specific_gravity=0.57, wood_type=WoodType.HARDWOOD
    )
    assert teak.thread_hole_max_mm / teak.thread_hole_min_mm == pytest.approx(90 / 70)
    assert len(teak.reasons) == 2


def test_a_through_bolt_has_no_lead_hole() -> None:
    with pytest.raises(Refused, match="fastener"):
        lead_hole(fastener=Fastener.THROUGH_BOLT, diameter_mm=8, specific_gravity=0.5, wood_type=WoodType.SOFTWOOD)


def test_the_stanchion_of_the_method_page() -> None:
    pull = pull_from_tipping_n(side_load_n=500, height_mm=600, lever_mm=60)
    assert pull == 5000
    screws = screws_carry(**STANCHION_SCREWS)
    assert round(screws.ultimate_n, -1) == 9820
    assert round(screws.allowable_n, -1) == 3270
    assert not screws.holds
    assert screws.limited_by == "withdrawal"
    washers = bolts_carry(**STANCHION_BOLTS)
    assert round(washers.allowable_n, -1) == 1430
    assert washers.limited_by == "bearing"
    pad = pad_bearing(
        pad_length_mm=150,
        pad_width_mm=100,
        pad_thickness_mm=12,
        bolt_count=2,
        washer_diameter_mm=24,
        hole_diameter_mm=9,
    )
    assert round(pad.area_per_bolt_mm2, -1) == 1750
    padded = bolts_carry(**{**STANCHION_BOLTS, "bearing_area_per_bolt_mm2": pad.area_per_bolt_mm2})
    assert round(padded.allowable_n, -1) == 6400
    assert padded.holds
    sentences = what_changes(before=screws, after=padded)
    assert "2.0 times as much" in sentences[0]
    assert "difference between not enough and enough" in sentences[1]


def test_every_check_is_called_an_estimate_and_defers_to_local_codes() -> None:
    for check in (screws_carry(**STANCHION_SCREWS), bolts_carry(**STANCHION_BOLTS)):
        assert check.caution == CAUTION
        assert "not a design" in check.caution
        assert "Local codes and licensed practice govern" in check.caution
        assert check.reasons


def test_what_may_be_relied_on_is_the_ultimate_load_over_the_safety_factor() -> None:
    check = screws_carry(**STANCHION_SCREWS)
    assert check.allowable_n == pytest.approx(check.ultimate_n / 3)
    assert check.load_over_allowable == pytest.approx(check.load_n / check.allowable_n)


def test_a_factor_below_the_design_specification_s_is_pointed_out() -> None:
    low = screws_carry(**STANCHION_SCREWS)
    high = screws_carry(**{**STANCHION_SCREWS, "safety_factor": 6})
    assert any("5.5" in reason for reason in low.reasons)
    assert not any("5.5" in reason for reason in high.reasons)


def test_a_thin_brass_screw_in_oak_breaks_before_it_draws() -> None:
    check = screws_carry(
        fastener=Fastener.WOOD_SCREW,
        count=1,
        diameter_mm=4.17,
        penetration_mm=38,
        specific_gravity=0.68,
        load_n=100,
        safety_factor=5.5,
        tensile_strength_mpa=TENSILE_STRENGTH_MPA["brass"],
    )
    assert check.limited_by == "fastener"
    assert check.reasons[0].startswith("1 wood screw:")


def test_end_grain_is_warned_of() -> None:
    check = screws_carry(**{**STANCHION_SCREWS, "end_grain": True})
    assert any("end grain" in reason for reason in check.reasons)


@settings(max_examples=50, deadline=None)
@given(load=st.floats(0, 20_000), more=st.floats(1, 3), factor=st.floats(1, 6))
def test_more_load_or_a_larger_factor_never_makes_it_hold(load: float, more: float, factor: float) -> None:
    def asked(load_n: float, safety_factor: float) -> FittingCheck:
        return screws_carry(**{**STANCHION_SCREWS, "load_n": load_n, "safety_factor": safety_factor})

    before = asked(load, factor)
    assert asked(load * more, factor).holds <= before.holds
    assert asked(load, factor * more).holds <= before.holds


@settings(max_examples=50, deadline=None)
@given(thickness=st.floats(1, 50), more=st.floats(1, 2), width=st.floats(60, 300))
def test_a_thicker_or_wider_pad_never_bears_less(thickness: float, more: float, width: float) -> None:
    def area(pad_thickness_mm: float, pad_width_mm: float) -> float:
        return pad_bearing(
            pad_length_mm=120,
            pad_width_mm=pad_width_mm,
            pad_thickness_mm=pad_thickness_mm,
            bolt_count=4,
            washer_diameter_mm=24,
            hole_diameter_mm=9,
        ).area_per_bolt_mm2

    before = area(thickness, width)
    assert area(thickness * more, width) >= before
    assert area(thickness, width * more) >= before
    assert before >= washer_area_mm2(outer_diameter_mm=24, hole_diameter_mm=9)


def test_a_thick_pad_is_used_to_its_edges_and_a_thin_one_is_not() -> None:
    pad = {
        "pad_length_mm": 100,
        "pad_width_mm": 100,
        "bolt_count": 4,
        "washer_diameter_mm": 20,
        "hole_diameter_mm": 7,
    }
    assert pad_bearing(**pad, pad_thickness_mm=4).limited_by_thickness
    assert not pad_bearing(**pad, pad_thickness_mm=40).limited_by_thickness


def test_a_soft_pad_crushes_under_the_washer_before_the_deck_does() -> None:
    padded = {**STANCHION_BOLTS, "bearing_area_per_bolt_mm2": 1746}
    soft = bolts_carry(**padded, washer_on_pad_mm2=389, pad_compression_kpa=2800)
    assert soft.limited_by == "pad"
    assert soft.allowable_n < bolts_carry(**padded).allowable_n


def test_a_pad_s_strength_without_its_washers_is_refused() -> None:
    with pytest.raises(Refused) as refusal:
        bolts_carry(**STANCHION_BOLTS, pad_compression_kpa=2800)
    assert refusal.value.field == "washer_on_pad_mm2"


def test_two_checks_of_different_loads_are_not_compared() -> None:
    with pytest.raises(Refused, match="load_n"):
        what_changes(
            before=screws_carry(**STANCHION_SCREWS), after=bolts_carry(**{**STANCHION_BOLTS, "load_n": 4000})
        )


@pytest.mark.parametrize(
    ("field", "value"),
    [("count", 0), ("count", 41), ("load_n", -1), ("safety_factor", 0.5), ("tensile_strength_mpa", 10)],
)
def test_a_fitting_that_can_t_be_is_refused(field: str, value: float) -> None:
    with pytest.raises(Refused) as refusal:
        screws_carry(**{**STANCHION_SCREWS, field: value})
    assert refusal.value.field == field


def test_through_bolts_are_not_checked_as_screws() -> None:
    with pytest.raises(Refused, match="fastener"):
        screws_carry(**{**STANCHION_SCREWS, "fastener": Fastener.THROUGH_BOLT})


def test_a_washer_smaller_than_its_hole_is_refused() -> None:
    with pytest.raises(Refused, match="falls through"):
        washer_area_mm2(outer_diameter_mm=8, hole_diameter_mm=8)


def test_washers_wider_than_the_pad_are_refused() -> None:
    with pytest.raises(Refused, match="wider than the pad"):
        pad_bearing(
            pad_length_mm=20,
            pad_width_mm=20,
            pad_thickness_mm=10,
            bolt_count=4,
            washer_diameter_mm=24,
            hole_diameter_mm=9,
        )


def test_no_wood_is_crushed_at_a_strength_that_no_wood_has() -> None:
    with pytest.raises(Refused, match="compression_perpendicular_kpa"):
        crushing_load_n(compression_perpendicular_kpa=100, area_mm2=100)
