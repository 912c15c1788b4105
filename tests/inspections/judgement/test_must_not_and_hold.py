"""What would do harm, and what holds a place until the proper repair."""

from datetime import date
from typing import Any

import pytest

from inspections.judgement.facts import EarlierLook
from inspections.judgement.vocabulary import Condition
from tests.inspections.judgement.builders import LAYUP_ON, a_finding, judged, moisture, stock_classes, stock_signs

C = Condition
OPEN: dict[str, Any] = {"seal": "open", "water": "rain"}


def of_stock(signs: str, component_class: str, **told: Any) -> Any:
    named = tuple(stock_signs()[code] for code in signs.split("|"))
    return judged(a_finding(signs=named, **{**OPEN, **told}), stock_classes()[component_class])


def test_wet_wood_is_not_sealed_and_washing_comes_before_what_closes_it() -> None:
    wet = of_stock("CRACK_WOOD", "COAMING", readings=moisture(26, 14))
    assert wet.treatments.index("WASH_DRY") < wet.treatments.index("SEAL_EPOXY_VARN")
    assert any(said.startswith("Do not seal or glue it while it is wet") for said in wet.do_not)
    assert set(wet.do_not) <= set(wet.reasons)
    dry = of_stock("CRACK_WOOD", "COAMING", readings=moisture(14, 14))
    assert "WASH_DRY" not in dry.treatments
    assert dry.do_not == ()


def test_nothing_rigid_goes_into_a_joint_that_moves() -> None:
    moving = of_stock("GLUE_OPEN", "COAMING", moves="yes", load="static")
    assert not {"ROUT_SPLINE", "SEAL_EPOXY_VARN", "OVERBORE_FILL"} & set(moving.treatments)
    assert any("while it moves" in said for said in moving.do_not)


@pytest.mark.parametrize(("load", "works"), [("cyclic", True), ("static", False)])
def test_no_epoxy_goes_into_a_seam_that_works(load: str, works: bool) -> None:
    seam = of_stock("SEAM_OPEN", "PLK_CARVEL", load=load, in_load_path=False)
    assert any("seam that works" in said for said in seam.do_not) is works
    assert "ROUT_SPLINE" not in seam.treatments or not works


def test_a_way_in_at_a_fitting_is_held_with_tape_until_lay_up() -> None:
    hold = of_stock("SEALANT_RING", "PORTLIGHT", load="static").hold
    assert hold is not None
    assert (hold.treatment, hold.until) == ("REBED_BUTYL", LAYUP_ON)


def test_wet_wood_is_held_by_keeping_water_off_and_never_by_sealing_it() -> None:
    hold = of_stock("MC_CONTRAST", "CABIN_TOP", load="static", readings=moisture(27, 14)).hold
    assert hold is not None
    assert hold.treatment == "CLEAR_DRAIN"


@pytest.mark.parametrize(
    ("told", "priority"),
    [
        ({"load": "cyclic", "in_load_path": True, "moves": "yes"}, "before_launch"),
        ({"water": "immersed", "safety_role": "watertightness"}, "this_season"),
        ({"water": "none", "seal": "intact"}, "watch"),
    ],
    ids=["before launch", "under water", "watched"],
)
def test_nothing_stands_in_before_a_launch_under_water_or_where_nothing_is_to_be_done(
    told: dict[str, Any], priority: str
) -> None:
    judgement = judged(a_finding(C.WATER_WAY_OPEN, C.JOINT_MOVES, **{**OPEN, **told}))
    assert judgement.priority == priority
    assert judgement.hold is None


def test_a_hold_ends_on_the_day_by_which_it_is_to_be_put_right() -> None:
    told = {"size_mm": 40, "earlier": (EarlierLook(date(2026, 4, 1), 20),), "readings": moisture(26, 14)}
    judgement = of_stock("MC_CONTRAST", "CABIN_TOP", load="static", safety_role="watertightness", **told)
    assert judgement.due_back_kind == "put_right"
    assert judgement.hold.until == judgement.due_back_on < LAYUP_ON


def test_a_hold_says_by_when_the_proper_repair_is_due() -> None:
    judgement = of_stock("SEALANT_RING", "PORTLIGHT", load="static")
    assert judgement.hold.until >= judgement.due_back_on
    assert judgement.hold.until > date(2027, 5, 1)
    assert any("the proper repair is due by 15 October 2027" in reason for reason in judgement.reasons)
