"""Planks and seams against published worked examples, computed rows and the classes of two standards.

Sources: dimensional_change_checks.csv, Wood Handbook (FPL-GTR-190, 2010) eq. 13-2 and 13-3, to 0.01 mm (published
examples to the figures they were printed with); joint_width_checks.csv, movement of eq. 13-2 over sealant class,
computed from the movement before it was rounded to 0.001 mm, to 0.01 mm; sealant_classes.csv, ASTM C920 and
ISO 11600, read in texts about them.
"""

import csv
from pathlib import Path

import pytest

from inspections.timber.movement import change_by_coefficient_mm, change_by_shrinkage_mm
from inspections.timber.seams import SEALANT_CLASSES, seam_width_mm

HERE = Path(__file__).parent


def _rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((HERE / name).read_text(encoding="utf-8").splitlines()))


CHANGES = _rows("dimensional_change_checks.csv")
SEAMS = _rows("joint_width_checks.csv")
# Printed in 1/1000 inch or 1/10 mm, of rounded inches.
PRINTED_WITHIN_MM = 0.02


def _changed(row: dict[str, str]) -> float:
    width_mm, coefficient = float(row["initial_dimension_mm"]), float(row["coefficient_value"])
    start, end = float(row["initial_mc_pct"]), float(row["final_mc_pct"])
    if row["equation"] == "eq 13-2":
        return change_by_coefficient_mm(
            width_mm=width_mm, coefficient_per_pct=coefficient, from_moisture_pct=start, to_moisture_pct=end
        )
    return change_by_shrinkage_mm(
        width_mm=width_mm, shrinkage_pct=coefficient, from_moisture_pct=start, to_moisture_pct=end
    )


@pytest.mark.parametrize(
    "row", CHANGES, ids=lambda row: f"{row['equation']}, {row['case']}, {row['initial_mc_pct']}"
)
def test_the_plank_changes_as_the_table_says(row: dict[str, str]) -> None:
    assert _changed(row) == pytest.approx(float(row["change_computed_mm"]), abs=0.01)


@pytest.mark.parametrize("row", [row for row in CHANGES if row["change_published_mm"]], ids=lambda row: row["case"])
def test_the_plank_changes_as_the_published_example_says(row: dict[str, str]) -> None:
    assert _changed(row) == pytest.approx(float(row["change_published_mm"]), abs=PRINTED_WITHIN_MM)


def test_both_equations_are_tried() -> None:
    assert {row["equation"] for row in CHANGES} == {"eq 13-2", "eq 13-3"}


@pytest.mark.parametrize("row", SEAMS, ids=lambda row: f"{row['case']}, {row['sealant_class_pct']} %")
def test_the_seam_is_as_wide_as_the_table_says(row: dict[str, str]) -> None:
    start = 6.0
    movement_mm = change_by_coefficient_mm(
        width_mm=float(row["plank_width_mm"]),
        coefficient_per_pct=float(row["coefficient_per_pct_mc"]),
        from_moisture_pct=start,
        to_moisture_pct=start + float(row["mc_change_pct_points"]),
    )
    assert movement_mm == pytest.approx(float(row["movement_mm"]), abs=0.001)
    width_mm = seam_width_mm(
        opens_mm=movement_mm,
        closes_mm=0,
        extension_pct=float(row["sealant_class_pct"]),
        compression_pct=float(row["sealant_class_pct"]),
    )
    assert width_mm == pytest.approx(float(row["minimum_joint_width_mm"]), abs=0.01)


def test_the_sealant_classes_are_those_of_the_standards() -> None:
    published = {
        f"{row['standard']} {row['class']}": (
            float(row["movement_extension_pct"]),
            float(row["movement_compression_pct"]),
        )
        for row in _rows("sealant_classes.csv")
    }
    ours = {code: (known.extension_pct, known.compression_pct) for code, known in SEALANT_CLASSES.items()}
    assert ours == published
