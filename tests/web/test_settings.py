"""The yard's settings on the office's pages."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from inspections.judgement.rules.reading import plain
from inspections.models import RuleEdition
from inspections.services.rule_editions import rules_adopt
from inspections.services.rule_effect import effect_of_rules
from inspections.timber.climate import MonthClimate
from tests.conftest import SPRING
from tests.factories import MemberFactory
from tests.inspections.scenes import scene
from tests.web.visitor import Visitor
from web.office import rules as rules_page
from web.office.climate_chart import climate_told
from web.office.settings_forms import pasted_normals
from yard.models import ClimateNormal, Deed, DeedKind, HourlyRate, Member, OutboxRow, Season, VatClass
from yard.refusals import Refused

pytestmark = pytest.mark.django_db

# A wet west coast, invented.
PASTED = "\n".join(f"{month};{month},5;8{month % 3};{10 + month / 2}" for month in range(1, 13))


@pytest.fixture
def manager() -> Member:
    made: Member = MemberFactory.create()
    return made


@pytest.fixture
def office(manager: Member) -> Visitor:
    return Visitor(manager)


def of_yard(**more: Any) -> dict[str, Any]:
    return {
        "name": "Yard at the Sound",
        "locale": "de-DE",
        "mail_from": "",
        "quote_valid_days": 30,
        "hours_per_week": "120,5",
        "time_zone": "Europe/Oslo",
        "latitude": "",
        "longitude": "",
        **more,
    }


def test_the_yard_itself_is_changed_and_all_is_judged_anew(office: Visitor, manager: Member) -> None:
    page = office.after("/settings/yard/", **of_yard())
    assert "settings are kept." in page
    manager.yard.refresh_from_db()
    assert (manager.yard.hours_per_week, manager.yard.quote_valid_days) == (Decimal("120.5"), 30)
    assert OutboxRow.objects.filter(yard=manager.yard, task__contains="rejudge").exists()
    # the deed names what was changed, not all that the form has
    office.after("/settings/yard/", **of_yard())
    office.after("/settings/yard/", **of_yard(quote_valid_days=31))
    deeds = Deed.objects.filter(kind=DeedKind.SETTINGS_CHANGED).order_by("pk")
    assert [deed.told for deed in deeds][1:] == ["days that a quote holds 30 to 31"]
    refused = office.refused("/settings/yard/", **of_yard(time_zone="CET", latitude="59"))
    assert "Time zone" in refused
    assert "give both or neither" in refused
    assert 'value="CET"' in refused


def test_working_days_and_holidays_are_kept_and_shown(office: Visitor, manager: Member) -> None:
    given = {"working_weekdays": [0, 1, 2, 3], "holiday_country": "NO", "own_holidays": "2027-12-24\r\n2027-12-31"}
    assert "17 May" in office.after("/settings/days/", **given)
    manager.yard.refresh_from_db()
    assert manager.yard.working_weekdays == [0, 1, 2, 3]
    assert manager.yard.own_holidays == ["2027-12-24", "2027-12-31"]
    assert "is no date" in office.refused("/settings/days/", **{**given, "own_holidays": "Christmas"})
    assert "no day of the week is worked" in office.refused("/settings/days/", **{**given, "working_weekdays": []})


def test_rates_and_vat_are_kept(office: Visitor, manager: Member) -> None:
    office.after("/settings/money/rate/", trade="rigger", amount="71.50")
    assert HourlyRate.objects.get(yard=manager.yard, trade="rigger").amount == Decimal("71.5")
    assert "amount" in office.refused("/settings/money/rate/", trade="rigger", amount="-1").lower()
    given = {"code": "standard", "name": "Standard", "category": "S", "rate_pct": "25", "valid_from": "2027-01-01"}
    assert "25 % from" in office.after("/settings/money/vat/", **given, for_work="on")
    assert VatClass.objects.get(yard=manager.yard).for_work
    assert "more than 0" in office.refused("/settings/money/vat/", **{**given, "rate_pct": "0"})


def test_seasons_are_kept_and_may_not_overlap(office: Visitor, manager: Member) -> None:
    Season.objects.filter(yard=manager.yard).delete()
    office.after("/settings/seasons/season/", year=2027, launch_on="2027-05-01", layup_on="2027-10-15")
    assert Season.objects.get(yard=manager.yard).launch_on == date(2027, 5, 1)
    given = {"year": 2028, "launch_on": "2028-05-01", "layup_on": "2028-04-01"}
    assert "is not within the year after the launch" in office.refused("/settings/seasons/season/", **given)


def test_the_climate_is_pasted_or_typed_and_told_with_its_index(office: Visitor, manager: Member) -> None:
    page = office.after("/settings/seasons/climate/", pasted=PASTED)
    assert ClimateNormal.objects.filter(yard=manager.yard).count() == 12
    assert "Index of decay above ground" in page
    assert "Moisture that wood under cover comes to: Jan" in page
    assert "lack figures for Jan" in office.refused("/settings/seasons/climate/", pasted="")
    assert "has 11 lines" in office.refused("/settings/seasons/climate/", pasted=PASTED.partition("\n")[2])


@pytest.mark.parametrize("line", ["Jan\t-4.5\t81\t15", "1 -4,5 81 15", "-4.5;81;15", "| −4.5 | 81 | 15 |"])
def test_a_pasted_line_is_read_however_it_is_parted(line: str) -> None:
    normal = pasted_normals("\n".join([line, *("4;80;12" for _ in range(11))]))[0]
    assert (normal.month, normal.air_temperature_c, normal.rain_days) == (1, Decimal("-4.5"), Decimal(15))
    for wrong in ("4;80", "cold;80;12", "4;80;12;9"):
        with pytest.raises(Refused):
            pasted_normals("\n".join([wrong, *("4;80;12" for _ in range(11))]))


def test_the_chart_is_that_of_the_handbook() -> None:
    # Wood Handbook FPL-GTR-190, table 4-2: 20 °C and 65 % give 12.0 %, 20 °C and 80 % give 16.0 %.
    told = climate_told([MonthClimate(month, 20, 65 if month < 7 else 80, 10) for month in range(1, 13)])
    assert [round(told.months[place].moisture_pct) for place in (0, 11)] == [12, 16]
    assert told.months[11].y < told.months[0].y
    assert len({month.x for month in told.months}) == 12


def test_rules_are_tried_before_they_hold() -> None:
    laid = scene(SPRING)
    laid.store(laid.finding())
    office = Visitor(laid.manager)
    assert "Show what these would have changed" in office.page("/settings/rules/")
    given = {"figure-due_back.one_look_sees.water_way_open": "0,08"}
    tried = office.post("/settings/rules/", **given, do="effect")
    page = tried.content.decode()
    assert tried.status_code == 200
    assert "1 of 1 finding would have been judged otherwise" in page
    assert not RuleEdition.objects.exists()
    seen = page.partition('name="seen" value="')[2][:64]
    # not without a reason, and not other figures than those that were tried
    assert "Why" in office.refused("/settings/rules/", **given, do="adopt", seen=seen, why="")
    other = {**given, "figure-moisture.wet_pct": "19"}
    assert "are not those that were tried" in office.refused(
        "/settings/rules/", **other, do="adopt", seen=seen, why="x"
    )
    office.after("/settings/rules/", **given, do="adopt", seen=seen, why="We open up every spring.")
    edition = RuleEdition.objects.get()
    # nor over what a colleague has adopted since the effect was shown
    late = {**given, "do": "adopt", "seen": seen, "why": "Again."}
    assert "or others hold by now" in office.refused("/settings/rules/", **late)
    assert edition.overrides == {"due_back": {"one_look_sees": {"water_way_open": 0.08}}}
    assert "We open up every spring." in office.page("/settings/rules/")


def test_rules_that_a_colleague_adopts_while_the_effect_is_worked_out_are_not_overruled_unseen(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    laid = scene(SPRING)
    office = Visitor(laid.manager)
    given = {"figure-moisture.wet_pct": "19"}
    tried = office.post("/settings/rules/", **given, do="effect").content.decode()
    seen = tried.partition('name="seen" value="')[2][:64]
    theirs = {"due_back": {"one_look_sees": {"water_way_open": 0.08}}}

    def slowly(**what: Any) -> Any:
        rules_adopt(yard=laid.yard, by=laid.manager, overrides=theirs, why="Quicker.", at=SPRING)
        return effect_of_rules(**what)

    monkeypatch.setattr(rules_page, "effect_of_rules", slowly)
    mine = {**given, "do": "adopt", "seen": seen, "why": "Our meter."}
    assert "or others hold by now" in office.refused("/settings/rules/", **mine)
    assert RuleEdition.objects.get().overrides == theirs


def test_what_is_no_figure_is_said_by_its_name(office: Visitor) -> None:
    page = office.refused(
        "/settings/rules/", **{"figure-moisture.wet_pct": "wet", "figure-drying.target_pct": "nan"}
    )
    assert "Moisture, wet, %: is no figure: wet" in page
    assert "Drying, target, %: is no figure: nan" in page
    assert 'value="wet"' in page


@pytest.mark.parametrize(
    ("name", "typed", "said"),
    [
        ("moisture.wet_pct", "130", "Moisture, wet, %: 130 can&#x27;t be; give a figure from 0 to 120."),
        ("due_back.least_days", "2,5", "Due back, least, days: 2.5 is no whole number; give one like 3."),
        ("severity.by_role.rig", "7", "Severity, by role, rig: 7 is no severity; give 1 (catastrophic)"),
        ("learning.interval", "1", "Learning, interval: 1 is certain; give more than 0 and less than 1."),
        (
            "progression.multipliers.moves.yes",
            "9000000",
            "moves, yes: 9000000 can&#x27;t be; give a figure from 0.000001",
        ),
        ("progression.bands.B", "0.5", "Progression, bands: they do not fall from A to E; let each be smaller"),
    ],
)
def test_a_figure_that_can_t_be_is_refused_in_the_words_of_the_page(
    office: Visitor, name: str, typed: str, said: str
) -> None:
    page = office.refused("/settings/rules/", **{f"figure-{name}": typed}, do="effect")
    assert said in page
    assert f"{name.partition('.')[0]}." not in page.partition("<h2>Figures")[0]
    assert f'value="{typed}"' in page
    # where a figure by itself was refused, it is said beside it
    assert (f'id="refused-{name}"' in page) is ("bands" not in name)


def test_figures_are_shown_as_they_are_typed() -> None:
    assert [plain(value) for value in (0.00001, 20.0, 0.25)] == ["0.00001", "20", "0.25"]
