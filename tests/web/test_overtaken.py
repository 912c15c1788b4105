"""Two people at one form: the later one is told what the earlier one set, keeps what they typed, and may insist."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from tests.factories import BoatFactory, ComponentFactory, MemberFactory, OwnerFactory, SpotFactory
from tests.web.visitor import Visitor
from yard.models import HourlyRate, Member, Season, Yard
from yard.models.vat import VatCategory

pytestmark = pytest.mark.django_db

SENT_AGAIN = "since this page was opened; send yours again"


@pytest.fixture
def runa() -> Member:
    made: Member = MemberFactory.create(name="Runa Holt")
    return made


@pytest.fixture
def jens(runa: Member) -> Member:
    made: Member = MemberFactory.create(yard=runa.yard, name="Jens Skov", role="manager")
    return made


def fields_of(form: Any) -> dict[str, Any]:
    """What a browser sends of a form as it is shown, with what it carries along."""
    sent: dict[str, Any] = {}
    for bound in form:
        values = {bound.html_name: bound.value()}
        if bound.field.show_hidden_initial:
            values[bound.html_initial_name] = (
                form.data.getlist(bound.html_initial_name) if form.is_bound else bound.value()
            )
        for name, value in values.items():
            chosen = value if isinstance(value, list | tuple) else [value]
            sent[name] = ["" if each is None else getattr(each, "pk", each) for each in chosen]
    return sent


def both(runa: Member, jens: Member, page: str, form: str, to: str = "") -> Any:
    """Both open the page; Runa sends her changes, then Jens his. His answer, and a way to send it again."""
    hers, his = Visitor(runa), Visitor(jens)
    shown = [fields_of(visitor.get(page).context[form]) for visitor in (hers, his)]

    def meet(her_change: dict[str, Any], his_change: dict[str, Any]) -> tuple[str, dict[str, Any]]:
        hers.after(to or page, **{**shown[0], **her_change})
        told = his.refused(to or page, **{**shown[1], **his_change})
        return told, fields_of(his.last.context[form])

    def again(sent: dict[str, Any]) -> None:
        his.after(to or page, **sent)

    meet.again = again  # type: ignore[attr-defined]
    return meet


def test_an_owner_s_field_that_both_changed_is_told_and_may_be_sent_again(runa: Member, jens: Member) -> None:
    ines = OwnerFactory.create(yard=runa.yard, name="Ines", phone="1", locale="en_GB")
    meet = both(runa, jens, f"/owners/{ines.pk}/", "form")
    told, sent = meet({"phone": "2", "locale": "de-AT"}, {"phone": "3", "name": "Ines Marsk"})
    assert f"Telephone</a> was set to 2 by Runa Holt {SENT_AGAIN}" in told
    ines.refresh_from_db()
    assert (ines.phone, ines.name) == ("2", "Ines")
    assert (sent["phone"], sent["initial-phone"]) == (["3"], ["2"])
    assert sent["locale"] == ["de_AT"]  # nobody typed here what she has changed meanwhile
    meet.again(sent)
    ines.refresh_from_db()
    assert (ines.phone, ines.name, ines.locale) == ("3", "Ines Marsk", "de_AT")


def test_the_same_from_both_is_no_quarrel(runa: Member, jens: Member) -> None:
    ines = OwnerFactory.create(yard=runa.yard, phone="1")
    page = f"/owners/{ines.pk}/"
    hers, his = Visitor(runa), Visitor(jens)
    shown = fields_of(hers.get(page).context["form"])
    hers.after(page, **{**shown, "phone": "2"})
    his.after(page, **{**shown, "phone": "2"})


def test_a_spot_is_never_put_where_neither_of_them_meant_it(runa: Member, jens: Member) -> None:
    spot = SpotFactory.create(
        component=ComponentFactory.create(boat=BoatFactory.create(yard=runa.yard)), plan_x=100, plan_y=500
    )
    meet = both(runa, jens, f"/spots/{spot.pk}/place/", "form")
    told, sent = meet({"plan_x": "20"}, {"plan_y": "60"})
    assert f"How far aft, %</a> was set to 20 by Runa Holt {SENT_AGAIN}" in told
    spot.refresh_from_db()
    assert (spot.plan_x, spot.plan_y) == (200, 500)
    meet.again(sent)
    spot.refresh_from_db()
    assert (spot.plan_x, spot.plan_y) == (100, 600)


def test_boats_and_parts_are_held_alike(runa: Member, jens: Member) -> None:
    ines = OwnerFactory.create(yard=runa.yard, name="Ines")
    heir = OwnerFactory.create(yard=runa.yard, name="Bjarke")
    boat = BoatFactory.create(yard=runa.yard, decider_owner=ines, loa_mm=8_400, beam_mm=2_600)
    boat.owners.add(ines)
    meet = both(runa, jens, f"/boats/{boat.pk}/change/", "form")
    told, sent = meet(
        {"owners": [ines.pk, heir.pk], "loa_mm": "8.5"}, {"decider": f"member-{runa.pk}", "beam_mm": "2.7"}
    )
    assert f"Owners</a> was set to Bjarke, Ines by Runa Holt {SENT_AGAIN}" in told
    assert f"Length over all, m</a> was set to 8.5 by Runa Holt {SENT_AGAIN}" in told
    meet.again(sent)
    boat.refresh_from_db()
    assert (boat.loa_mm, boat.beam_mm, boat.decider_member) == (8_400, 2_700, runa)
    part = ComponentFactory.create(boat=boat, species="oak")
    told, _ = both(runa, jens, f"/parts/{part.pk}/", "form")({"species": "teak"}, {"species": "larch"})
    assert f"Wood</a> was set to teak by Runa Holt {SENT_AGAIN}" in told


def test_the_yard_and_its_days_are_held_alike(runa: Member, jens: Member) -> None:
    Yard.objects.filter(pk=runa.yard_id).update(own_holidays=["2027-12-24", "2027-12-31"], quote_valid_days=21)
    told, _ = both(runa, jens, "/settings/", "form", "/settings/yard/")(
        {"quote_valid_days": "30"}, {"quote_valid_days": "14"}
    )
    assert f"A quote holds for, days</a> was set to 30 by Runa Holt {SENT_AGAIN}" in told
    crlf = {"initial-own_holidays": "2027-12-24\r\n2027-12-31"}  # as a browser ends its lines
    meet = both(runa, jens, "/settings/", "days", "/settings/days/")
    told, sent = meet(
        {**crlf, "working_weekdays": [0, 1, 2]},
        {**crlf, "working_weekdays": [0, 1, 2, 3, 4, 5], "own_holidays": "2027-12-24"},
    )
    assert "was set to Monday, Tuesday, Wednesday by Runa Holt" in told
    assert told.count("was set to") == 2  # above the form and beside the field, and of the one field alone
    meet.again(sent)
    runa.yard.refresh_from_db()
    assert (runa.yard.working_weekdays, runa.yard.own_holidays) == ([0, 1, 2, 3, 4, 5], ["2027-12-24"])


def test_rates_vat_seasons_and_the_climate_are_held_by_their_rows(runa: Member, jens: Member) -> None:
    yard = runa.yard
    HourlyRate.objects.of_yard(yard).delete()
    HourlyRate.objects.create(yard=yard, trade="rigger", amount=60)
    meet = both(runa, jens, "/settings/money/", "form", "/settings/money/rate/")
    told, sent = meet({"trade": "rigger", "amount": "61"}, {"trade": "rigger", "amount": "62"})
    assert f"was set to 61 {yard.currency} by Runa Holt {SENT_AGAIN}" in told
    meet.again(sent)
    assert HourlyRate.objects.get(yard=yard).amount == Decimal(62)

    vat = {"code": "full", "name": "Full", "category": "S", "rate_pct": "25", "valid_from": "2027-01-01"}
    told, _ = both(runa, jens, "/settings/money/", "vat", "/settings/money/vat/")(vat, {**vat, "rate_pct": "24"})
    category = dict(VatCategory.choices)["S"]
    assert f"full was set to Full, {category}, 25 % from 2027-01-01 by Runa Holt {SENT_AGAIN}" in told

    Season.objects.of_yard(yard).delete()
    days = {"year": "2027", "launch_on": "2027-05-01", "layup_on": "2027-10-15"}
    meet = both(runa, jens, "/settings/seasons/", "form", "/settings/seasons/season/")
    told, sent = meet(days, {**days, "launch_on": "2027-04-20"})
    assert f"2027 was set to 2027-05-01 to 2027-10-15 by Runa Holt {SENT_AGAIN}" in told
    meet.again(sent)
    assert Season.objects.get(yard=yard).launch_on == date(2027, 4, 20)

    months = "\n".join("4.5;81;15" for _ in range(12))
    told, _ = both(runa, jens, "/settings/seasons/", "climate", "/settings/seasons/climate/")(
        {"pasted": months}, {"pasted": months.replace("4.5;81", "5;81", 1)}
    )
    assert (
        "Climate was set by Runa Holt since this page was opened, and differs from yours: Jan 4.5/81/15; send"
        in told
    )
