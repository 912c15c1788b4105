"""How wide a flexible seam must be for its sealant to follow the planks beside it."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from inspections.figures import Number, between
from inspections.timber.movement import plank_movement
from inspections.timber.species import Species
from yard.refusals import Refused

# Narrower than this a gun and a finger don't fill a seam, deeper than wide it tears: common practice, no source.
NARROWEST_SEAM_MM = 4.0
SHALLOWEST_SEAM_MM = 6.0

# Wider than this, sealant sags and wears underfoot: common practice, no source.
WIDEST_SEAM_MM = 12.0


@dataclass(frozen=True, slots=True)
class SealantClass:
    """By how much of its width a sealant may be drawn open and pressed together, again and again."""

    code: str
    standard: str
    extension_pct: float
    compression_pct: float


def _class(standard: str, name: str, extension_pct: float, compression_pct: float) -> SealantClass:
    return SealantClass(f"{standard} {name}", standard, extension_pct, compression_pct)


SEALANT_CLASSES = MappingProxyType(
    {
        sealant.code: sealant
        for sealant in (
            _class("ASTM C920", "12.5", 12.5, 12.5),
            _class("ASTM C920", "25", 25, 25),
            _class("ASTM C920", "35", 35, 35),
            _class("ASTM C920", "50", 50, 50),
            _class("ASTM C920", "100/50", 100, 50),
            _class("ISO 11600", "7.5", 7.5, 7.5),
            _class("ISO 11600", "12.5", 12.5, 12.5),
            _class("ISO 11600", "20", 20, 20),
            _class("ISO 11600", "25", 25, 25),
        )
    }
)


@dataclass(frozen=True, slots=True)
class Seam:
    """A flexible seam as it should be cut at the moisture it is paid at."""

    width_mm: float
    """As it must be cut: what the movement needs, and no less than can be filled."""
    needed_mm: float
    """What the movement alone needs."""
    cautious_mm: float
    """What a plank needs that moves a quarter more than the figures say."""
    depth_mm: float
    opens_mm: float
    """By how much it opens from there when the planks are driest."""
    closes_mm: float
    """By how much it closes from there when the planks are wettest."""
    governed_by: str
    """`opening`, `closing`, or `filling` where movement asks for less than can be filled."""
    reasons: tuple[str, ...]


def sealant_class(*, code: str) -> SealantClass:
    """The movement a class of sealant is tested for, in % of the seam's width.

    Args:
        code: such as `ASTM C920 25` or `ISO 11600 12.5`; no unit.

    Raises:
        Refused: a class that neither standard has.

    Source: ASTM C920 and ISO 11600, standards, read in texts about them.

    >>> sealant_class(code="ASTM C920 100/50").extension_pct
    100
    """
    try:
        return SEALANT_CLASSES[code]
    except KeyError:
        known = ", ".join(SEALANT_CLASSES)
        raise Refused("sealant_class", f"{code!r} is no class of sealant", f"give one of {known}") from None


def seam_width_mm(*, opens_mm: Number, closes_mm: Number, extension_pct: Number, compression_pct: Number) -> float:
    """The width a seam needs, when it is paid, for what it will open and close from there; in mm.

    Args:
        opens_mm: by which it opens, in mm, 0 to 100.
        closes_mm: by which it closes, in mm, 0 to 100.
        extension_pct: that the sealant bears, in % of the width, 1 to 200.
        compression_pct: that the sealant bears, in % of the width, 1 to 100.

    Raises:
        Refused: a figure outside its range.

    Source: width = movement over class, the rule of ASTM C920 and ISO 11600 classes, standards; read in texts about
    them.

    >>> round(seam_width_mm(opens_mm=0.670, closes_mm=0, extension_pct=25, compression_pct=25), 2)
    2.68
    """
    opening = between("opens_mm", opens_mm, 0, 100, "mm") / between("extension_pct", extension_pct, 1, 200, "%")
    closing = between("closes_mm", closes_mm, 0, 100, "mm") / between(
        "compression_pct", compression_pct, 1, 100, "%"
    )
    return 100 * max(opening, closing)


def seam_for_planks(
    *,
    species: Species,
    ring_angle_deg: Number,
    plank_width_mm: Number,
    moisture_low_pct: Number,
    moisture_high_pct: Number,
    moisture_when_paid_pct: Number,
    sealant: SealantClass,
) -> Seam:
    """How wide to cut a seam between two like planks that are fastened at their middles, and how deep to fill it.

    Each plank gives the seam half its movement, so the seam has the movement of one plank. Paid in the dry season
    it only closes; paid in the wet season it only opens.

    Args:
        species: of both planks.
        ring_angle_deg: between rings and face, in degrees: 0 flat-sawn, 90 quarter-sawn.
        plank_width_mm: in mm, 0 to 5000.
        moisture_low_pct: of the planks in the driest month, in % of dry mass, 0 to 300.
        moisture_high_pct: of the planks in the wettest month, in % of dry mass, 0 to 300, not below the lowest.
        moisture_when_paid_pct: of the planks on the day, in % of dry mass, 0 to 300; outside the year's range the
            seam must reach from there.
        sealant: from `sealant_class`.

    Raises:
        Refused: a figure outside its range, or a wood of whose movement nothing is known.

    Source: movement by Wood Handbook (FPL-GTR-190, 2010), eq. 13-2 and 13-3, a handbook; classes of ASTM C920 and
    ISO 11600, standards; least width and depth are common practice, no source.

    >>> from inspections.timber.species import species_named
    >>> seam = seam_for_planks(species=species_named("teak"), ring_angle_deg=0, plank_width_mm=45,
    ...     moisture_low_pct=8, moisture_high_pct=14, moisture_when_paid_pct=14,
    ...     sealant=sealant_class(code="ASTM C920 12.5"))
    >>> round(seam.opens_mm, 2), round(seam.width_mm, 1), seam.governed_by
    (0.5, 4.0, 'opening')
    """
    width_of_plank = between("plank_width_mm", plank_width_mm, 0, 5000, "mm")
    low = between("moisture_low_pct", moisture_low_pct, 0, 300, "% of dry mass")
    high = between("moisture_high_pct", moisture_high_pct, 0, 300, "% of dry mass")
    paid = between("moisture_when_paid_pct", moisture_when_paid_pct, 0, 300, "% of dry mass")
    if high < low:
        raise Refused("moisture_high_pct", "is below the lowest", "give the year's highest moisture")

    def moved(to_moisture_pct: Number) -> float:
        return plank_movement(
            species=species,
            ring_angle_deg=ring_angle_deg,
            width_mm=width_of_plank,
            from_moisture_pct=paid,
            to_moisture_pct=to_moisture_pct,
        ).change_mm

    opens, closes = max(0.0, -moved(low)), max(0.0, moved(high))
    needed = _needed(opens, closes, sealant)
    cautious = _needed(1.25 * opens, 1.25 * closes, sealant)
    width = max(needed, NARROWEST_SEAM_MM)
    governed_by = _governed_by(needed, opens, closes, sealant)
    return Seam(
        width_mm=width,
        needed_mm=needed,
        cautious_mm=max(cautious, NARROWEST_SEAM_MM),
        depth_mm=max(SHALLOWEST_SEAM_MM, width / 2),
        opens_mm=opens,
        closes_mm=closes,
        governed_by=governed_by,
        reasons=_reasons(paid, opens, closes, width, cautious, governed_by, sealant),
    )


def _governed_by(needed: float, opens: float, closes: float, sealant: SealantClass) -> str:
    if needed < NARROWEST_SEAM_MM:
        return "filling"
    opening_governs = opens / sealant.extension_pct >= closes / sealant.compression_pct
    return "opening" if opening_governs else "closing"


def _needed(opens: float, closes: float, sealant: SealantClass) -> float:
    return seam_width_mm(
        opens_mm=opens,
        closes_mm=closes,
        extension_pct=sealant.extension_pct,
        compression_pct=sealant.compression_pct,
    )


def _reasons(
    paid: float, opens: float, closes: float, width: float, cautious: float, governed_by: str, sealant: SealantClass
) -> tuple[str, ...]:
    reasons = [
        f"Paid at {paid:.1f} % the seam opens by {opens:.2f} mm and closes by {closes:.2f} mm in the year.",
        f"{sealant.code} bears {sealant.extension_pct:g} % open and {sealant.compression_pct:g} % closed.",
    ]
    if governed_by == "filling":
        reasons.append(f"Movement asks for less; {width:g} mm is about the least that can be filled.")
    else:
        reasons.append(f"Cut it {width:.1f} mm wide; {cautious:.1f} mm where the planks may move a quarter more.")
    if width > WIDEST_SEAM_MM:
        reasons.append("That is wide for a seam: a sealant of a higher class, or narrower planks, serve better.")
    reasons.append("Bond-breaker tape at the bottom, so that it holds on to the two sides alone.")
    return tuple(reasons)


__all__ = [
    "SEALANT_CLASSES",
    "SealantClass",
    "Seam",
    "sealant_class",
    "seam_for_planks",
    "seam_width_mm",
]
