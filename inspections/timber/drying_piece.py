"""The piece that is to dry, the air that dries it, and the three ways it may go: what `drying` works with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from inspections.figures import between
from inspections.timber.diffusion import SECONDS_PER_DAY, DiffusionSpread, diffusion_coefficient
from inspections.timber.moisture import SALT_DRAWS_FROM_RH_PCT
from inspections.timber.species import Species, species_named
from yard.refusals import Refused

WETTEST_PCT: Final = 200.0
FIBRE_SATURATION_PCT: Final = 30.0
THINNEST_MM: Final = 1.0
THICKEST_MM: Final = 500.0
# Common practice, no source: unwashed salt keeps wood 2 points wetter, and near saturation in air that salt draws
# water from.
_SALT_POINTS: Final = 2.0
_SALT_SOAKED_PCT: Final = 28.0
_UNDER_COVER = "This holds for bare wood under cover; rain and old paint make it longer."


@dataclass(frozen=True, slots=True)
class Piece:
    """What is to dry, checked. `path_mm` is the thickness, or twice that where one face alone is open."""

    start_pct: float
    target_pct: float
    path_mm: float
    species: Species | None

    @property
    def is_dry(self) -> bool:
        return self.start_pct <= self.target_pct

    def coefficient(self, temperature_c: float) -> DiffusionSpread:
        group = None if self.species is None else self.species.diffusion_group
        return diffusion_coefficient(group=group, temperature_c=temperature_c)

    def dt_per_day(self, coefficient_m2_per_s: float) -> float:
        return coefficient_m2_per_s * SECONDS_PER_DAY / (self.path_mm / 1000) ** 2


@dataclass(frozen=True, slots=True)
class Air:
    """What air does to the piece: where it brings it, where it leaves it with the salt in it, and how fast."""

    equilibrium_pct: float
    salted_pct: float
    coefficient: DiffusionSpread


@dataclass(frozen=True, slots=True)
class Pace:
    """One of the three ways it may go."""

    level: Callable[[Air], float]
    coefficient: Callable[[Air], float]


PACES: Final = (
    Pace(lambda air: air.equilibrium_pct, lambda air: air.coefficient.high_m2_per_s),
    Pace(lambda air: air.equilibrium_pct, lambda air: air.coefficient.likely_m2_per_s),
    Pace(lambda air: air.salted_pct, lambda air: air.coefficient.low_m2_per_s),
)


def piece_of(
    start_pct: float, target_pct: float, thickness_mm: float, faces_open: int, species: str | None
) -> Piece:
    start = between("start_pct", start_pct, 0, WETTEST_PCT, "% of dry mass")
    target = between("target_pct", target_pct, 1, FIBRE_SATURATION_PCT, "% of dry mass")
    thickness = between("thickness_mm", thickness_mm, THINNEST_MM, THICKEST_MM, "mm")
    if faces_open not in (1, 2):
        raise Refused("faces_open", f"{faces_open} faces can't be open", "give 1 or 2")
    return Piece(start, target, thickness * (2 if faces_open == 1 else 1), species_named(species or ""))


def air_for(
    piece: Piece, equilibrium_pct: float, temperature_c: float, relative_humidity_pct: float, salt: bool
) -> Air:
    salted = equilibrium_pct
    if salt:
        soaked = _SALT_SOAKED_PCT if relative_humidity_pct >= SALT_DRAWS_FROM_RH_PCT else 0.0
        salted = max(equilibrium_pct + _SALT_POINTS, soaked)
    return Air(equilibrium_pct, salted, piece.coefficient(temperature_c))


def opening_reasons(piece: Piece, salt: bool) -> list[str]:
    reasons = []
    if salt:
        reasons.append("Salt was recorded: wash it out first; salty wood draws water and never dries as far.")
    if piece.is_dry:
        reasons.append(f"At {piece.start_pct:g} % it is down to {piece.target_pct:g} % already.")
        return reasons
    if piece.start_pct > FIBRE_SATURATION_PCT:
        reasons.append("Soaked wood also loses water in ways that this doesn't reckon with: measure as it dries.")
    if piece.species is None:
        reasons.append("The wood is not known, so the spread takes in every kind.")
    return [*reasons, _UNDER_COVER]
