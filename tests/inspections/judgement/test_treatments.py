"""Which operations are advised, in the order of work, and what must not be done."""

import json
from typing import Any

import pytest

from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Condition
from tests.inspections.judgement.builders import (
    CATALOGUE,
    a_component,
    a_finding,
    judged,
    moisture,
    stock_classes,
    stock_signs,
)

C = Condition
LOADED: dict[str, Any] = {"load": "cyclic", "in_load_path": True}


def advised(signs: str, component_class: str, **told: Any) -> tuple[str, ...]:
    named = tuple(stock_signs()[code] for code in signs.split("|"))
    component = stock_classes()[component_class]
    return judged(a_finding(signs=named, **{"seal": "open", "water": "rain", **told}), component).treatments


def test_every_operation_in_the_rules_is_one_of_the_stock_list() -> None:
    stock = {item["code"] for item in json.loads((CATALOGUE / "treatments.json").read_text("utf-8"))["items"]}
    rules = load_rules()
    named = (
        {row.treatment for row in rules.treatments}
        | {row.treatment for row in rules.holds}
        | {
            rules.watch_treatment,
            rules.read_again_treatment,
        }
    )
    for rule in rules.must_not:
        named |= rule.treatments | ({rule.before} if rule.before else set())
    assert named <= stock


def test_every_sign_and_class_in_the_rules_is_one_of_the_stock_list() -> None:
    rules = load_rules()
    fits = [row.fits for row in rules.treatments]
    fits += [row.fits for row in rules.must_not] + [row.fits for row in rules.holds]
    signs = {code for fit in fits for code in fit.signs}
    signs |= (
        set(rules.conclusive)
        | set(rules.sign_multipliers)
        | rules.salt_signs
        | {code for pair in rules.contradicting for code in pair}
    )
    classes = {code for fit in fits for code in fit.classes | fit.unless_classes}
    assert signs <= set(stock_signs())
    assert classes <= set(stock_classes())


def test_wet_wood_is_washed_and_dried_before_anything_is_closed() -> None:
    assert advised("STAIN_FAST", "PORTLIGHT", readings=moisture(24, 14), load="none") == (
        "WASH_DRY",
        "REBED_SEALANT",
    )


@pytest.mark.parametrize(("moves", "sealed"), [("no", True), ("yes", False)])
def test_a_joint_that_moves_is_not_just_sealed(moves: str, sealed: bool) -> None:
    closing = {"SEAL_EPOXY_VARN", "ROUT_SPLINE", "VARNISH_COAT"}
    codes = advised("GLUE_OPEN", "COAMING", moves=moves, load="static", in_load_path=False)
    assert bool(closing & set(codes)) is sealed


def test_decayed_wood_is_cut_out_and_not_padded_or_doubled() -> None:
    codes = advised("SOFT_PROBE|MOVEMENT_HAND", "WINCH_BASE", moves="yes", **LOADED)
    assert "CUT_DECAY" in codes
    assert not {"BACKING_PAD", "DOUBLER_BOTH", "SEAL_EPOXY_VARN"} & set(codes)


def test_the_same_sign_is_mended_otherwise_on_another_part() -> None:
    assert "RECAULK_HULL" in advised("SEAM_OPEN", "PLK_CARVEL", load="static")
    assert "REEF_PAY_DECK" in advised("SEAM_OPEN", "DECK_TEAK_LAID", load="static")
    assert "SISTER_FRAME" in advised("CRACK_WOOD", "FRAME", **LOADED)
    assert "LAMINATE_TILLER" in advised("CRACK_WOOD", "TILLER", **LOADED)


def test_what_is_watched_has_no_work_and_a_doubtful_reading_is_washed_first() -> None:
    assert judged(a_finding(C.FINISH_ONLY, seal="film_broken")).treatments == ("WATCH",)
    assert judged(a_finding(C.WATER_IN, readings=moisture(27, 27))).treatments == ("WASH_DRY", "WATCH")


@pytest.mark.parametrize("sign", stock_signs())
def test_every_sign_that_is_to_be_put_right_gets_an_operation(sign: str) -> None:
    for code in stock_classes():
        codes = advised(sign, code, moves="yes", trend="grown", **LOADED)
        assert codes
        assert codes != ("WATCH",)


def test_an_own_sign_on_an_own_class_gets_an_operation_by_its_condition() -> None:
    for condition in (C.WATER_WAY_OPEN, C.DECAY, C.SPLIT_IN_LOAD_PATH, C.METAL_WASTING):
        codes = judged(a_finding(condition, seal="open", water="rain", **LOADED), a_component()).treatments
        assert codes
        assert codes != ("WATCH",)
