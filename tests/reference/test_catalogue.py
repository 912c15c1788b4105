"""The stock catalogue against the trade tables in `trade/`: the same facts, and other words.

Source of every expected value: the tables beside this file. What was read and what is from memory is told in
`trade/README.md`; hours and most waits there are from memory.
"""

import re
from decimal import Decimal

import pytest

from tests.reference.catalogue_files import (
    FILES,
    beside_its_row,
    first_whole_number,
    spans_in_hours,
    stock,
    table,
    texts,
    triples,
)

FITS = {
    "wooden hull": ["wooden_hull"],
    "both": ["any_hull"],
    "wooden hull; wood keel on any hull": ["wooden_hull", "wood_keel"],
    "wooden hull; wooden deck on any hull": ["wooden_hull", "wooden_deck"],
}

# Where the table's unit says more than a code can.
UNITS = {
    "m of line": "m",
    "piece (to 150 x 40 mm)": "piece",
    "scarf (plus 1.0-1.8-3.5 h per m of new length)": "scarf",
    "m of plank (about 150 mm wide)": "m",
    "fitting (4 bolts)": "fitting",
    "m2 (8 coats)": "m2",
    "m2 per coat": "m2_coat",
}


# For a whole painted surface; the table, which goes by what is found, has no row for it.
BESIDE_THE_TABLE = {"STRIP_REPAINT"}


@pytest.mark.parametrize(
    ("name", "column", "count"),
    [("component_classes", "class_code", 40), ("signs", "sign_code", 34), ("treatments", "treatment_code", 30)],
)
def test_codes_are_those_of_the_table(name: str, column: str, count: int) -> None:
    codes = [item["code"] for item in stock(name) if item["code"] not in BESIDE_THE_TABLE]
    assert codes == [row[column] for row in table(name)]
    assert len(codes) == count


def test_component_classes_have_the_facts_of_the_table() -> None:
    for item, row in beside_its_row("component_classes", "class_code"):
        expected = {
            "group": row["group"].replace(" ", "_"),
            "fits": FITS[row["fits"]],
            "contact": row["contact_kind"].split("|"),
            "load": row["load_kind"].split("|"),
            "water": row["water_exposure"].split("|"),
            "safety_role": row["safety_role"],
            "recheck_months": int(row["recheck_months"]),
            "open_up_months": int(row["open_up_months"]),
        }
        assert {key: item[key] for key in expected} == expected, item["code"]


def test_treatments_take_the_hours_of_the_table() -> None:
    for item, row in beside_its_row("treatments", "treatment_code"):
        ours = [Decimal(item[key]) for key in ("hours_low", "hours_likely", "hours_high", "setup_hours")]
        theirs = [Decimal(row[key]) for key in ("hours_low", "hours_likely", "hours_high", "setup_hours_per_job")]
        assert ours == theirs, item["code"]


def test_treatments_are_counted_in_the_units_of_the_table() -> None:
    for item, row in beside_its_row("treatments", "treatment_code"):
        assert item["unit"] == UNITS.get(row["unit"], row["unit"]), item["code"]


def test_treatments_suit_the_signs_of_the_table() -> None:
    for item, row in beside_its_row("treatments", "treatment_code"):
        named = re.findall(r"[A-Z]+(?:_[A-Z]+)+|[A-Z]{3,}", row["used_for_signs"])
        assert item["suits_signs"] == list(dict.fromkeys(named)), item["code"]


def test_treatments_want_the_warmth_and_dryness_of_the_table() -> None:
    for item, row in beside_its_row("treatments", "treatment_code"):
        assert item["minimum_temperature_c"] == first_whole_number(row["min_temp_C"]), item["code"]
        assert item["maximum_moisture_pct"] == first_whole_number(row["max_wood_mc_pct"]), item["code"]


# Rows whose waits point to another row.
WAITS_OF = {"ISOLATE_METALS": "REBED_SEALANT", "STRIP_REPAINT": "STRIP_REVARNISH"}
COATS_OF = {"SEAL_EPOXY_VARN": "STRIP_REVARNISH"}


def waits_named(code: str, column: str) -> str:
    rows = {row["treatment_code"]: row for row in table("treatments")}
    own = rows[WAITS_OF.get(code, code)]
    cells = [own[column], rows[COATS_OF[code]][column] if code in COATS_OF else ""]
    if column == "waits_at_20C":
        cells.append(own["recoat_or_load_window"])
    return "; ".join(cells)


def test_waits_run_from_a_low_to_a_high_that_the_table_names() -> None:
    for item in stock("treatments"):
        spans = spans_in_hours(waits_named(item["code"], "waits_at_20C"))
        for step in item["steps"]:
            if wait := step["wait"]:
                low, high = Decimal(wait["hours_low"]), Decimal(wait["hours_high"])
                assert low in {span[0] for span in spans}, (item["code"], step["text"])
                assert high in {span[1] for span in spans}, (item["code"], step["text"])


def test_no_wait_is_invented_or_forgotten() -> None:
    for item, row in beside_its_row("treatments", "treatment_code"):
        has_waits = any(step["wait"] for step in item["steps"])
        assert has_waits == (row["waits_at_20C"] != "none"), item["code"]


# Waits for which the table has no figure in the cold: taken as double, like most.
NO_FIGURE_FOR_THE_COLD = {
    ("PLY_PATCH", "Sheathe."),
    ("REBED_SEALANT", "Cut away what squeezed out."),
    ("ISOLATE_METALS", "Bed it anew."),
}


def test_cold_stretches_a_wait_as_the_table_says() -> None:
    for item in stock("treatments"):
        cold = waits_named(item["code"], "waits_at_10C")
        spans = spans_in_hours(cold)
        for step in item["steps"]:
            wait = step["wait"]
            if not wait or wait["for"] is None:
                continue
            factor = Decimal(wait["cold_factor"])
            if "double" in cold or (item["code"], step["text"]) in NO_FIGURE_FOR_THE_COLD:
                assert factor == 2, item["code"]
            else:
                in_the_cold = Decimal(wait["hours_likely"]) * factor
                assert any(low <= in_the_cold <= high for low, high in spans), (item["code"], step["text"])


# The table gives these in another unit (kg, L), or as so much per length of a frame; see the treatment's basis.
TOLD_IN_ANOTHER_UNIT = {
    ("PLY_PATCH", "0.8-1.2-2.0"): ("epoxy", "800", "1200", "2000"),
    ("STRIP_REVARNISH", "0.6-0.75-1.0"): ("varnish", "600", "750", "1000"),
    ("SISTER_FRAME", "1.1-1.3-1.6"): ("timber_frame", "1.65", "1.95", "2.4"),
}


def test_materials_take_the_quantities_of_the_table() -> None:
    seen = 0
    for item, row in beside_its_row("treatments", "treatment_code"):
        ours = {tuple(Decimal(line[key]) for key in ("low", "likely", "high")) for line in item["materials"]}
        named = {(line["item"], line["low"], line["likely"], line["high"]) for line in item["materials"]}
        for triple in triples(row["materials_per_unit"]):
            written = "-".join(str(figure) for figure in triple)
            if line := TOLD_IN_ANOTHER_UNIT.get((item["code"], written)):
                assert line in named, item["code"]
            else:
                assert triple in ours, (item["code"], written)
            seen += 1
    assert seen > 50


def test_a_sistered_frame_is_reckoned_at_a_metre_and_a_half() -> None:
    per_length = [Decimal(factor) * Decimal("1.5") for factor in ("1.1", "1.3", "1.6")]
    timber = material_of("SISTER_FRAME", "timber_frame")
    assert timber == per_length


def material_of(treatment: str, material: str) -> list[Decimal]:
    lines = next(item["materials"] for item in stock("treatments") if item["code"] == treatment)
    line = next(line for line in lines if line["item"] == material)
    return [Decimal(line[key]) for key in ("low", "likely", "high")]


def test_deck_seam_sealant_is_width_times_depth_and_a_fifth() -> None:
    # The formula of the tables' README: ml/m = width mm × depth mm × 1.2, for the three seams the table names.
    by_formula = [round(width * depth * Decimal("1.2")) for width, depth in ((5, 6), (6, 6), (8, 8))]
    assert material_of("REEF_PAY_DECK", "sealant") == by_formula


@pytest.mark.parametrize(
    ("treatment", "coats", "area_m2"),
    [("STRIP_REVARNISH", 8, Decimal(1)), ("VARNISH_COAT", 1, Decimal(1)), ("SEAL_EPOXY_VARN", 6, Decimal("0.04"))],
)
def test_varnish_is_area_times_coats_over_twelve(treatment: str, coats: int, area_m2: Decimal) -> None:
    by_formula_ml = area_m2 * coats / 12 * 1000
    low, _, high = material_of(treatment, "varnish")
    assert low <= by_formula_ml <= high


def test_filling_a_bolt_hole_takes_what_the_hole_holds() -> None:
    # 12 mm bore, 40 mm deep, epoxy of 1.2 g/ml
    net_g = Decimal("0.785") * 12**2 * 40 / 1000 * Decimal("1.2")
    low, likely, _ = material_of("OVERBORE_FILL", "epoxy")
    assert low <= net_g <= likely


@pytest.mark.parametrize(
    ("treatment", "extra", "low", "likely", "high"),
    [
        ("SCARF_LENGTH", "new_length", "1", "1.8", "3.5"),
        ("STRIP_REVARNISH", "further_coat", "0.3", "0.45", "0.8"),
    ],
)
def test_what_is_counted_apart_takes_the_hours_of_the_table(
    treatment: str, extra: str, low: str, likely: str, high: str
) -> None:
    item = next(item for item in stock("treatments") if item["code"] == treatment)
    found = next(line for line in item["extras"] if line["code"] == extra)
    assert [Decimal(found[f"hours_{which}"]) for which in ("low", "likely", "high")] == [
        Decimal(low),
        Decimal(likely),
        Decimal(high),
    ]


LONGEST_SHARED_RUN = 7


def runs(text: str, length: int) -> set[tuple[str, ...]]:
    """Every run of so many words; numbers (and so the paragraph numbers of sources) are no words."""
    words = re.findall(r"[a-z0-9]+", text.lower())
    found = {tuple(words[start : start + length]) for start in range(len(words) - length + 1)}
    return {run for run in found if not any(character.isdigit() for word in run for character in word)}


def test_the_words_are_our_own() -> None:
    length = LONGEST_SHARED_RUN + 1
    theirs: set[tuple[str, ...]] = set()
    for name in ("component_classes", "signs", "treatments"):
        for row in table(name):
            for cell in row.values():
                theirs |= runs(cell, length)
    assert len(theirs) > 1000
    copied = {
        (item.get("code") or item["component_class"], " ".join(run))
        for name in FILES
        for item in stock(name)
        for text in texts(item)
        for run in runs(text, length) & theirs
    }
    assert copied == set()
