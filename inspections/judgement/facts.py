"""What judgement is told: a finding, the component it is on, the yard it lies in.

Frozen dataclasses that refuse what can't be. Codes may be given as plain strings; an empty one means "not
recorded" and is kept as None. Lengths in mm, moisture in % of dry mass, temperatures in °C.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from inspections.figures import between, number
from inspections.judgement.door import keep, not_after, size_or_none, word, word_or_none, words
from inspections.judgement.vocabulary import (
    Answer,
    Condition,
    Contact,
    Exposure,
    Load,
    Moves,
    SafetyRole,
    Seal,
    Sides,
    Trend,
    Water,
)
from inspections.timber.climate import scheffer_index
from yard.refusals import Refused
from yard.working_days import WorkingCalendar

MAX_MOISTURE_PCT = 120.0
MAX_UNSEEN_MONTHS = 1_200.0
MONTHS_IN_A_YEAR = 12
WOOD_TEMPERATURE_C = (-40.0, 80.0)
AIR_TEMPERATURE_C = (-60.0, 60.0)
DURABILITY_CLASSES = (1, 2, 3, 4, 5)
MAX_SCHEFFER_INDEX = 1_000.0

MOISTURE = "moisture"
MOISTURE_BESIDE = "moisture_beside"
PERCENT_UNITS = frozenset({"%", "pct", "percent"})


@dataclass(frozen=True, slots=True)
class SignFacts:
    """A sign of the yard's list.

    Args:
        code: as in the list.
        conditions: what it speaks for, strongest first; at least one.
        name: in plain words, for the reasons; without it they do not name the sign.
    """

    code: str
    conditions: tuple[Condition, ...]
    name: str = ""

    def __post_init__(self) -> None:
        if not self.code:
            raise Refused("signs", "a sign has no code", "name a sign of the yard's list")
        keep(self, "conditions", tuple(word("signs", condition, Condition) for condition in self.conditions))
        if not self.conditions:
            raise Refused("signs", f"nothing is known of the sign {self.code!r}", "name a sign of the yard's list")


@dataclass(frozen=True, slots=True)
class Reading:
    """A measured figure.

    Args:
        quantity: what was measured; `moisture` at the spot and `moisture_beside` in sound wood beside it, both
            in % of dry mass from 0 to 120, are used by judgement.
        value: the figure in `unit`.
        unit: as printed on the instrument.
        wood_temperature_c: −40 to 80 °C, where it was taken.
    """

    quantity: str
    value: float
    unit: str
    wood_temperature_c: float | None = None

    def __post_init__(self) -> None:
        if not self.quantity:
            raise Refused(
                "readings", "a reading does not say what was measured", "name the quantity, such as moisture"
            )
        keep(self, "value", number(self.quantity, self.value))
        if self.is_moisture:
            if self.unit not in PERCENT_UNITS:
                raise Refused(self.quantity, f"moisture in {self.unit!r} can't be read", "give % of dry mass")
            between(self.quantity, self.value, 0.0, MAX_MOISTURE_PCT, "% of dry mass")
        if self.wood_temperature_c is not None:
            keep(self, "wood_temperature_c", number("wood_temperature_c", self.wood_temperature_c))
            between("wood_temperature_c", self.wood_temperature_c, *WOOD_TEMPERATURE_C, "°C")

    @property
    def is_moisture(self) -> bool:
        return self.quantity.startswith(MOISTURE)


@dataclass(frozen=True, slots=True)
class EarlierLook:
    """What the same spot looked like before.

    Args:
        seen_on: the day.
        size_mm: 0 to 100 000 mm, where it was measured.
        condition: what it was judged to be, where there was anything.
    """

    seen_on: date
    size_mm: float | None = None
    condition: Condition | None = None

    def __post_init__(self) -> None:
        keep(self, "size_mm", size_or_none("earlier.size_mm", self.size_mm))
        keep(self, "condition", word_or_none("earlier.condition", self.condition, Condition))


@dataclass(frozen=True, slots=True)
class FindingFacts:
    """What was recorded at one place on one day.

    Everything but the day may be missing. What is missing counts as the worst that the component's class allows.

    Args:
        observed_on: the day of the look.
        signs: in any order. None of them where the place was not seen or the part is gone.
        answer: `finding`, `not_seen` or `not_fitted`; a sound place has nothing to be judged.
        size_mm: 0 to 100 000 mm, the largest extent.
        readings: in any order.
        sides: which faces were seen.
        water: what water reaches the place.
        load: what loads the place.
        seal: of the film, bedding or seam.
        moves: under hand load.
        trend: since the last look.
        in_load_path: whether the damage lies in the wood or metal that carries the load.
        unseen_months: how long the hidden part had been out of sight on `observed_on`, 0 to 1200 months.
        last_seen_on: when the hidden part was last seen.
        safety_role: what is at stake at this very place, where that differs from the class.
        earlier: looks at the same spot before this one, in any order.

    Raises:
        Refused: names the field, what is wrong with it and what would do.
    """

    observed_on: date
    signs: tuple[SignFacts, ...] = ()
    answer: Answer = Answer.FINDING
    size_mm: float | None = None
    readings: tuple[Reading, ...] = ()
    sides: Sides | None = None
    water: Water | None = None
    load: Load | None = None
    seal: Seal | None = None
    moves: Moves | None = None
    trend: Trend | None = None
    in_load_path: bool | None = None
    unseen_months: float | None = None
    last_seen_on: date | None = None
    safety_role: SafetyRole | None = None
    earlier: tuple[EarlierLook, ...] = ()

    def __post_init__(self) -> None:
        keep(self, "signs", tuple(self.signs))
        keep(self, "readings", tuple(self.readings))
        keep(self, "answer", word("answer", self.answer, Answer))
        keep(self, "size_mm", size_or_none("size_mm", self.size_mm))
        keep(self, "sides", word_or_none("sides", self.sides, Sides))
        keep(self, "water", word_or_none("water", self.water, Water))
        keep(self, "load", word_or_none("load", self.load, Load))
        keep(self, "seal", word_or_none("seal", self.seal, Seal))
        keep(self, "moves", word_or_none("moves", self.moves, Moves))
        keep(self, "trend", word_or_none("trend", self.trend, Trend))
        keep(self, "safety_role", word_or_none("safety_role", self.safety_role, SafetyRole))
        if self.unseen_months is not None:
            keep(self, "unseen_months", number("unseen_months", self.unseen_months))
            between("unseen_months", self.unseen_months, 0.0, MAX_UNSEEN_MONTHS, "months")
        self._refuse_answer_without_substance()
        not_after("last_seen_on", self.last_seen_on, self.observed_on, "the day of the look")
        for look in self.earlier:
            not_after("earlier.seen_on", look.seen_on, self.observed_on, "the day of this look")
        keep(self, "earlier", tuple(sorted(self.earlier, key=lambda look: look.seen_on)))

    def _refuse_answer_without_substance(self) -> None:
        if self.answer is Answer.SOUND:
            raise Refused("answer", "a sound place has nothing to be judged", "judge findings and places not seen")
        if self.answer is Answer.FINDING and not self.signs:
            raise Refused("signs", "a finding without a sign", "name at least one sign of the yard's list")

    @property
    def moisture_pct(self) -> float | None:
        """The highest moisture reading at the spot, % of dry mass."""
        return max(
            (
                reading.value
                for reading in self.readings
                if reading.is_moisture and not reading.quantity.startswith(MOISTURE_BESIDE)
            ),
            default=None,
        )

    @property
    def moisture_beside_pct(self) -> float | None:
        """The lowest moisture reading in sound wood beside the spot, % of dry mass."""
        return min(
            (reading.value for reading in self.readings if reading.quantity.startswith(MOISTURE_BESIDE)),
            default=None,
        )

    @property
    def measured_before(self) -> EarlierLook | None:
        """The latest earlier look at which the size was taken."""
        return next((look for look in reversed(self.earlier) if look.size_mm is not None), None)


@dataclass(frozen=True, slots=True)
class ComponentFacts:
    """The component and what its class says of it.

    Args:
        class_code: of the yard's list.
        safety_role: what is at stake when it lets go.
        recheck_months: the longest time between two looks, 1 to 120 months.
        open_up_months: the longest time that hidden faces stay closed, 1 to 240 months.
        contact, load, water: what the class may meet; empty counts as anything.
        species: of wood, where known, in the yard's words.
        durability_class: of the wood by EN 350, 1 (very durable) to 5 (not durable), where it is known better than
            by its name.
        boat_year: year the boat was built, where known.
    """

    class_code: str
    safety_role: SafetyRole
    recheck_months: int
    open_up_months: int
    contact: frozenset[Contact] = frozenset()
    load: frozenset[Load] = frozenset()
    water: frozenset[Water] = frozenset()
    species: str | None = None
    durability_class: int | None = None
    boat_year: int | None = None

    def __post_init__(self) -> None:
        if not self.class_code:
            raise Refused("class_code", "the component has no class", "name a component class of the yard's list")
        keep(self, "safety_role", word("safety_role", self.safety_role, SafetyRole))
        keep(self, "contact", words("contact", self.contact, Contact))
        keep(self, "load", words("load", self.load, Load))
        keep(self, "water", words("water", self.water, Water))
        keep(self, "species", self.species or None)
        between("recheck_months", self.recheck_months, 1, 120, "months")
        between("open_up_months", self.open_up_months, 1, 240, "months")
        if self.durability_class is not None and self.durability_class not in DURABILITY_CLASSES:
            raise Refused(
                "durability_class",
                f"{self.durability_class!r} is no class of EN 350",
                "give 1 (very durable) to 5 (not durable)",
            )
        if self.boat_year is not None:
            between("boat_year", self.boat_year, 1700, 2200, "(year built)")


@dataclass(frozen=True, slots=True)
class ClimateMonth:
    """What one month is like at the yard on average.

    Args:
        month: 1 to 12.
        air_temperature_c: −60 to 60 °C.
        relative_humidity_pct: 0 to 100 %.
        rain_days: days with rain, 0 to 31.
    """

    month: int
    air_temperature_c: float
    relative_humidity_pct: float
    rain_days: float

    def __post_init__(self) -> None:
        between("climate.month", self.month, 1, 12, "(January is 1)")
        for name in ("air_temperature_c", "relative_humidity_pct", "rain_days"):
            keep(self, name, number(f"climate.{name}", getattr(self, name)))
        between("climate.air_temperature_c", self.air_temperature_c, *AIR_TEMPERATURE_C, "°C")
        between("climate.relative_humidity_pct", self.relative_humidity_pct, 0.0, 100.0, "%")
        between("climate.rain_days", self.rain_days, 0.0, 31.0, "days")


@dataclass(frozen=True, slots=True)
class LearnedRate:
    """What a yard's own rechecks make of one step of the rule data.

    Args:
        step: as the rule data calls it.
        exposure: where water reaches the place, or where it does not.
        factor: the yard's rate over the table's, above 0; no unit.
        observations: rechecks that say so, 0 or more.
    """

    step: str
    exposure: Exposure
    factor: float
    observations: int = 0

    def __post_init__(self) -> None:
        keep(self, "exposure", word("learned.exposure", self.exposure, Exposure))
        keep(self, "factor", between("learned.factor", self.factor, 1e-6, 1e6, "(no unit)"))
        between("learned.observations", self.observations, 0, 1e9, "rechecks")


@dataclass(frozen=True, slots=True)
class YardFacts:
    """The season that the boat is in or waits for, and the yard's days and weather.

    Args:
        launch_on: when this boat goes in.
        layup_on: when she comes out, after `launch_on`.
        calendar: the days the yard works.
        climate: no month twice; empty where the yard has none entered.
        scheffer_index: how much the climate favours decay, 0 to 1000; worked out of twelve months of climate where
            it is left out.
        learned: what the yard's own rechecks say of its rates; empty where they say nothing yet.
    """

    launch_on: date
    layup_on: date
    calendar: WorkingCalendar = field(default_factory=WorkingCalendar)
    climate: tuple[ClimateMonth, ...] = ()
    scheffer_index: float | None = None
    learned: tuple[LearnedRate, ...] = ()

    def __post_init__(self) -> None:
        keep(self, "climate", tuple(sorted(self.climate, key=lambda normal: normal.month)))
        if self.layup_on <= self.launch_on:
            raise Refused(
                "layup_on",
                f"lay-up on {self.layup_on.isoformat()} is not after the launch on {self.launch_on.isoformat()}",
                "give a day after the launch",
            )
        if len({normal.month for normal in self.climate}) != len(self.climate):
            raise Refused("climate", "a month stands there twice", "give each month once")
        if self.scheffer_index is not None:
            keep(
                self,
                "scheffer_index",
                between("scheffer_index", self.scheffer_index, 0, MAX_SCHEFFER_INDEX, "(no unit)"),
            )
        elif len(self.climate) == MONTHS_IN_A_YEAR:
            index = scheffer_index(
                temperatures_c=[normal.air_temperature_c for normal in self.climate],
                rain_days=[normal.rain_days for normal in self.climate],
            ).index
            keep(self, "scheffer_index", min(index, MAX_SCHEFFER_INDEX))
        if len({(rate.step, rate.exposure) for rate in self.learned}) != len(self.learned):
            raise Refused("learned", "a step stands there twice", "give each step once for each exposure")


def refuse_days_before_the_boat(finding: FindingFacts, component: ComponentFacts) -> None:
    """Refuse looks that are older than the boat.

    Raises:
        Refused: a day of the finding lies in a year before she was built.
    """
    if component.boat_year is None:
        return
    days = [("observed_on", finding.observed_on), ("last_seen_on", finding.last_seen_on)]
    days += [("earlier.seen_on", look.seen_on) for look in finding.earlier]
    for name, day in days:
        if day is not None and day.year < component.boat_year:
            raise Refused(
                name,
                f"{day.isoformat()} is before the boat was built ({component.boat_year})",
                "correct the day or the boat's year",
            )


__all__ = [
    "MOISTURE",
    "MOISTURE_BESIDE",
    "ClimateMonth",
    "ComponentFacts",
    "EarlierLook",
    "FindingFacts",
    "LearnedRate",
    "Reading",
    "SignFacts",
    "YardFacts",
    "refuse_days_before_the_boat",
]
