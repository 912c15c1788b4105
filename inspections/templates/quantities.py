"""What can be measured at a check: the quantities the tablet has words for, their units and their usual ranges."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from inspections.templates.document import TemplateDocument
from yard.refusals import Refused

UNITS: Final[dict[str, str]] = {"pct": "%", "mm": "mm", "s": "seconds", "ml_h": "ml an hour", "count": "pieces"}


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something that is measured.

    Args:
        code: as entries name it.
        name: in words, those of the tablet.
        unit: of every figure of it.
        minimum, maximum: the range that a check is offered at first. Common practice, no source: what the usual
            instrument shows; the meter's range is the one the stock templates have.
        use: what it is good for, for somebody who writes a template.
    """

    code: str
    name: str
    unit: str
    minimum: Decimal
    maximum: Decimal
    use: str

    @property
    def unit_name(self) -> str:
        return UNITS[self.unit]


QUANTITIES: Final = (
    Quantity(
        "moisture_pct", "Moisture", "pct", Decimal(4), Decimal(100), "the meter in the wood; judged by season"
    ),
    Quantity("play_mm", "Play", "mm", Decimal(0), Decimal(100), "how far a joint or a fitting moves by hand"),
    Quantity("sink_mm", "Sunk in", "mm", Decimal(0), Decimal(100), "how far a fitting has gone into the wood"),
    Quantity("section_left_mm", "Metal left", "mm", Decimal(0), Decimal(600), "what is sound of a bolt or a plate"),
    Quantity("cover_mm", "Cover", "mm", Decimal(0), Decimal(60), "wood over a fastening or in a laid deck"),
    Quantity("drain_s", "Time to drain", "s", Decimal(0), Decimal(3600), "a bucket of water through a drain"),
    Quantity("weep_ml_h", "Water that comes in", "ml_h", Decimal(0), Decimal(20_000), "a measured hour afloat"),
    Quantity("count", "How many", "count", Decimal(0), Decimal(1000), "fastenings, bungs or cracks counted"),
)
BY_CODE: Final = {quantity.code: quantity for quantity in QUANTITIES}


def unit_refusals(document: TemplateDocument) -> Iterator[Refused]:
    """What is measured in a unit that nobody knows, or in another than it is measured in everywhere else."""
    for position, check in enumerate(document.checks):
        asked = check.reading
        if asked is None:
            continue
        field, known = f"checks[{position}].reading.unit", BY_CODE.get(asked.quantity)
        if known is not None and asked.unit != known.unit:
            yield Refused(field, f"{asked.quantity} is not measured in “{asked.unit}”", f"give {known.unit}")
        elif asked.unit not in UNITS:
            yield Refused(field, f"“{asked.unit}” is not known", f"give one of: {', '.join(UNITS)}")


__all__ = ["BY_CODE", "QUANTITIES", "UNITS", "Quantity", "unit_refusals"]
