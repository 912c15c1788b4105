"""Planks, seams and joints: how they move, how wide, how joined, and what is refused."""

from dataclasses import replace
from typing import Any, ClassVar

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.timber.climate import MonthClimate
from inspections.timber.joints import RIGID_LIMIT_MM, JointKind, JointMember, joint_advice
from inspections.timber.movement import (
    across_the_rings,
    change_by_coefficient_mm,
    change_by_shrinkage_mm,
    plank_movement,
)
from inspections.timber.seams import (
    NARROWEST_SEAM_MM,
    SEALANT_CLASSES,
    Seam,
    sealant_class,
    seam_for_planks,
    seam_width_mm,
)
from inspections.timber.seasons import moisture_range_of_year, seasonal_movement
from inspections.timber.species import Species, all_species, species_named
from yard.refusals import Refused

WOODS = [wood for wood in all_species() if wood.shrinkage_tangential_pct is not None]
UNMEASURED = [wood for wood in all_species() if wood.shrinkage_tangential_pct is None]


def _wood(name: str) -> Species:
    wood = species_named(name)
    assert wood is not None
    return wood


OAK, TEAK = _wood("white oak"), _wood("teak")


def _moved(species: Species, angle: float, start: float, end: float, width_mm: float = 150) -> float:
    return plank_movement(
        species=species,
        ring_angle_deg=angle,
        width_mm=width_mm,
        from_moisture_pct=start,
        to_moisture_pct=end,
    ).change_mm


class TestPlank:
    @settings(max_examples=50, deadline=None)
    @given(
        wood=st.sampled_from(WOODS),
        angle=st.floats(0, 90),
        start=st.floats(0, 35),
        rise=st.floats(0, 20),
        further=st.floats(0, 20),
    )
    def test_a_wider_change_of_moisture_never_moves_less(
        self, wood: Species, angle: float, start: float, rise: float, further: float
    ) -> None:
        near = _moved(wood, angle, start, start + rise)
        far = _moved(wood, angle, start, start + rise + further)
        assert 0 <= near <= far + 1e-9
        down = _moved(wood, angle, start + rise, start)
        assert down <= 0
        assert _moved(wood, angle, start + rise, max(start - further, 0)) <= down + 1e-9

    @pytest.mark.parametrize("wood", WOODS, ids=lambda wood: wood.code)
    def test_flat_sawn_moves_more_than_quarter_sawn_and_rift_lies_between(self, wood: Species) -> None:
        flat, rift, quarter = (_moved(wood, angle, 8, 14) for angle in (0, 45, 90))
        assert quarter < rift < flat
        assert rift == pytest.approx((flat + quarter) / 2, rel=0.01)

    def test_within_the_straight_line_the_published_coefficient_is_used(self) -> None:
        moved = plank_movement(
            species=OAK, ring_angle_deg=90, width_mm=150, from_moisture_pct=12, to_moisture_pct=14
        )
        assert moved.equation == "13-2"
        assert moved.change_mm == pytest.approx(0.540)

    def test_beyond_it_total_shrinkage_is_used(self) -> None:
        moved = plank_movement(
            species=OAK, ring_angle_deg=0, width_mm=150, from_moisture_pct=12, to_moisture_pct=25
        )
        assert moved.equation == "13-3"
        assert moved.change_mm == pytest.approx(7.284, abs=0.01)

    def test_a_wood_without_published_coefficients_goes_by_its_shrinkage(self) -> None:
        sapele = _wood("sapele")
        assert sapele.c_t_per_pct is None
        moved = plank_movement(
            species=sapele, ring_angle_deg=0, width_mm=100, from_moisture_pct=8, to_moisture_pct=12
        )
        assert moved.equation == "13-3"
        assert moved.change_mm == pytest.approx(100 * 4 * 0.00259, rel=0.05)

    def test_soaking_wood_moves_no_further_than_its_fibre_saturation(self) -> None:
        assert _moved(OAK, 0, 12, 30) == _moved(OAK, 0, 12, 120)
        assert _moved(OAK, 0, 40, 120) == 0

    def test_a_wood_that_starts_to_shrink_late_stops_swelling_early(self) -> None:
        cedar = _wood("western red cedar")
        assert cedar.shrinkage_starts_pct == 22
        assert _moved(cedar, 0, 10, 22) == _moved(cedar, 0, 10, 28)

    def test_there_and_back_by_shrinkage_is_the_same_plank(self) -> None:
        swelled = 150 + change_by_shrinkage_mm(
            width_mm=150, shrinkage_pct=10.5, from_moisture_pct=12, to_moisture_pct=25
        )
        back = swelled + change_by_shrinkage_mm(
            width_mm=swelled, shrinkage_pct=10.5, from_moisture_pct=25, to_moisture_pct=12
        )
        assert back == pytest.approx(150)

    def test_the_range_takes_in_a_quarter_either_way_and_the_reason_says_so(self) -> None:
        moved = plank_movement(
            species=TEAK, ring_angle_deg=0, width_mm=100, from_moisture_pct=14, to_moisture_pct=8
        )
        assert (moved.low_mm, moved.high_mm) == pytest.approx((0.75 * 1.116, 1.25 * 1.116))
        assert moved.change_mm == pytest.approx(-1.116)
        assert "shrinks by about 1.1 mm" in moved.reasons[0]

    @pytest.mark.parametrize(("start", "end"), [(5.9, 10), (10, 14.1)])
    def test_the_straight_line_is_refused_where_it_does_not_hold(self, start: float, end: float) -> None:
        with pytest.raises(Refused, match="moisture_pct"):
            change_by_coefficient_mm(
                width_mm=100, coefficient_per_pct=0.002, from_moisture_pct=start, to_moisture_pct=end
            )

    @pytest.mark.parametrize(
        ("field", "value"),
        [
            ("width_mm", -1),
            ("ring_angle_deg", 91),
            ("from_moisture_pct", -2),
            ("to_moisture_pct", 301),
            ("to_moisture_pct", float("inf")),
        ],
    )
    def test_a_plank_that_can_t_be_is_refused(self, field: str, value: float) -> None:
        figures: dict[str, Any] = {
            "species": OAK,
            "ring_angle_deg": 0,
            "width_mm": 100,
            "from_moisture_pct": 10,
            "to_moisture_pct": 12,
            field: value,
        }
        with pytest.raises(Refused) as refusal:
            plank_movement(**figures)
        assert refusal.value.field == field

    def test_a_wood_of_unknown_movement_is_refused(self) -> None:
        stranger = replace(OAK, shrinkage_radial_pct=None, c_r_per_pct=None, name="Bog oak")
        with pytest.raises(Refused, match="Bog oak"):
            _moved(stranger, 0, 10, 12)

    @pytest.mark.parametrize("wood", UNMEASURED, ids=lambda wood: wood.code)
    def test_nothing_is_made_up_for_a_wood_without_figures(self, wood: Species) -> None:
        with pytest.raises(Refused) as refusal:
            _moved(wood, 0, 10, 12)
        assert refusal.value.field == "species"

    def test_no_wood_is_without_shrinkage(self) -> None:
        with pytest.raises(Refused, match="shrinkage_pct"):
            change_by_shrinkage_mm(width_mm=100, shrinkage_pct=0, from_moisture_pct=10, to_moisture_pct=12)

    def test_the_angle_s_ends_are_the_two_figures(self) -> None:
        assert across_the_rings(radial=2, tangential=4, ring_angle_deg=0) == 4
        assert across_the_rings(radial=2, tangential=4, ring_angle_deg=90) == pytest.approx(2)


def _year(dry_pct: float = 62, damp_pct: float = 84) -> list[MonthClimate]:
    humidity = {
        month: damp_pct if month in (1, 2, 11, 12) else dry_pct if 5 <= month <= 7 else 74 for month in range(1, 13)
    }
    return [MonthClimate(month, 8, humidity[month], 10) for month in range(1, 13)]


class TestYear:
    def test_the_year_goes_from_its_driest_to_its_wettest_month(self) -> None:
        year = moisture_range_of_year(months=_year())
        assert (year.driest_month, year.wettest_month) == (5, 1)
        assert 11 < year.low_pct < 13
        assert 17 < year.high_pct < 20

    def test_a_coat_lets_half_the_swing_through(self) -> None:
        bare, coated = (moisture_range_of_year(months=_year(), coated=coated) for coated in (False, True))
        assert coated.high_pct - coated.low_pct == pytest.approx((bare.high_pct - bare.low_pct) / 2)
        assert bare.low_pct < coated.low_pct < coated.high_pct < bare.high_pct

    def test_a_year_without_seasons_moves_nothing(self) -> None:
        year = moisture_range_of_year(months=_year(74, 74))
        moved = seasonal_movement(species=OAK, ring_angle_deg=0, width_mm=150, moisture=year)
        assert moved.change_mm == 0

    def test_a_damper_winter_swells_a_plank_further(self) -> None:
        mild, damp = (
            seasonal_movement(
                species=OAK,
                ring_angle_deg=0,
                width_mm=150,
                moisture=moisture_range_of_year(months=_year(62, damp_pct)),
            ).change_mm
            for damp_pct in (80, 88)
        )
        assert 0 < mild < damp

    def test_a_year_of_other_than_twelve_months_is_refused(self) -> None:
        with pytest.raises(Refused, match="there are 11"):
            moisture_range_of_year(months=_year()[:11])
        with pytest.raises(Refused, match="twice"):
            moisture_range_of_year(months=[*_year()[:11], _year()[0]])


def _seam(paid_pct: float, code: str = "ASTM C920 25", **changed: Any) -> Seam:
    figures: dict[str, Any] = {
        "species": TEAK,
        "ring_angle_deg": 0,
        "plank_width_mm": 120,
        "moisture_low_pct": 9,
        "moisture_high_pct": 17,
        "moisture_when_paid_pct": paid_pct,
        "sealant": sealant_class(code=code),
    }
    return seam_for_planks(**{**figures, **changed})


class TestSeam:
    def test_the_deck_of_the_method_page(self) -> None:
        seam = _seam(12)
        assert (round(seam.opens_mm, 2), round(seam.closes_mm, 2)) == (0.67, 1.2)
        assert seam.governed_by == "closing"
        assert round(seam.width_mm, 1) == 4.8
        assert round(seam.cautious_mm, 1) == 6.0

    def test_paid_dry_it_only_closes_and_paid_wet_it_only_opens(self) -> None:
        dry, wet = _seam(9), _seam(17)
        assert dry.opens_mm == 0 < dry.closes_mm
        assert wet.closes_mm == 0 < wet.opens_mm

    @settings(max_examples=50, deadline=None)
    @given(
        paid=st.floats(9, 17),
        wider=st.floats(0, 100),
        damper=st.floats(0, 8),
        code=st.sampled_from(sorted(SEALANT_CLASSES)),
    )
    def test_wider_planks_and_wider_seasons_never_need_a_narrower_seam(
        self, paid: float, wider: float, damper: float, code: str
    ) -> None:
        before = _seam(paid, code).width_mm
        assert before >= NARROWEST_SEAM_MM
        assert _seam(paid, code, plank_width_mm=120 + wider).width_mm >= before
        assert _seam(paid, code, moisture_high_pct=17 + damper).width_mm >= before - 1e-9
        assert _seam(paid, code, moisture_low_pct=max(9 - damper, 0)).width_mm >= before - 1e-9

    def test_a_better_sealant_never_needs_a_wider_seam(self) -> None:
        codes = ["ASTM C920 12.5", "ASTM C920 25", "ASTM C920 35", "ASTM C920 50", "ASTM C920 100/50"]
        widths = [_seam(15, code).needed_mm for code in codes]
        assert widths == sorted(widths, reverse=True)

    def test_a_sealant_that_opens_further_than_it_closes_is_weighed_on_both_sides(self) -> None:
        width = seam_width_mm(opens_mm=1, closes_mm=0.8, extension_pct=100, compression_pct=50)
        assert width == pytest.approx(1.6)

    def test_where_little_moves_filling_decides(self) -> None:
        seam = _seam(12, "ASTM C920 50", plank_width_mm=45, ring_angle_deg=90)
        assert (seam.width_mm, seam.governed_by) == (NARROWEST_SEAM_MM, "filling")
        assert seam.needed_mm < NARROWEST_SEAM_MM

    def test_a_seam_too_wide_to_be_sensible_says_so(self) -> None:
        seam = _seam(17, "ISO 11600 7.5", plank_width_mm=200)
        assert any("higher class" in reason for reason in seam.reasons)

    def test_an_unknown_class_is_refused_with_those_that_are(self) -> None:
        with pytest.raises(Refused, match="ISO 11600 20") as refusal:
            sealant_class(code="ISO 11600 50")
        assert refusal.value.field == "sealant_class"

    def test_a_year_upside_down_is_refused(self) -> None:
        with pytest.raises(Refused, match="moisture_high_pct"):
            _seam(12, moisture_low_pct=18)


class TestJoint:
    YEAR: ClassVar[dict[str, Any]] = {"moisture_low_pct": 10, "moisture_high_pct": 16}

    def test_two_planks_along_each_other_may_be_glued(self) -> None:
        plank = JointMember("plank", OAK)
        advice = joint_advice(first=plank, second=plank, length_mm=3000, **self.YEAR)
        assert (advice.kind, advice.slip_mm) == (JointKind.RIGID, 0)
        assert any("glued rigidly" in reason for reason in advice.reasons)

    def test_wide_grain_across_grain_wants_a_flexible_bed(self) -> None:
        advice = joint_advice(
            first=JointMember("coaming", OAK),
            second=JointMember("post", OAK, grain_to_joint_deg=90),
            length_mm=150,
            **self.YEAR,
        )
        assert advice.kind is JointKind.FLEXIBLE
        assert advice.slip_mm > RIGID_LIMIT_MM
        assert any("post's grain runs at 90°" in reason for reason in advice.reasons)

    def test_edge_to_edge_woods_that_move_alike_may_be_glued_and_unlike_ones_may_not(self) -> None:
        def across(wood: Species) -> JointMember:
            return JointMember(wood.name, wood, grain_to_joint_deg=90)

        alike = joint_advice(first=across(OAK), second=across(OAK), length_mm=200, **self.YEAR)
        unlike = joint_advice(first=across(OAK), second=across(TEAK), length_mm=200, **self.YEAR)
        assert alike.kind is JointKind.RIGID
        assert unlike.kind is JointKind.FLEXIBLE

    def test_a_metal_base_across_the_grain_is_bedded_flexibly(self) -> None:
        advice = joint_advice(
            first=JointMember("winch base", None),
            second=JointMember("coaming", OAK, grain_to_joint_deg=90),
            length_mm=180,
            **self.YEAR,
        )
        assert advice.kind is JointKind.FLEXIBLE
        assert advice.reasons[0] == "The winch base does not swell."

    def test_a_joint_that_works_is_never_glued_rigidly(self) -> None:
        plank = JointMember("plank", OAK)
        advice = joint_advice(first=plank, second=plank, length_mm=100, works_under_load=True, **self.YEAR)
        assert advice.kind is JointKind.FLEXIBLE
        assert "works under load" in advice.reasons[-1]

    def test_near_the_limit_it_is_called_a_close_call(self) -> None:
        def over(length_mm: float) -> bool:
            return joint_advice(
                first=JointMember("rail", OAK),
                second=JointMember("post", OAK, grain_to_joint_deg=90),
                length_mm=length_mm,
                **self.YEAR,
            ).close_call

        assert not over(10)
        assert over(45)
        assert not over(300)

    @settings(max_examples=50, deadline=None)
    @given(
        first=st.sampled_from(WOODS),
        second=st.sampled_from(WOODS),
        grain=st.floats(0, 90),
        length=st.floats(1, 2000),
        longer=st.floats(0, 2000),
    )
    def test_a_longer_joint_never_slips_less_and_sides_don_t_matter(
        self, first: Species, second: Species, grain: float, length: float, longer: float
    ) -> None:
        one, two = JointMember("one", first), JointMember("two", second, grain_to_joint_deg=grain)
        short = joint_advice(first=one, second=two, length_mm=length, **self.YEAR)
        long = joint_advice(first=one, second=two, length_mm=length + longer, **self.YEAR)
        swapped = joint_advice(first=two, second=one, length_mm=length, **self.YEAR)
        assert long.slip_mm >= short.slip_mm
        assert (long.kind is JointKind.FLEXIBLE) >= (short.kind is JointKind.FLEXIBLE)
        assert swapped.slip_mm == short.slip_mm

    def test_an_angle_or_a_length_that_can_t_be_is_refused(self) -> None:
        plank = JointMember("plank", OAK)
        with pytest.raises(Refused) as refusal:
            joint_advice(
                first=plank, second=JointMember("post", OAK, grain_to_joint_deg=120), length_mm=100, **self.YEAR
            )
        assert refusal.value.field == "second.grain_to_joint_deg"
        with pytest.raises(Refused, match="length_mm"):
            joint_advice(first=plank, second=plank, length_mm=0, **self.YEAR)
