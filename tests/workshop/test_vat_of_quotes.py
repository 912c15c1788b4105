"""VAT of jobs and quotes by class and day. Rounding: tests/reference/planning/vat_rounding_cases.csv."""

import csv
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

import pytest

from tests.workshop.spring import AT, TODAY, a_spring
from workshop.models import Material
from workshop.pricing.job_price import Amount, totals_of
from workshop.services.quotes import quote_document, quote_prepare, quote_send, quote_supersede
from yard.models import VatClass
from yard.services.vat import vat_class_set

PLANNING = Path(__file__).parents[1] / "reference" / "planning"
CASES = list(csv.DictReader((PLANNING / "vat_rounding_cases.csv").read_text().splitlines()))
D = Decimal


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["case"])
def test_of_what_is_approved_vat_is_rounded_once_per_rate(case: dict[str, str]) -> None:
    rate = D(case["rate_percent"])
    # a job for each line, and beside each a book at 7 %: 1.50 in all if there are three, its VAT by itself
    jobs = [
        [Amount("labour", D(net), rate), Amount("materials", D("0.50"), D("7.00"))]
        for net in case["line_net_amounts"].split(";")
    ]
    totals = totals_of(jobs, "EUR")
    by_rate = {part.rate_pct: part for part in totals.by_rate}
    if rate != 7:
        assert str(by_rate[rate].net) == case["net_total"]
        assert str(by_rate[rate].vat) == case["vat_en16931_half_up_on_total"]
        assert by_rate[D(7)].net == D("0.50") * len(jobs)
    assert totals.vat == sum(part.vat for part in totals.by_rate)


@pytest.mark.django_db
@pytest.mark.both_databases
def test_a_quote_takes_the_rates_of_its_day_and_what_was_sent_stays() -> None:
    spring = a_spring()
    for code, rate, valid_from in (
        ("standard", "20.00", TODAY),
        ("standard", "21.00", date(2027, 4, 20)),
        ("reduced", "6.00", TODAY),
    ):
        vat_class_set(
            yard=spring.yard,
            code=code,
            name=code,
            category="S",
            rate_pct=D(rate),
            valid_from=valid_from,
            for_work=code == "standard",
            at=AT,
        )
    Material.objects.filter(code="sealant").update(vat_class=VatClass.objects.get(code="reduced"))
    spring.finding(spring.component("Window frame"), "REBED_SEALANT")
    draft = spring.draft()
    later = datetime(2027, 4, 21, 9, tzinfo=AT.tzinfo)

    def rates(at: datetime) -> list[str]:
        totals = quote_prepare(quote=draft, at=at).document.totals
        return [str(part.rate_pct) for part in totals.by_rate]

    assert rates(AT) == ["6", "20"]
    assert rates(later) == ["6", "21"]
    sent = quote_send(quote=draft, by=spring.manager, at=AT)
    frozen = sent.content
    assert sent.lines.get().vat_rate_pct == D("20.00")
    vat_class_set(
        yard=spring.yard, code="reduced", name="reduced", category="S", rate_pct=D(9), valid_from=TODAY, at=AT
    )
    sent.refresh_from_db()
    assert sent.content == frozen
    assert [str(part.rate_pct) for part in quote_document(sent).totals.by_rate] == ["6", "20"]
    again = quote_supersede(quote=sent, by=spring.manager, at=later)
    assert again.lines.get().vat_rate_pct == D("21.00")
