"""The five forms of the bench: what each asks for.

Field names are those of the API, so that a refusal finds its field.
"""

from __future__ import annotations

import math
from typing import Any, Final

from django.core.exceptions import ValidationError

from inspections.selectors.bench import bench_coat, bench_drying, bench_moisture, bench_seam
from inspections.selectors.bench_screws import BoltsInstead, bench_screw
from inspections.timber.coating import LIMITS, Coating
from inspections.timber.fastening import Fastener, WoodType
from inspections.timber.fittings import SPECIFICATION_FACTOR, TENSILE_STRENGTH_MPA
from inspections.timber.seams import SEALANT_CLASSES
from web.office.bench_answers import coat_told, drying_told, moisture_told, month_told, seam_told
from web.office.bench_fields import Choice, Count, Day, Figure, Tick, Wood
from web.office.bench_form import BenchForm
from web.office.bench_screws_told import screws_told
from web.office.bench_told import Told

MOISTURE: Final = "% of dry mass"
MOST_MOISTURE: Final = " and ".join(
    f"{limits.wood_moisture_max_pct:g} % under {coating}" for coating, limits in LIMITS.items()
)


class MoistureForm(BenchForm):
    slug = "moisture"
    title = "Moisture"
    purpose = "What the air makes of wood under cover, and whether a meter shows more than the weather explains."
    promise = "The moisture that this air brings wood to and, with a reading, what it means."
    button = "Reckon the moisture"
    more_title = "Air, wood and meter more closely"
    more = ("wood_temperature_c", "species", "meter_set_to_species")

    reading_pct = Figure("Meter shows", MOISTURE)
    beside_pct = Figure("Sound wood beside it", MOISTURE)
    salt_recorded = Tick("Salt was seen and is not washed out")
    month = Choice("Month", ())
    air_temperature_c = Figure("Air", "°C")
    relative_humidity_pct = Figure("Humidity of the air", "%")
    wood_temperature_c = Figure("Wood", "°C", help_text="Empty: as warm as the air, and a wider answer.")
    species = Wood(unknown="not known")
    meter_set_to_species = Tick("The meter is set to this wood")

    def fill_in(self) -> None:
        self.hint_air()
        self.hint("reading_pct", "Empty: only what the air makes of wood.")

    def unasked(self) -> Told | None:
        if self.bench.normals is None:
            return None
        found = bench_moisture(yard=self.bench.yard, on_date=self.bench.today, air={})
        return month_told(self.bench, found)

    def reckon(self, given: dict[str, Any]) -> Told:
        air = self.air_given(given)
        return moisture_told(
            self.bench, bench_moisture(yard=self.bench.yard, on_date=self.bench.today, air=air, **given)
        )


class DryingForm(BenchForm):
    slug = "drying"
    title = "Drying"
    purpose = "From which day wet wood is dry enough to be sealed, in the yard's climate or in a heated shed."
    promise = "The earliest, the likely and the cautious day."
    button = "Reckon the drying"
    more_title = "In a shed"
    more = ("air_temperature_c", "relative_humidity_pct")

    start_pct = Figure("Moisture now", MOISTURE, required=True, help_text="The mean through the thickness.")
    target_pct = Figure("Moisture wanted", MOISTURE, required=True, help_text=f"At most {MOST_MOISTURE}.")
    thickness_mm = Figure("Thickness", "mm", required=True)
    faces_open = Choice(
        "Faces that the air reaches", [("2", "both"), ("1", "one, the other is closed")], required=True, initial="2"
    )
    species = Wood(unknown="not known")
    start_on = Day("Drying begins")
    salt_recorded = Tick("Salt was seen and is not washed out")
    air_temperature_c = Figure("Air in the shed", "°C", help_text="Both empty: the yard's climate, month by month.")
    relative_humidity_pct = Figure("Humidity in the shed", "%")

    def fill_in(self) -> None:
        self.fields["start_on"].initial = self.bench.today.isoformat()
        self.fields["target_pct"].initial = f"{max(limits.wood_moisture_max_pct for limits in LIMITS.values()):g}"
        if self.bench.year is None:
            self.hint("air_temperature_c", "Needed: the yard has no climate entered.")

    def reckon(self, given: dict[str, Any]) -> Told:
        air = self.air_given(given)
        given["faces_open"] = int(given["faces_open"])
        start_on = given.pop("start_on", self.bench.today)
        return drying_told(self.bench, bench_drying(yard=self.bench.yard, start_on=start_on, air=air, **given))


class SeamForm(BenchForm):
    slug = "seam"
    title = "Seam"
    purpose = "How wide a seam between two like planks must be for its sealant to follow them through the year."
    promise = "The width to cut and the depth to fill."
    button = "Reckon the seam"
    more_title = "The wood's moisture through the year"
    more = ("moisture_low_pct", "moisture_high_pct", "moisture_when_paid_pct")

    species = Wood(unknown="choose the wood", required=True, error_messages={"required": "is missing; choose one."})
    plank_width_mm = Figure("Width of a plank", "mm", required=True)
    sealant_class = Choice(
        "Sealant's class of movement",
        [(code, code) for code in SEALANT_CLASSES],
        required=True,
        initial="ASTM C920 25",
        help_text="It stands on the data sheet.",
    )
    ring_angle_deg = Figure(
        "Rings to face", "degrees", initial="0", help_text="0 flat-sawn, moves most; 90 quarter-sawn, moves least."
    )
    moisture_low_pct = Figure("In the driest month", MOISTURE)
    moisture_high_pct = Figure("In the wettest month", MOISTURE)
    moisture_when_paid_pct = Figure("When it is paid", MOISTURE)

    def fill_in(self) -> None:
        year, figure = self.bench.year, self.bench.figure
        if year is None:
            for name in self.more:
                self.hint(name, "Needed: the yard has no climate entered.")
            return
        self.hint(
            "moisture_low_pct",
            f"Empty: {figure(year.low_pct, 1)} %, as {self.bench.month(year.driest_month)} here.",
        )
        self.hint(
            "moisture_high_pct",
            f"Empty: {figure(year.high_pct, 1)} %, as {self.bench.month(year.wettest_month)} here.",
        )
        self.hint(
            "moisture_when_paid_pct", f"Empty: what {self.bench.month(self.bench.today.month)} makes of wood here."
        )

    def reckon(self, given: dict[str, Any]) -> Told:
        sealant = given.pop("sealant_class")
        found = bench_seam(yard=self.bench.yard, on_date=self.bench.today, sealant=sealant, **given)
        return seam_told(self.bench, found, sealant)


class CoatForm(BenchForm):
    slug = "coat"
    title = "Coat"
    purpose = (
        "Whether a coat can go on, and if not, why not and what would do. The product's data sheet comes first."
    )
    promise = "Yes or no with every reason, the dew point, and how much of the month allows a coat."
    button = "Check the coat"
    more_title = "How long it cures"
    more = ("hours_on_data_sheet", "reference_temperature_c")

    coating = Choice(
        "Coating",
        [(coating.value, coating.value) for coating in Coating],
        required=True,
        initial=Coating.VARNISH.value,
    )
    month = Choice("Month", ())
    air_temperature_c = Figure("Air", "°C")
    relative_humidity_pct = Figure("Humidity of the air", "%")
    surface_temperature_c = Figure("Surface", "°C", help_text="Empty: as warm as the air.")
    wood_moisture_pct = Figure("Moisture of the wood", MOISTURE, help_text="Empty: taken to be dry enough.")
    raining = Tick("Rain or spray reaches the place")
    salt_on_wood = Tick("Salt was seen and is not washed off")
    hours_on_data_sheet = Figure("Time on the data sheet", "h", help_text="Until tack-free, recoat or full cure.")
    reference_temperature_c = Figure("The data sheet speaks of", "°C", initial="20")

    def fill_in(self) -> None:
        self.hint_air()

    def reckon(self, given: dict[str, Any]) -> Told:
        air, coating = self.air_given(given), Coating(given.pop("coating"))
        washed = not given.pop("salt_on_wood")
        found = bench_coat(
            yard=self.bench.yard,
            on_date=self.bench.today,
            air=air,
            coating=coating,
            salt_washed_off=washed,
            **given,
        )
        return coat_told(self.bench, found)


# Rounded up, so that whoever leaves it as it is does not stay below the specification.
USUAL_FACTOR: Final = f"{math.ceil(100 * SPECIFICATION_FACTOR) / 100:.2f}"

# Fields about bolts, and what `BoltsInstead` calls them.
OF_BOLTS: Final = {
    "bolt_diameter_mm": "diameter_mm",
    "washer_diameter_mm": "washer_diameter_mm",
    "bolt_count": "count",
    "pad_length_mm": "pad_length_mm",
    "pad_width_mm": "pad_width_mm",
    "pad_thickness_mm": "pad_thickness_mm",
    "compression_perpendicular_kpa": "compression_perpendicular_kpa",
}

METALS: Final = [(metal, metal.replace("_", " ").replace("a4 70", "A4-70")) for metal in TENSILE_STRENGTH_MPA]


class ScrewForm(BenchForm):
    slug = "screw"
    title = "Screws"
    purpose = (
        "What the screws of a fitting hold, the hole they want, and what through-bolts and a pad would change."
    )
    promise = "What may be relied on, beside what is asked for, and the lead hole."
    button = "Check the screws"
    more_title = "Metal, density, and through-bolts to compare with"
    more = ("metal", "end_grain", "specific_gravity", "wood_type", *OF_BOLTS)

    fastener = Choice(
        "Kind",
        [(Fastener.WOOD_SCREW.value, "wood screws"), (Fastener.LAG_SCREW.value, "lag screws")],
        required=True,
        initial=Fastener.WOOD_SCREW.value,
    )
    count = Count("Screws that share the pull", 1, 40, initial="1")
    gauge_number = Count("Gauge number", 0, 24, help_text="On the box; or else the shank's diameter.")
    diameter_mm = Figure("Diameter of the shank", "mm")
    penetration_mm = Figure("Thread in the wood", "mm", required=True)
    species = Wood(unknown="not in the list")
    load_n = Figure(
        "Straight pull on the whole fitting",
        "N",
        required=True,
        help_text="A hanging weight of 100 kg pulls 981 N.",
    )
    safety_factor = Figure("Safety factor", "times", required=True, initial=USUAL_FACTOR)
    metal = Choice("Metal", METALS, initial="stainless_a4_70")
    end_grain = Tick("Driven into end grain")
    specific_gravity = Figure("Specific gravity at 12 % moisture", "no unit", help_text="Empty: that of the wood.")
    wood_type = Choice("Hard or soft", [("", "as the wood is"), *((kind.value, kind.value) for kind in WoodType)])
    bolt_diameter_mm = Figure("Bolts, diameter", "mm")
    washer_diameter_mm = Figure("Washers, outer diameter", "mm")
    bolt_count = Count("Bolts, how many", 1, 40, help_text="Empty: as many as screws.")
    pad_length_mm = Figure("Backing pad, length", "mm")
    pad_width_mm = Figure("Backing pad, width", "mm")
    pad_thickness_mm = Figure("Backing pad, thickness", "mm")
    compression_perpendicular_kpa = Figure(
        "Strength of the wood across the grain", "kPa", help_text="Empty: that of the wood."
    )

    def fill_in(self) -> None:
        self.hint(
            "safety_factor",
            f"{USUAL_FACTOR} lies between tests and what the design specification allows.",
        )

    def clean(self) -> dict[str, Any]:
        """Bolts with their washers, or nothing of the bolts."""
        given = self.cleaned_data
        if any(given.get(name) is not None for name in OF_BOLTS):
            for name in ("bolt_diameter_mm", "washer_diameter_mm"):
                if name in given and given[name] is None:
                    self.add_error(name, ValidationError("is needed to compare with bolts; give it in mm."))
        return given

    def reckon(self, given: dict[str, Any]) -> Told:
        bolts = {ours: given.pop(name) for name, ours in OF_BOLTS.items() if name in given}
        if bolts:
            given["bolts"] = BoltsInstead(**bolts)
        if "wood_type" in given:
            given["wood_type"] = WoodType(given["wood_type"])
        return screws_told(self.bench, bench_screw(fastener=Fastener(given.pop("fastener")), **given))


CALCULATORS: Final[tuple[type[BenchForm], ...]] = (MoistureForm, DryingForm, SeamForm, CoatForm, ScrewForm)

__all__ = ["CALCULATORS", "CoatForm", "DryingForm", "MoistureForm", "ScrewForm", "SeamForm"]
