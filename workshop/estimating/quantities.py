"""How much of a material a job needs, and how many packs must be bought."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Context, Decimal
from typing import Final

from yard.refusals import Refused

LARGEST_QUANTITY: Final = Decimal(1_000_000)
MOST_WASTE_PCT: Final = Decimal(300)

# Products of three columns of the database have at most this many digits, so that nothing is rounded on the way.
_EXACT: Final = Context(prec=60)


@dataclass(frozen=True, slots=True)
class Packs:
    """What is bought of a material.

    Attributes:
        count: number of whole packs.
        quantity: what they hold together, in the material's unit.
        left_over: what stays on the shelf, in the material's unit.
    """

    count: int
    quantity: Decimal
    left_over: Decimal


def material_need(quantity_per_unit: Decimal, units: Decimal, waste_pct: Decimal) -> Decimal:
    """Material for some units of work: quantity per unit × units × (1 + waste).

    Args:
        quantity_per_unit: material for one unit of work, in the material's unit, 0 to 1 000 000.
        units: units of work, 0 to 1 000 000.
        waste_pct: what stays in the pot and on the floor [%], 0 to 300.

    Returns:
        Quantity in the material's unit, not rounded.

    Raises:
        Refused: an argument is no decimal number or outside its range.
    """
    _check("quantity_per_unit", quantity_per_unit, LARGEST_QUANTITY)
    _check("units", units, LARGEST_QUANTITY)
    _check("waste_pct", waste_pct, MOST_WASTE_PCT)
    used = _EXACT.multiply(quantity_per_unit, units)
    return _EXACT.multiply(used, 1 + waste_pct.scaleb(-2))


def packs_for(needs: Sequence[Decimal], pack_size: Decimal) -> Packs:
    """Whole packs for the needs of several jobs together, which share what is left in an opened one.

    Args:
        needs: quantities of one material, in its unit, each 0 or more.
        pack_size: what one pack holds, in the same unit, over 0 to 1 000 000.

    Raises:
        Refused: an argument is no decimal number or outside its range.
    """
    _check("pack_size", pack_size, LARGEST_QUANTITY)
    if pack_size == 0:
        raise Refused("pack_size", "is 0", "Give what one pack holds, more than 0.")
    total = Decimal(0)
    for need in needs:
        _check("needs", need, None)
        total = _EXACT.add(total, need)
    whole, rest = _EXACT.divmod(total, pack_size)
    count = int(whole) + (1 if rest > 0 else 0)
    quantity = _EXACT.multiply(Decimal(count), pack_size)
    return Packs(count, quantity, _EXACT.subtract(quantity, total))


def _check(field: str, value: object, largest: Decimal | None) -> None:
    if not isinstance(value, Decimal) or not value.is_finite():
        raise Refused(field, f"is not a decimal number: {value!r}", "Give a decimal number, like 0.25.")
    if value < 0:
        raise Refused(field, f"is negative: {value}", "Give 0 or more.")
    if largest is not None and value > largest:
        raise Refused(field, f"is over {largest}: {value}", f"Give at most {largest}; look at the unit.")
