"""How much of a material some work needs."""

from decimal import Context, Decimal
from typing import Final

from yard.refusals import Refused

LARGEST_QUANTITY: Final = Decimal(1_000_000)
MOST_WASTE_PCT: Final = Decimal(300)

# Products of three columns of the database have at most this many digits, so that nothing is rounded on the way.
_EXACT: Final = Context(prec=60)


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


def _check(field: str, value: object, largest: Decimal) -> None:
    if not isinstance(value, Decimal) or not value.is_finite():
        raise Refused(field, f"is not a decimal number: {value!r}", "Give a decimal number, like 0.25.")
    if value < 0:
        raise Refused(field, f"is negative: {value}", "Give 0 or more.")
    if value > largest:
        raise Refused(field, f"is over {largest}: {value}", f"Give at most {largest}; look at the unit.")
