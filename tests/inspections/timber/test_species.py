"""Which wood a yard means by what it writes, and how durable that is."""

import pytest

from inspections.timber.species import TABLE, DiffusionGroup, all_species, durability_class, species_named
from yard.refusals import Refused


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("teak", "teak"),
        ("  White   OAK ", "oak_white"),
        ("white-oak", "oak_white"),
        ("Oak, white", "oak_white"),
        ("oak_white", "oak_white"),
        ("Quercus alba", "oak_white"),
        ("Milicia regia", "iroko"),
        ("Douglas-fir", "douglas_fir"),
        ("red oak", "oak_red"),
        ("pitch pine", "pine_longleaf"),
    ],
)
def test_a_wood_is_found_however_it_is_written(written: str, code: str) -> None:
    found = species_named(written)
    assert found is not None
    assert found.code == code


@pytest.mark.parametrize(
    "written", ["", "plywood", "oak and mahogany", "oakum", "white", "teak veneer on ply", "???"]
)
def test_what_names_no_single_wood_plainly_gives_none(written: str) -> None:
    assert species_named(written) is None


def test_a_name_that_several_woods_share_gives_the_less_durable() -> None:
    names = {"mahogany": ("true mahogany", "african mahogany"), "oak": ("european oak", "white oak")}
    for shared, woods in names.items():
        classes = [durability_class(species=wood) for wood in woods]
        assert None not in classes
        assert durability_class(species=shared) == max(number for number in classes if number is not None)


def test_every_name_that_several_woods_share_leads_to_a_wood_with_a_known_class() -> None:
    for shared in ("oak", "mahogany", "cedar", "spruce", "ash", "larch", "pine"):
        assert f'"{shared}": [' in TABLE.read_text(encoding="utf-8")
        assert durability_class(species=shared) in range(1, 6)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("teak", 1),
        ("oak and mahogany", 3),
        ("Mahogany and spruce", 5),
        ("teak/mahogany", 3),
        ("yellow cedar", 2),
        ("red oak", 4),
        ("teak on plywood", None),
        ("", None),
    ],
)
def test_the_least_durable_of_all_the_woods_named_counts(written: str, expected: int | None) -> None:
    assert durability_class(species=written) == expected


def test_a_name_longer_than_a_name_can_be_is_refused() -> None:
    with pytest.raises(Refused) as refused:
        species_named("oak" * 100)
    assert refused.value.field == "species"


def test_every_wood_makes_sense_and_says_how_well_it_is_known() -> None:
    woods = all_species()
    assert len({wood.code for wood in woods}) == len(woods)
    for wood in woods:
        assert isinstance(wood.diffusion_group, DiffusionGroup)
        assert wood.evidence, wood.code
        assert wood.durability_class in range(1, 6), wood.code
        if wood.specific_gravity_basic is not None and wood.specific_gravity_12pct is not None:
            # Drying shrinks the volume, so that the same dry mass weighs more on it.
            assert 0.2 < wood.specific_gravity_basic < wood.specific_gravity_12pct < 1.0, wood.code
        if wood.shrinkage_radial_pct is not None and wood.shrinkage_tangential_pct is not None:
            assert wood.shrinkage_radial_pct < wood.shrinkage_tangential_pct, wood.code
        if wood.c_r_per_pct is not None and wood.c_t_per_pct is not None:
            assert wood.c_r_per_pct < wood.c_t_per_pct, wood.code


def test_the_table_is_read_once() -> None:
    assert species_named("teak") is species_named("Tectona grandis")
    assert all(first is second for first, second in zip(all_species(), all_species(), strict=True))
