"""The table of woods against the reference table, column by column.

Sources: Wood Handbook tables 4-3, 4-4, 5-3a, 5-5a, 13-5 and 14-1, EN 350-2:1994; how well each column is known
stands in the file. The coefficients are also derived again from the shrinkage.
"""

import csv
import re
from pathlib import Path

import pytest

from inspections.timber.species import Species, all_species

TIMBER = Path(__file__).parent
with (TIMBER / "species.csv").open(encoding="utf-8", newline="") as _file:
    ROWS = list(csv.DictReader(_file))
BY_TREE = {wood.botanical_name: wood for wood in all_species()}
COLUMNS = {
    "specific_gravity_basic": "specific_gravity_green_basic",
    "specific_gravity_12pct": "specific_gravity_12pct",
    "shrinkage_radial_pct": "shrinkage_radial_green_to_ovendry_pct",
    "shrinkage_tangential_pct": "shrinkage_tangential_green_to_ovendry_pct",
    "shrinkage_volumetric_pct": "shrinkage_volumetric_green_to_ovendry_pct",
    "c_r_per_pct": "c_r_per_pct_mc",
    "c_t_per_pct": "c_t_per_pct_mc",
    "c_r_from_shrinkage_per_pct": "c_r_from_shrinkage_per_pct_mc",
    "c_t_from_shrinkage_per_pct": "c_t_from_shrinkage_per_pct_mc",
    "shrinkage_starts_pct": "shrinkage_start_mc_pct",
    "compression_perp_kpa": "compression_perp_12pct_kpa",
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["species"])
def test_every_figure_of_a_wood_is_that_of_the_reference(row: dict[str, str]) -> None:
    wood = BY_TREE[row["botanical_name"]]
    for name, column in COLUMNS.items():
        expected = float(row[column]) if row[column] else None
        assert getattr(wood, name) == expected, name
    classes = [int(digit) for digit in re.findall(r"\d", row["durability_class_en350"])]
    assert wood.durability_en350 == ((classes[0], classes[-1]) if classes else None)
    assert wood.decay_class_us is not None
    # Old growth stands first where both are given; the younger, less durable wood is what is sold.
    assert row["decay_class_us"].split(";")[-1].strip().startswith(wood.decay_class_us)


@pytest.mark.parametrize(
    "wood",
    [wood for wood in all_species() if wood.shrinkage_tangential_pct is not None],
    ids=lambda wood: wood.code,
)
def test_coefficients_from_shrinkage_follow_from_it(wood: Species) -> None:
    """Size is a straight line of moisture from where shrinkage starts; the coefficient is per size at 10 %."""
    assert wood.shrinkage_starts_pct is not None
    for shrinkage, coefficient in (
        (wood.shrinkage_radial_pct, wood.c_r_from_shrinkage_per_pct),
        (wood.shrinkage_tangential_pct, wood.c_t_from_shrinkage_per_pct),
    ):
        assert shrinkage is not None
        per_pct = shrinkage / 100 / wood.shrinkage_starts_pct
        assert coefficient == pytest.approx(per_pct / (1 - per_pct * (wood.shrinkage_starts_pct - 10)), abs=1.1e-5)
