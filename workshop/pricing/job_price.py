"""What a job costs: the hours it is likely to take at the yard's rates, and materials with their waste.

The owner can check every figure with the ones beside it: labour is the hours as they are told (to the quarter)
times the rate, a material is its quantity as it is told times its price, and the job is the sum of these.

What keeps once it is opened (screws, varnish in a tin) is charged by the amount. What is opened for one job and
can't be kept (a sealant cartridge, a glue kit) is charged by whole packs: the amounts of all operations of the job
are added up first, then the cheapest packs that cover them are taken. Common practice, no source.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from typing import Final

from workshop.estimating.hours import HoursEstimate, ThreePoint, quarter_hours, sum_of, up_to_half_hours
from workshop.estimating.packs import PackCount, PackSize, cheapest_packs
from workshop.estimating.quantities import material_need
from workshop.pricing.money import Totals, line_net, round_money, vat_breakdown
from yard.refusals import Refused

# No job is told as nothing: who goes aboard has spent a quarter of an hour. Common practice, no source.
LEAST_HOURS: Final = Decimal("0.25")
# Nobody buys a part of a screw.
WHOLE_UNITS: Final = frozenset({"pcs"})
LABOUR: Final = "labour"
MATERIALS: Final = "materials"


@dataclass(frozen=True, slots=True)
class MaterialUse:
    """What one unit of an operation takes of a material, in the material's unit, 0 to 1 000 000."""

    code: str
    likely: Decimal


@dataclass(frozen=True, slots=True)
class OperationCost:
    """One operation of a job.

    Attributes:
        treatment: code.
        trade: whose rate applies.
        hours: of the whole operation [h], set-up not counted.
        setup_hours: once a job and treatment [h], 0 to 1000.
        quantity: units of work, more than 0.
        materials: for one unit.
        once: the job does it once, whatever the number of findings it is advised for (opening up).
    """

    treatment: str
    trade: str
    hours: ThreePoint
    setup_hours: Decimal
    quantity: Decimal
    materials: tuple[MaterialUse, ...] = ()
    once: bool = False


@dataclass(frozen=True, slots=True)
class MaterialPrice:
    """A line of the price list: net price per unit, waste [%], the least that is taken for a job, VAT rate [%].

    `packs` are the sizes it is bought in; with `whole_packs` a job pays for those that are opened for it.
    """

    code: str
    name: str
    unit: str
    unit_price: Decimal
    waste_pct: Decimal
    least_per_job: Decimal | None
    vat_rate_pct: Decimal
    packs: tuple[PackSize, ...] = ()
    whole_packs: bool = False


@dataclass(frozen=True, slots=True)
class PriceList:
    """What the yard asks.

    Attributes:
        currency: ISO 4217.
        labour_vat_rate_pct: VAT rate on work [%].
        hourly_rates: net, by trade.
        materials: by code.
    """

    currency: str
    labour_vat_rate_pct: Decimal
    hourly_rates: Mapping[str, Decimal]
    materials: Mapping[str, MaterialPrice]


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """A material of a job: how much with waste, and what it costs net; `packs` where these are what is paid for."""

    code: str
    name: str
    unit: str
    quantity: Decimal
    net: Decimal
    vat_rate_pct: Decimal
    packs: tuple[PackCount, ...] = ()


@dataclass(frozen=True, slots=True)
class Amount:
    """A part of a job's price with its VAT rate [%]."""

    what: str
    net: Decimal
    vat_rate_pct: Decimal


@dataclass(frozen=True, slots=True)
class JobPrice:
    """The hours and the price of a job.

    Attributes:
        estimate: the hours as a distribution.
        hours_likely: median to the quarter [h], as it is told and reckoned with.
        hours_ceiling: 80 % figure up to the half [h]; the yard asks again before it.
        net_labour, net_materials: net.
        materials: what the materials come from.
        amounts: the same net, by VAT rate.
    """

    estimate: HoursEstimate
    hours_likely: Decimal
    hours_ceiling: Decimal
    net_labour: Decimal
    net_materials: Decimal
    materials: tuple[MaterialLine, ...]
    amounts: tuple[Amount, ...]

    def __post_init__(self) -> None:
        if sum((amount.net for amount in self.amounts), Decimal(0)) != self.net:
            raise ValueError("the amounts by VAT rate don't add up to the job")

    @property
    def net(self) -> Decimal:
        """Labour and materials, net."""
        return self.net_labour + self.net_materials


def job_hours(operations: Sequence[OperationCost]) -> HoursEstimate:
    """The hours of a job: operations, what is counted once taken once at its largest, each set-up once."""
    return sum_of([hours for _, hours in _pieces_of_work(operations)])


def job_price(operations: Sequence[OperationCost], prices: PriceList) -> JobPrice:
    """Price a job.

    Args:
        operations: at least one.
        prices: of the yard.

    Raises:
        Refused: no operation, a trade without a rate, a material not on the list, or a figure outside its range.
    """
    if not operations:
        raise Refused("operations", "there is no work in this job", "add an operation, or drop the job")
    estimate = job_hours(operations)
    hours_likely = max(quarter_hours(estimate.median), LEAST_HOURS)
    hours_ceiling = max(up_to_half_hours(estimate.p80), hours_likely)
    net_labour = line_net(hours_likely, _rate(operations, prices), prices.currency)
    materials = material_lines(operations, prices)
    net_materials = round_money(sum((line.net for line in materials), Decimal(0)), prices.currency)
    nets: dict[Decimal, Decimal] = {}
    for line in materials:
        nets[line.vat_rate_pct] = nets.get(line.vat_rate_pct, Decimal(0)) + line.net
    amounts = [Amount(LABOUR, net_labour, prices.labour_vat_rate_pct)]
    amounts += [Amount(MATERIALS, net, rate) for rate, net in sorted(nets.items())]
    return JobPrice(
        estimate, hours_likely, hours_ceiling, net_labour, net_materials, tuple(materials), tuple(amounts)
    )


def totals_of(jobs: Sequence[Sequence[Amount]], currency: str) -> Totals:
    """Totals of several jobs, VAT worked out and rounded once per rate on their sum.

    Args:
        jobs: the amounts of each job.
        currency: ISO 4217.
    """
    return vat_breakdown([(amount.net, amount.vat_rate_pct) for job in jobs for amount in job], currency)


def _pieces_of_work(operations: Sequence[OperationCost]) -> list[tuple[str, ThreePoint]]:
    pieces = [(operation.trade, operation.hours) for operation in _counted(operations)]
    setups: dict[tuple[str, str], Decimal] = {}
    for operation in operations:
        which = (operation.treatment, operation.trade)
        setups[which] = max(setups.get(which, Decimal(0)), operation.setup_hours)
    pieces += [(trade, ThreePoint(hours, hours, hours)) for (_, trade), hours in setups.items() if hours > 0]
    return pieces


def _counted(operations: Sequence[OperationCost]) -> list[OperationCost]:
    """Every operation, but of those that are done once for the job only the largest."""
    counted = [operation for operation in operations if not operation.once]
    for treatment in dict.fromkeys(operation.treatment for operation in operations if operation.once):
        same = [operation for operation in operations if operation.once and operation.treatment == treatment]
        counted.append(max(same, key=lambda operation: (operation.hours.mean, operation.quantity)))
    return counted


def _rate(operations: Sequence[OperationCost], prices: PriceList) -> Decimal:
    """The hourly rate of the job: of several trades, their rates weighed by their share of the hours."""
    shares: dict[str, Decimal] = {}
    for trade, hours in _pieces_of_work(operations):
        if trade not in prices.hourly_rates:
            raise Refused("hourly_rate", f"there is none for the trade {trade!r}", "set what an hour of it costs")
        shares[trade] = shares.get(trade, Decimal(0)) + Decimal(str(round(hours.mean, 6)))
    if len(shares) == 1 or not any(shares.values()):
        return prices.hourly_rates[next(iter(shares))]
    weighed = sum((share * prices.hourly_rates[trade] for trade, share in shares.items()), Decimal(0))
    return weighed / sum(shares.values(), Decimal(0))


def material_lines(operations: Sequence[OperationCost], prices: PriceList) -> list[MaterialLine]:
    """What the operations of one job need of each material together, by code.

    Raises:
        Refused: a material is not on the list, is charged by packs and has none, or needs more than is plausible.
    """
    needs: dict[str, Decimal] = {}
    for operation in _counted(operations):
        for use in operation.materials:
            if use.code not in prices.materials:
                raise Refused("materials", f"{use.code!r} is not on the price list", "put it on the list")
            need = material_need(use.likely, operation.quantity, prices.materials[use.code].waste_pct)
            needs[use.code] = needs.get(use.code, Decimal(0)) + need
    lines = []
    for code, need in sorted(needs.items()):
        if need == 0:
            continue
        price = prices.materials[code]
        quantity = quantity_told(max(need, price.least_per_job or Decimal(0)), price.unit)
        net, packs = _charged(quantity, price, prices.currency)
        lines.append(MaterialLine(code, price.name, price.unit, quantity, net, price.vat_rate_pct, packs))
    return lines


def _charged(quantity: Decimal, price: MaterialPrice, currency: str) -> tuple[Decimal, tuple[PackCount, ...]]:
    if not price.whole_packs:
        return line_net(quantity, price.unit_price, currency), ()
    if not price.packs:
        problem = f"{price.code!r} is charged by whole packs and has no pack size"
        raise Refused("materials", problem, "enter a pack size, or charge it by the amount")
    try:
        bought = cheapest_packs(quantity, price.packs)
    except Refused as refusal:
        raise Refused("materials", f"{price.code!r}: {refusal.problem}", refusal.remedy) from refusal
    return round_money(bought.price, currency), bought.packs


def quantity_told(quantity: Decimal, unit: str) -> Decimal:
    """A quantity as it is told and paid for: whole pieces, or two decimals of what is measured out."""
    if unit in WHOLE_UNITS:
        return quantity.quantize(Decimal(1), rounding=ROUND_CEILING)
    return quantity.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


__all__ = [
    "Amount",
    "JobPrice",
    "MaterialLine",
    "MaterialPrice",
    "MaterialUse",
    "OperationCost",
    "PriceList",
    "job_hours",
    "job_price",
    "material_lines",
    "quantity_told",
    "totals_of",
]
