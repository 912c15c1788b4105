"""The bench: five plain forms that any member may open, with the yard's climate where nothing is given."""

from __future__ import annotations

import re
from datetime import date
from html import unescape
from typing import Any
from urllib.parse import urlencode

import pytest

from inspections.selectors.bench import bench_coat, bench_drying, bench_moisture, bench_seam
from inspections.selectors.bench_screws import bench_screw
from inspections.timber.coating import Coating
from inspections.timber.fastening import Fastener
from inspections.timber.fittings import CAUTION
from tests.factories import MemberFactory, TechnicianFactory
from tests.queries import queries_of
from tests.web.visitor import Visitor
from yard.models import ClimateNormal, Member

pytestmark = pytest.mark.django_db

PAGE = "/bench/"
TODAY = date(2027, 4, 6)
NAMES = ("moisture", "drying", "seam", "coat", "screw")
MOISTURE = {"moisture-reading_pct": "26", "moisture-beside_pct": "14"}
DRYING = {"drying-start_pct": "22", "drying-thickness_mm": "25"}
SEAM = {"seam-species": "teak", "seam-plank_width_mm": "120"}
COAT = {"coat-coating": "varnish", "coat-air_temperature_c": "12", "coat-relative_humidity_pct": "80"}
SCREW = {
    "screw-gauge_number": "14",
    "screw-penetration_mm": "32",
    "screw-species": "teak",
    "screw-load_n": "5000",
    "screw-count": "4",
}
EVERYTHING = {**MOISTURE, **DRYING, **SEAM, **COAT, **SCREW}


@pytest.fixture
def technician(db: None) -> Member:
    return TechnicianFactory.create()


@pytest.fixture
def visitor(technician: Member) -> Visitor:
    return Visitor(technician)


def text_of(html: str) -> str:
    return " ".join(unescape(re.sub("<[^>]+>", " ", html)).split())


def answer_in(page: str, name: str) -> str:
    """What stands beside the form, as text."""
    return text_of(page.split(f'id="{name}-answer"')[1].partition(">")[2].split("</section>")[0])


def form_in(page: str, name: str) -> str:
    return page.split(f'id="{name}" ')[1].split("<form")[1].split("</form>")[0]


def value_in(page: str, name: str) -> str:
    """What stands in a field."""
    field = re.search(rf'<input[^>]*name="{name}"[^>]*>', page)
    assert field is not None, name
    value = re.search('value="([^"]*)"', field[0])
    return "" if value is None else unescape(value[1])


def chosen_in(page: str, name: str) -> str:
    choices = page.split(f'<select name="{name}"')[1].split("</select>")[0]
    chosen = re.search('value="([^"]*)" selected', choices)
    return "" if chosen is None else chosen[1]


def refused(visitor: Visitor, **given: str) -> str:
    answer = visitor.get(PAGE, **given)
    assert answer.status_code == 422
    return str(answer.content.decode())


def refusals_in(page: str, name: str) -> dict[str, str]:
    """What stands at each field that was refused, by the field's name."""
    found = {}
    for field, told in re.findall(rf'id="id_{name}-(\w+)_error">(.*?)</div>', page, re.DOTALL):
        found[field] = text_of(told)
        assert f'href="#id_{name}-{field}"' in page, "the answer leads to the field"
    return found


class TestWhoAndHow:
    def test_technicians_and_managers_find_it_in_the_navigation(self, technician: Member) -> None:
        for member in (technician, MemberFactory.create(yard=technician.yard)):
            assert f'href="{PAGE}"' in Visitor(member).page("/season/")
            assert Visitor(member).get(PAGE).status_code == 200

    def test_who_is_not_signed_in_is_led_back_to_the_same_answer(self) -> None:
        answer = Visitor().get(PAGE, **SEAM)
        assert answer.status_code == 302
        assert answer["Location"].startswith("/sign-in/?next=/bench/%3Fseam-species%3Dteak")

    def test_another_yards_member_reckons_with_their_own_climate(self, visitor: Visitor) -> None:
        other = TechnicianFactory.create()
        ClimateNormal.objects.filter(yard=other.yard, month=4).update(air_temperature_c=21)
        assert "21.0 °C" in answer_in(Visitor(other).page(PAGE), "moisture")
        assert "21.0 °C" not in answer_in(visitor.page(PAGE), "moisture")

    def test_every_calculator_has_its_form_its_anchor_and_a_place_for_the_answer(self, visitor: Visitor) -> None:
        page = visitor.page(PAGE)
        for name in NAMES:
            assert f'href="#{name}"' in page
            assert f'id="{name}" ' in page
            assert f'<form method="get" action="/bench/#{name}-answer"' in page
            assert f'id="{name}-answer"' in page
        assert "<script" not in page.split("<main")[1]
        assert "style=" not in page

    def test_every_figures_label_carries_its_unit(self, visitor: Visitor) -> None:
        page = visitor.page(PAGE)
        units = {"pct": "%", "c": "°C", "mm": "mm", "deg": "degrees", "n": "N", "kpa": "kPa", "sheet": "h"}
        checked = 0
        for field in re.findall(r'<input type="text" name="([\w-]+)"', page):
            unit = units.get(field.rpartition("_")[2])
            if unit is not None:
                label = re.search(rf'<label[^>]*for="id_{field}"[^>]*>([^<]*)</label>', page)
                assert label is not None, field
                assert re.search(rf", {re.escape(unit)}( of dry mass)?$", label[1]), field
                checked += 1
        assert checked > 20

    def test_it_asks_the_database_as_often_whatever_was_typed(self, visitor: Visitor) -> None:
        few = len(queries_of(lambda: visitor.page(PAGE)))
        all_asked = len(queries_of(lambda: visitor.page(PAGE, **EVERYTHING)))
        # moisture, drying, seam and coat read the normals; the page itself, too
        assert (few, all_asked) == (few, few + 3)
        assert few <= 6


class TestDefaults:
    def test_the_yards_own_month_is_there_before_anything_is_typed(
        self, visitor: Visitor, technician: Member
    ) -> None:
        page = visitor.page(PAGE)
        april = ClimateNormal.objects.get(yard=technician.yard, month=4)
        found = bench_moisture(yard=technician.yard, on_date=TODAY, air={})
        told = answer_in(page, "moisture")
        assert f"about {found.equilibrium_moisture_content_pct:.1f} % moisture" in told
        assert f"{april.air_temperature_c:.1f} °C and {april.relative_humidity_pct:.0f} % humidity" in told
        assert chosen_in(page, "moisture-month") == chosen_in(page, "coat-month") == "4"
        assert "April here has 7.5 °C" in text_of(form_in(page, "coat"))
        assert value_in(page, "drying-start_on") == "2027-04-06"
        assert value_in(page, "drying-target_pct") == "16"
        assert chosen_in(page, "drying-faces_open") == "2"
        assert chosen_in(page, "seam-sealant_class") == "ASTM C920 25"

    def test_only_what_was_asked_is_answered(self, visitor: Visitor) -> None:
        page = visitor.page(PAGE, **SEAM)
        assert "Cut it" in answer_in(page, "seam")
        assert answer_in(page, "drying") == "The earliest, the likely and the cautious day."

    def test_another_months_normals_are_taken(self, visitor: Visitor, technician: Member) -> None:
        july = bench_moisture(yard=technician.yard, on_date=TODAY, air={"month": 7})
        told = answer_in(visitor.page(PAGE, **{"moisture-month": "7"}), "moisture")
        assert f"about {july.equilibrium_moisture_content_pct:.1f} % moisture" in told
        assert "the mean of July here" in told

    def test_a_yard_without_climate_can_still_reckon_and_is_told_what_to_give(
        self, visitor: Visitor, technician: Member
    ) -> None:
        ClimateNormal.objects.filter(yard=technician.yard).delete()
        page = visitor.page(PAGE)
        assert "No climate is entered for this yard" in page
        assert "Needed: the yard has no climate entered." in form_in(page, "moisture")
        page = refused(visitor, **MOISTURE)
        assert set(refusals_in(page, "moisture")) == {"air_temperature_c"}
        given = {"moisture-air_temperature_c": "8", "moisture-relative_humidity_pct": "75"}
        assert "Wet for a reason" in answer_in(visitor.page(PAGE, **MOISTURE, **given), "moisture")


class TestAnswers:
    def test_a_reading_is_told_in_words_then_low_likely_and_high(
        self, visitor: Visitor, technician: Member
    ) -> None:
        found = bench_moisture(yard=technician.yard, on_date=TODAY, air={}, reading_pct=26, beside_pct=14)
        assert found.reading is not None
        told = answer_in(visitor.page(PAGE, **MOISTURE), "moisture")
        assert told.startswith("Wet for a reason: this air does not explain it.")
        moisture = found.reading.moisture
        assert f"low {moisture.low_pct:.1f} likely {moisture.likely_pct:.1f} high {moisture.high_pct:.1f}" in told
        assert "clearly wetter: 12.0 points" in told
        for reason in found.reading.reasons:
            assert reason in told

    def test_a_reading_that_leaves_doubt_says_so(self, visitor: Visitor) -> None:
        told = answer_in(visitor.page(PAGE, **{"moisture-reading_pct": "17"}), "moisture")
        assert "This is not sure" in told
        assert "This is not sure" not in answer_in(visitor.page(PAGE, **{"moisture-reading_pct": "9"}), "moisture")

    def test_drying_names_three_days(self, visitor: Visitor, technician: Member) -> None:
        found = bench_drying(
            yard=technician.yard,
            start_on=TODAY,
            air={},
            start_pct=22,
            target_pct=16,
            thickness_mm=25,
            faces_open=2,
            species="teak",
            salt_recorded=True,
        ).dates
        page = visitor.page(PAGE, **DRYING, **{"drying-species": "teak", "drying-salt_recorded": "on"})
        told = answer_in(page, "drying")
        assert told.startswith("Wash the salt out first. Sealing is sensible from about ")
        assert found.earliest_on is not None
        assert found.likely_on is not None
        spread = f"earliest {_brief(found.earliest_on)} likely {_brief(found.likely_on)} cautious "
        cautious = "not in 3 years" if found.cautious_on is None else _brief(found.cautious_on)
        assert spread + cautious in told
        assert "under cover in the yard's climate" in told

    def test_a_shed_dries_where_the_yards_climate_does_not(self, visitor: Visitor) -> None:
        wanted = {**DRYING, "drying-target_pct": "11"}
        outside = answer_in(visitor.page(PAGE, **wanted), "drying")
        assert outside.startswith("It does not get so dry there.")
        assert "likely not in 3 years" in outside
        shed = {"drying-air_temperature_c": "20", "drying-relative_humidity_pct": "40"}
        inside = answer_in(visitor.page(PAGE, **wanted, **shed), "drying")
        assert inside.startswith("Sealing is sensible from about ")
        assert "a shed of 20.0 °C and 40 % humidity" in inside

    def test_wood_that_is_dry_already_says_so(self, visitor: Visitor) -> None:
        page = visitor.page(PAGE, **{**DRYING, "drying-start_pct": "13"})
        assert answer_in(page, "drying").startswith("It is dry enough already.")

    def test_a_seam_says_what_to_cut(self, visitor: Visitor, technician: Member) -> None:
        seam = bench_seam(
            yard=technician.yard, on_date=TODAY, species="teak", plank_width_mm=120, sealant="ASTM C920 25"
        ).seam
        told = answer_in(visitor.page(PAGE, **SEAM), "seam")
        assert told.startswith(f"Cut it {seam.width_mm:.1f} mm wide and fill it {seam.depth_mm:.1f} mm deep.")
        assert f"to cut {seam.width_mm:.1f} cautious {seam.cautious_mm:.1f}" in told
        assert all(reason in told for reason in seam.reasons)

    def test_a_coat_says_why_not_and_what_would_do(self, visitor: Visitor, technician: Member) -> None:
        given = {**COAT, "coat-surface_temperature_c": "11", "coat-raining": "on", "coat-hours_on_data_sheet": "16"}
        found = bench_coat(
            yard=technician.yard,
            on_date=TODAY,
            air={"air_temperature_c": 12, "relative_humidity_pct": 80},
            coating=Coating.VARNISH,
            surface_temperature_c=11,
            raining=True,
            hours_on_data_sheet=16,
        )
        told = answer_in(visitor.page(PAGE, **given), "coat")
        assert told.startswith("No coat of varnish now.")
        assert len(found.check.hindrances) == 2
        for hindrance in found.check.hindrances:
            assert f"{hindrance.what} What would do: {hindrance.would_do}" in told
        assert found.cure is not None
        assert found.share is not None
        assert f"likely {found.cure.hours_likely:.0f}" in told
        assert f"likely {100 * found.share.share_likely:.0f}" in told

    def test_a_coat_that_can_go_on_says_so_and_a_months_mean_is_not_now(self, visitor: Visitor) -> None:
        fine = {**COAT, "coat-air_temperature_c": "18", "coat-relative_humidity_pct": "60"}
        assert answer_in(visitor.page(PAGE, **fine), "coat").startswith("A coat of varnish can go on.")
        salty = answer_in(visitor.page(PAGE, **fine, **{"coat-salt_on_wood": "on"}), "coat")
        assert salty.startswith("No coat of varnish now. There is salt on the wood")
        mean = answer_in(visitor.page(PAGE, **{"coat-coating": "varnish", "coat-month": "7"}), "coat")
        assert mean.startswith("In this air varnish could go on.")
        assert "measure before you brush" in mean

    def test_screws_say_what_holds_with_the_caution(self, visitor: Visitor) -> None:
        found = bench_screw(
            fastener=Fastener.WOOD_SCREW,
            gauge_number=14,
            penetration_mm=32,
            count=4,
            species="teak",
            load_n=5000,
            safety_factor=5.51,
        )
        told = answer_in(visitor.page(PAGE, **SCREW), "screw")
        assert found.screws.holds
        assert told.startswith(f"By this estimate they hold. {CAUTION}")
        assert f"may be relied on {found.screws.allowable_n:,.0f}" in told
        assert "The factor is below" not in told
        assert f"Hole for the shank {found.lead_hole.shank_hole_mm:.1f} mm" in told

    def test_screws_that_do_not_hold_are_compared_with_bolts(self, visitor: Visitor) -> None:
        more = {
            "screw-species": "white oak",
            "screw-load_n": "9000",
            "screw-bolt_diameter_mm": "8",
            "screw-washer_diameter_mm": "60",
        }
        page = visitor.page(PAGE, **{**SCREW, **more})
        told = answer_in(page, "screw")
        assert told.startswith("They do not hold that. By this estimate bolts would.")
        assert "Pull on the through-bolts, N" in told
        assert CAUTION in told
        assert "<details open>" in form_in(page, "screw")


class TestWhatIsTyped:
    def test_what_is_wrong_stands_at_its_field_with_what_would_do_and_nothing_is_lost(
        self, visitor: Visitor
    ) -> None:
        page = refused(visitor, **{**MOISTURE, "moisture-reading_pct": "140", "moisture-salt_recorded": "on"})
        told = refusals_in(page, "moisture")
        assert told == {
            "reading_pct": "Meter shows: 140 % of dry mass can't be; give a figure from 0 to 120 % of dry mass."
        }
        assert answer_in(page, "moisture").startswith("There is no answer yet")
        assert value_in(page, "moisture-reading_pct") == "140"
        assert value_in(page, "moisture-beside_pct") == "14"
        assert re.search('name="moisture-salt_recorded"[^>]*checked', page)
        assert re.search('name="moisture-reading_pct"[^>]*aria-invalid="true"', page)

    @pytest.mark.parametrize(
        ("given", "field", "told"),
        [
            ({**DRYING, "drying-thickness_mm": "thick"}, "drying-thickness_mm", "that is no number"),
            ({**DRYING, "drying-thickness_mm": ""}, "drying-thickness_mm", "is missing; give a figure."),
            ({**DRYING, "drying-target_pct": ""}, "drying-target_pct", "is missing"),
            ({**DRYING, "drying-faces_open": "3"}, "drying-faces_open", "take one of the list"),
            ({**DRYING, "drying-start_on": "soon"}, "drying-start_on", "give one like 2027-05-01"),
            ({**DRYING, "drying-air_temperature_c": "20"}, "drying-relative_humidity_pct", "give both figures"),
            ({**SEAM, "seam-species": "plywood"}, "seam-species", "take one of the list"),
            ({**SEAM, "seam-species": ""}, "seam-species", "is missing; choose one."),
            ({**SEAM, "seam-moisture_high_pct": "3"}, "seam-moisture_high_pct", "is below the lowest"),
            ({**COAT, "coat-air_temperature_c": "1" * 400}, "coat-air_temperature_c", "that is no number"),
            ({**COAT, "coat-air_temperature_c": "99"}, "coat-air_temperature_c", "give a figure from -60 to 60"),
            ({**SCREW, "screw-diameter_mm": "6"}, "screw-diameter_mm", "and not both; give one of the two"),
            ({**SCREW, "screw-gauge_number": "99"}, "screw-gauge_number", "a whole number from 0 to 24"),
            ({**SCREW, "screw-species": ""}, "screw-species", "give one of the two"),
            (
                {**SCREW, "screw-bolt_diameter_mm": "8", "screw-washer_diameter_mm": "40"},
                "screw-compression_perpendicular_kpa",
                "is not known of Teak",
            ),
            ({**SCREW, "screw-bolt_diameter_mm": "8"}, "screw-washer_diameter_mm", "needed to compare with bolts"),
        ],
    )
    def test_refusals_by_field(self, visitor: Visitor, given: dict[str, str], field: str, told: str) -> None:
        page = refused(visitor, **given)
        name, _, short = field.partition("-")
        at = refusals_in(page, name)
        assert list(at) == [short]
        assert told in at[short]

    def test_several_slips_are_told_at_once(self, visitor: Visitor) -> None:
        page = refused(visitor, **{"drying-start_pct": "wet", "drying-thickness_mm": ""})
        assert set(refusals_in(page, "drying")) == {"start_pct", "thickness_mm"}

    def test_a_comma_is_a_point(self, visitor: Visitor) -> None:
        comma, point = (
            answer_in(visitor.page(PAGE, **{**SEAM, "seam-plank_width_mm": typed}), "seam")
            for typed in ("87,5", "87.5")
        )
        assert comma == point

    def test_a_wood_is_found_by_any_name_the_table_knows(self, visitor: Visitor) -> None:
        page = visitor.page(PAGE, **{**SEAM, "seam-species": "White OAK"})
        assert chosen_in(page, "seam-species") == "oak_white"
        assert "Oak, white" in answer_in(page, "seam")

    def test_a_form_takes_along_what_was_asked_of_the_others(self, visitor: Visitor) -> None:
        page = visitor.page(PAGE, **SEAM, **COAT)
        coat, drying = form_in(page, "coat"), form_in(page, "drying")
        for name, value in SEAM.items():
            assert f'<input type="hidden" name="{name}" value="{value}">' in coat
            assert f'<input type="hidden" name="{name}" value="{value}">' in drying
        for name in COAT:
            assert f'<input type="hidden" name="{name}"' not in coat

    def test_the_address_of_an_answer_gives_that_answer_again(self, visitor: Visitor) -> None:
        page = visitor.page(PAGE, **EVERYTHING)
        for name in NAMES:
            address = re.search(rf'href="(\?[^"]*)#{name}-answer"', page)
            assert address is not None
            again = visitor.page(PAGE + unescape(address[1]))
            assert answer_in(again, name) == answer_in(page, name)
            others: list[Any] = [other for other in NAMES if other != name and f"{other}-" in address[1]]
            assert others == []

    def test_what_belongs_to_nothing_here_is_passed_over(self, visitor: Visitor) -> None:
        assert visitor.get(f"{PAGE}?{urlencode({'seam-colour': 'red', 'x': '<b>'})}").status_code == 200
        page = refused(visitor, **{"drying-start_pct": '"><b>wet</b>'})
        assert "<b>wet" not in page
        assert value_in(page, "drying-start_pct") == '"><b>wet</b>'


def _brief(day: date) -> str:
    return f"{day.day} {day:%b %Y}"
