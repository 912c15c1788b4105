"""The yard's own settings, seasons, climate, rates and closed days."""

from datetime import date
from decimal import Decimal

import pytest

from tests.api.callers import Caller, fields_of, problem_of
from tests.factories import BoatFactory
from yard.models import ClimateNormal, HourlyRate, OutboxRow, Season, Yard


def test_members_read_the_yard_and_only_a_manager_changes_it(
    yard: Yard, manager: Caller, technician: Caller, nobody: Caller
) -> None:
    assert technician.get("yard/").json()["name"] == yard.name
    problem_of(nobody.get("yard/"), 401)
    problem_of(technician.change("yard/", {"name": "Ours now"}), 403)
    answer = manager.change(
        "yard/", {"name": "Skerry Reach", "vat_rate_pct": "21.50", "own_holidays": ["2027-06-05"]}
    )
    assert answer.status_code == 200
    assert answer.json()["vat_rate_pct"] == "21.50"
    yard.refresh_from_db()
    assert (yard.name, yard.vat_rate_pct, yard.own_holidays) == ("Skerry Reach", Decimal("21.50"), ["2027-06-05"])
    assert yard.time_zone == "Europe/Copenhagen"


def test_the_second_of_two_who_change_the_same_version_is_told(manager: Caller, yard: Yard) -> None:
    first_read = manager.get("yard/")["ETag"]
    assert manager.patch("yard/", {"name": "One"}, If_Match=first_read).status_code == 200
    problem_of(manager.patch("yard/", {"name": "Two"}, If_Match=first_read), 412)
    problem_of(manager.patch("yard/", {"name": "Two"}), 428)
    yard.refresh_from_db()
    assert yard.name == "One"
    assert manager.get("yard/", If_None_Match=manager.get("yard/")["ETag"]).status_code == 304


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"name": 7}, 400, {"name"}),
        ({"vat_rate_pct": True}, 400, {"vat_rate_pct"}),
        ({"vat_rate_pct": "100.01"}, 400, {"vat_rate_pct"}),
        ({"vat_rate_pct": "20.001"}, 400, {"vat_rate_pct"}),
        ({"vat_rate_pct": "NaN"}, 400, {"vat_rate_pct"}),
        ({"currency": "EUR"}, 400, {"currency"}),
        ({"time_zone": "Skerry/Reach"}, 422, {"time_zone"}),
        ({"locale": "qqq-QQ"}, 422, {"locale"}),
        ({"holiday_country": "QQ"}, 422, {"holiday_country"}),
        ({"latitude": None}, 422, {"latitude"}),
        ({"working_weekdays": []}, 400, {"working_weekdays"}),
        ({"working_weekdays": [0, 7]}, 400, {"working_weekdays[1]"}),
        ({"working_weekdays": [1, 1]}, 422, {"working_weekdays"}),
        ({"own_holidays": ["2027-02-30"]}, 400, {"own_holidays[0]"}),
        ({"mail_from": "no address"}, 422, {"mail_from"}),
        ({"quote_valid_days": 0}, 400, {"quote_valid_days"}),
        ({"quote_valid_days": "21"}, 400, {"quote_valid_days"}),
        ({"hours_per_week": "0"}, 400, {"hours_per_week"}),
        ({"hours_per_week": "160.25"}, 400, {"hours_per_week"}),
    ],
)
def test_what_is_wrong_with_a_setting_is_named(
    manager: Caller, yard: Yard, change: dict[str, object], status: int, fields: set[str]
) -> None:
    before = manager.get("yard/").json()
    assert fields_of(manager.change("yard/", change), status) == fields
    assert manager.get("yard/").json() == before


def test_a_season_is_entered_once_and_changed_by_whoever_has_read_it(manager: Caller, yard: Yard) -> None:
    days = {"launch_on": "2031-05-03", "layup_on": "2031-10-10"}
    assert manager.put("seasons/2031/", days).status_code == 201
    problem_of(manager.put("seasons/2031/", days | {"launch_on": "2031-05-10"}), 428)
    etag = manager.get("seasons/2031/")["ETag"]
    changed = manager.put("seasons/2031/", days | {"launch_on": "2031-05-10"}, If_Match=etag)
    assert changed.status_code == 200
    assert changed.json() == {"year": 2031, "launch_on": "2031-05-10", "layup_on": "2031-10-10"}
    problem_of(manager.put("seasons/2031/", days, If_Match=etag), 412)
    assert Season.objects.get(yard=yard, year=2031).launch_on == date(2031, 5, 10)


def test_a_season_that_makes_no_sense_is_refused_with_its_field(manager: Caller, technician: Caller) -> None:
    wrong_year = {"launch_on": "2032-05-03", "layup_on": "2032-10-10"}
    assert fields_of(manager.put("seasons/2033/", wrong_year), 422) == {"launch_on"}
    backwards = {"launch_on": "2033-05-03", "layup_on": "2033-05-03"}
    assert fields_of(manager.put("seasons/2033/", backwards), 422) == {"layup_on"}
    assert fields_of(manager.put("seasons/2033/", {"launch_on": "3 May"}), 400) == {"launch_on", "layup_on"}
    problem_of(manager.put(f"seasons/{10**25}/", wrong_year), 422)
    problem_of(technician.put("seasons/2033/", wrong_year), 403)
    problem_of(manager.get("seasons/2033/"), 404)


def test_seasons_of_another_yard_do_not_show(manager: Caller, stranger: Caller) -> None:
    manager.put("seasons/2040/", {"launch_on": "2040-05-03", "layup_on": "2040-10-10"})
    problem_of(stranger.get("seasons/2040/"), 404)
    assert 2040 not in {row["year"] for row in stranger.results("seasons/")}


def test_the_climate_is_entered_as_twelve_months_together(manager: Caller, technician: Caller, yard: Yard) -> None:
    normals = technician.get("climate/").json()["normals"]
    assert [month["month"] for month in normals] == list(range(1, 13))
    normals[0]["rain_days"] = "17.5"
    etag = manager.get("climate/")["ETag"]
    problem_of(manager.put("climate/", {"normals": normals}), 428)
    problem_of(technician.put("climate/", {"normals": normals}, If_Match=etag), 403)
    assert manager.put("climate/", {"normals": normals}, If_Match=etag).status_code == 200
    assert ClimateNormal.objects.get(yard=yard, month=1).rain_days == Decimal("17.5")
    etag = manager.get("climate/")["ETag"]
    assert fields_of(manager.put("climate/", {"normals": normals[:11]}, If_Match=etag), 422) == {"normals"}
    normals[3]["relative_humidity_pct"] = "101"
    wrong = manager.put("climate/", {"normals": normals}, If_Match=etag)
    assert fields_of(wrong, 400) == {"normals[3].relative_humidity_pct"}


def test_hourly_rates_are_the_managers_to_change(manager: Caller, technician: Caller, yard: Yard) -> None:
    problem_of(technician.put("hourly-rates/rigger/", {"amount": "58.5"}), 403)
    assert technician.results("hourly-rates/") == manager.results("hourly-rates/")
    assert manager.results("hourly-rates/") == [{"trade": "shipwright", "amount": "62.00"}]
    assert manager.put("hourly-rates/sail maker/", {"amount": "58.5"}).status_code == 201
    etag = manager.get("hourly-rates/sail maker/")["ETag"]
    problem_of(manager.put("hourly-rates/sail maker/", {"amount": 59}), 428)
    assert manager.put("hourly-rates/sail maker/", {"amount": 59}, If_Match=etag).json()["amount"] == "59.00"
    assert HourlyRate.objects.get(yard=yard, trade="sail maker").amount == Decimal(59)
    for amount in (-1, "12.345", True, None, "NaN", "1e400", [1]):
        assert fields_of(manager.put("hourly-rates/rigger/", {"amount": amount}), 400) == {"amount"}


def test_vat_classes_are_the_managers_to_enter_with_the_day_from_which_a_rate_holds(
    manager: Caller, technician: Caller
) -> None:
    said = {"name": "Reduced", "category": "S", "rate_pct": "12", "valid_from": "2027-01-01"}
    problem_of(technician.put("vat-classes/reduced/", said), 403)
    entered = manager.put("vat-classes/reduced/", said)
    assert entered.status_code == 201
    problem_of(manager.put("vat-classes/reduced/", said), 428)
    next_one = {**said, "rate_pct": "13.5", "valid_from": "2027-07-01"}
    changed = manager.put("vat-classes/reduced/", next_one, If_Match=entered["ETag"])
    assert changed.json()["rates"] == [
        {"rate_pct": "12.00", "valid_from": "2027-01-01"},
        {"rate_pct": "13.50", "valid_from": "2027-07-01"},
    ]
    assert technician.results("vat-classes/") == [changed.json()]
    for wrong in ({"category": "AA"}, {"rate_pct": "a quarter"}, {"valid_from": "next year"}):
        assert fields_of(manager.put("vat-classes/other/", {**said, **wrong}), 400) == set(wrong)
    assert fields_of(manager.put("vat-classes/other/", {**said, "category": "Z"}), 422) == {"rate_pct"}


def test_closed_days_are_public_holidays_and_the_yards_own(manager: Caller, yard: Yard) -> None:
    Yard.objects.filter(pk=yard.pk).update(own_holidays=["2027-07-19", "2028-07-17"])
    closed = manager.get("holidays/?year=2027").json()["closed_on"]
    assert "2027-07-19" in closed
    assert "2027-12-25" in closed
    assert "2028-07-17" not in closed
    for year in ("spring", "27", "99999", "-2027", "2027.5", "２０２７"):
        assert fields_of(manager.get(f"holidays/?year={year}"), 422) == {"year"}


def test_what_judgements_are_reckoned_from_is_judged_again(manager: Caller, yard: Yard) -> None:
    def asked() -> int:
        return OutboxRow.objects.open().filter(task="inspections.rejudge_yard", yard=yard).count()

    assert asked() == 0
    manager.change("yard/", {"mail_from": "nowhere"})
    assert asked() == 0
    manager.change("yard/", {"own_holidays": ["2027-06-04"]})
    assert asked() == 1
    manager.put("seasons/2031/", {"launch_on": "2031-05-03", "layup_on": "2031-10-10"})
    normals = manager.get("climate/")
    manager.put("climate/", normals.json(), If_Match=normals["ETag"])
    assert asked() == 1
    assert OutboxRow.objects.get(task="inspections.rejudge_yard").times_asked == 3


def test_answers_are_for_their_reader_only(manager: Caller, nobody: Caller) -> None:
    assert manager.get("yard/")["Cache-Control"] == "private, no-cache"
    assert nobody.get("yard/")["Cache-Control"] == "private, no-cache"


def test_a_manager_of_one_yard_changes_nothing_of_another(stranger: Caller, yard: Yard) -> None:
    BoatFactory.create(yard=yard)
    stranger.change("yard/", {"name": "Elsewhere"})
    yard.refresh_from_db()
    assert yard.name != "Elsewhere"
