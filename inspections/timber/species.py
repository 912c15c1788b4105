"""The woods that a yard meets: how dense they are, how much they move, how long they last.

The table is `species.json` beside this module, each figure with its evidence. What is unknown there is None here;
nothing is made up to fill a gap.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from pathlib import Path
from typing import Any

from yard.refusals import Refused

TABLE = Path(__file__).with_name("species.json")
LONGEST_NAME = 200

# Common practice, no source: the European class that a class of the US table is taken for where EN 350 lists none.
_EN350_FOR_US_CLASS = {
    "very resistant": 1,
    "resistant": 2,
    "moderately resistant": 3,
    "slightly or nonresistant": 5,
}


class DiffusionGroup(StrEnum):
    """How easily moisture goes through the wood across its grain."""

    SOFTWOOD = "softwood"
    HARDWOOD = "hardwood"
    DENSE_HARDWOOD = "dense_hardwood"


@dataclass(frozen=True, slots=True)
class Species:
    """One wood. Specific gravities are oven-dry mass over volume, and have no unit; None is unknown.

    Attributes:
        code: of this table, such as `oak_white`.
        name: as it is shown.
        botanical_name: of the tree.
        diffusion_group: for drying.
        specific_gravity_basic: over the green volume.
        specific_gravity_12pct: over the volume at 12 % moisture.
        shrinkage_radial_pct: from green to oven-dry, % of the green size across the rings.
        shrinkage_tangential_pct: the same along the rings.
        shrinkage_volumetric_pct: the same of the volume.
        c_r_per_pct: published change of size per % of moisture from 6 to 14 %, radial, as a fraction.
        c_t_per_pct: the same, tangential.
        c_r_from_shrinkage_per_pct: the same worked out from the shrinkage, where none is published or to compare.
        c_t_from_shrinkage_per_pct: the same, tangential.
        shrinkage_starts_pct: moisture below which it shrinks, % of dry mass.
        durability_en350: first and last durability class of the heartwood, 1 (very durable) to 5 (not durable).
        decay_class_us: `very resistant`, `resistant`, `moderately resistant` or `slightly or nonresistant`.
        compression_perp_kpa: stress across the grain at the proportional limit, at 12 % moisture, in kPa.
        evidence: column and how well it is known, pair by pair.
        note: what else to know.
    """

    code: str
    name: str
    botanical_name: str
    diffusion_group: DiffusionGroup
    specific_gravity_basic: float | None
    specific_gravity_12pct: float | None
    shrinkage_radial_pct: float | None
    shrinkage_tangential_pct: float | None
    shrinkage_volumetric_pct: float | None
    c_r_per_pct: float | None
    c_t_per_pct: float | None
    c_r_from_shrinkage_per_pct: float | None
    c_t_from_shrinkage_per_pct: float | None
    shrinkage_starts_pct: float | None
    durability_en350: tuple[int, int] | None
    decay_class_us: str | None
    compression_perp_kpa: float | None
    evidence: tuple[tuple[str, str], ...]
    note: str

    @property
    def durability_class(self) -> int | None:
        """The less durable end of its range by EN 350, or what the US class comes to; None for neither."""
        if self.durability_en350 is not None:
            return self.durability_en350[1]
        return None if self.decay_class_us is None else _EN350_FOR_US_CLASS[self.decay_class_us]


@dataclass(frozen=True, slots=True)
class _Table:
    by_code: dict[str, Species]
    by_name: dict[str, Species]


@lru_cache(maxsize=1)
def _table() -> _Table:
    data: dict[str, Any] = json.loads(TABLE.read_text(encoding="utf-8"))
    by_code: dict[str, Species] = {}
    by_name: dict[str, Species] = {}
    for row in data["species"]:
        names = row.pop("names")
        classes = row.pop("durability_en350")
        species = Species(
            **{
                **row,
                "diffusion_group": DiffusionGroup(row["diffusion_group"]),
                "durability_en350": None if classes is None else (classes[0], classes[1]),
                "evidence": tuple(row["evidence"].items()),
            }
        )
        by_code[species.code] = species
        for name in (species.code, species.name, *names, *_trees(species.botanical_name)):
            by_name[_plain(name)] = species
    for name, codes in data["unspecific"].items():
        by_name[_plain(name)] = max((by_code[code] for code in codes), key=lambda wood: wood.durability_class or 0)
    return _Table(by_code, by_name)


def _trees(botanical_name: str) -> list[str]:
    """Each tree of `Milicia excelsa; M. regia` with its genus in full."""
    genus = botanical_name.split()[0]
    return [re.sub(r"^\s*[A-Z]\. ", f"{genus} ", tree) for tree in botanical_name.split(";")]


def _plain(text: str) -> str:
    """The words alone, in lower case and one space apart."""
    return " ".join(re.findall(r"[a-z]+", text.lower()))


def all_species() -> tuple[Species, ...]:
    """Every wood of the table, in the table's order.

    Returns:
        The woods; shrinkage and moisture in %, coefficients per % of moisture, stress in kPa, gravity without unit.

    Raises:
        Nothing.

    Source:
        Wood Handbook FPL-GTR-190 (2010), tables 4-3, 4-4, 5-3a, 5-5a, 13-5 and 14-1 (a handbook); EN 350-2:1994 (a
        standard, as quoted elsewhere); each row of `species.json` says what was seen and what is from memory.

    >>> len(all_species()) >= 16
    True
    """
    return tuple(_table().by_code.values())


@lru_cache(maxsize=2048)
def species_named(text: str) -> Species | None:
    """The wood that a text plainly means, whatever its case, hyphens and spaces.

    A name that several woods share (`oak`, `mahogany`) gives the less durable of those in the table. A name with
    more in it than a wood, such as two of them, gives None: guessing is worse than not knowing.

    Args:
        text: code, common name or botanical name, at most 200 characters.

    Returns:
        The wood, its figures in the units of `all_species` (%, kPa, without unit); None where none is meant.

    Raises:
        Refused: `species` is longer than 200 characters.

    Source:
        Common practice, no source, for which names mean which wood; the figures as in `all_species`.

    >>> species_named(" White-OAK ").code
    'oak_white'
    >>> species_named("mahogany").code
    'mahogany_african'
    >>> species_named("plywood") is None
    True
    """
    if len(text) > LONGEST_NAME:
        raise Refused("species", f"has {len(text)} characters", f"give a name of at most {LONGEST_NAME}")
    return _table().by_name.get(_plain(text))


@lru_cache(maxsize=2048)
def durability_class(*, species: str) -> int | None:
    """How well the heartwood withstands decay, as a class: 1 (very durable) to 5 (not durable).

    Where a wood has a range of classes, or the text names several woods, the least durable counts. Sapwood is class
    5 of any wood.

    Args:
        species: as a yard writes it, such as `teak` or `oak and mahogany`, at most 200 characters.

    Returns:
        The class, without unit, or None where the text, or a part of it, names no wood of the table.

    Raises:
        Refused: `species` is longer than 200 characters.

    Source:
        EN 350-2:1994 (a standard, its classes as quoted elsewhere; the 2016 edition changes some); where it lists
        none, the Wood Handbook FPL-GTR-190 (2010) table 14-1, its four classes taken for 1, 2, 3 and 5 (common
        practice, no source).

    >>> durability_class(species="teak"), durability_class(species="oak and mahogany")
    (1, 3)
    >>> durability_class(species="plywood") is None
    True
    """
    whole = species_named(species)
    if whole is not None:
        return whole.durability_class
    parts = [species_named(part) for part in re.split(r"\band\b|\bor\b|\bon\b|[/+&,;]", species.lower())]
    classes = [None if wood is None else wood.durability_class for wood in parts]
    known = [number for number in classes if number is not None]
    return max(known) if len(known) == len(classes) else None


__all__ = ["TABLE", "DiffusionGroup", "Species", "all_species", "durability_class", "species_named"]
