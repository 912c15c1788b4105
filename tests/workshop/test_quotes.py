"""A quote from draft to its end: what it freezes, what it refuses, what becomes of its jobs."""

import hashlib
import json
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from tests.factories import OwnerFactory
from tests.workshop.spring import AT, TODAY, Spring, a_spring
from workshop.canonical import canonical_bytes
from workshop.models import Job, Material, OwnerLink, Quote, QuoteLine
from workshop.services.decisions import decision_make
from workshop.services.jobs import job_change
from workshop.services.quotes import (
    quote_change,
    quote_document,
    quote_draft,
    quote_prepare,
    quote_send,
    quote_supersede,
    quote_withdraw,
    quotes_lapse,
)
from yard.models import HourlyRate, OutboxRow
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

LATER = AT + timedelta(days=1)


@pytest.fixture
def spring() -> Spring:
    made = a_spring()
    made.finding(made.component("Window frame"), "REBED_SEALANT", priority="before_launch", photos=["ab" * 32])
    made.finding(made.component("Laid deck"), "SEAM", size_mm="2400.0")
    made.finding(made.component("Boom"), priority="watch", condition="finish_only", severity=4)
    return made


def states(spring: Spring) -> list[str]:
    return list(Job.objects.filter(inspection=spring.inspection).order_by("id").values_list("state", flat=True))


def test_a_draft_has_the_next_number_and_runs_for_the_yards_time(spring: Spring) -> None:
    first = spring.draft()
    quote_withdraw(quote=first, at=AT)
    second = spring.draft()
    assert (first.number, second.number) == (1, 2)
    assert second.valid_until == TODAY + timedelta(days=spring.yard.quote_valid_days)
    assert second.currency == spring.yard.currency


def test_numbers_are_each_yards_own(spring: Spring) -> None:
    other = a_spring()
    other.finding(other.component(), "REBED_SEALANT")
    assert (spring.draft().number, other.draft().number) == (1, 1)


def test_lines_carry_hours_and_price(spring: Spring) -> None:
    quote = spring.draft()
    line = quote.lines.get(position=1)
    # median of beta-PERT(1, 1.5, 3) is 1.63 h, and 0.3 h of setting up: 2 h to the quarter; 2 × 62.00
    assert (line.hours_likely, line.net_labour) == (Decimal("2.00"), Decimal("124.00"))
    # 40 ml + 10 % at 0.0550
    assert line.net_materials == Decimal("2.42")
    assert line.hours_ceiling >= line.hours_likely
    assert line.vat_rate_pct == Decimal("25.00")
    assert line.frozen_at is None


def test_a_second_draft_of_an_inspection_is_refused(spring: Spring) -> None:
    quote = spring.draft()
    with pytest.raises(Refused) as refused:
        quote_draft(inspection=spring.inspection, jobs=spring.propose(), by=spring.manager, at=AT)
    assert refused.value.field == "inspection"
    assert list(Quote.objects.of_yard(spring.yard)) == [quote]


@pytest.mark.parametrize("case", ["no job", "one twice", "of another inspection", "not proposed"])
def test_jobs_that_can_not_be_quoted_are_refused(spring: Spring, case: str) -> None:
    jobs = spring.propose()
    if case == "no job":
        jobs = []
    elif case == "one twice":
        jobs = [jobs[0], jobs[0]]
    elif case == "of another inspection":
        other = a_spring()
        other.finding(other.component(), "REBED_SEALANT")
        jobs = other.propose()
    else:
        Job.objects.filter(pk=jobs[0].pk).update(state=Job.State.APPROVED)
    with pytest.raises(Refused) as refused:
        quote_draft(inspection=spring.inspection, jobs=jobs, by=spring.manager, at=AT)
    assert refused.value.field.startswith("jobs")
    assert not Quote.objects.exists()


def test_a_job_without_a_rate_is_refused_with_its_number(spring: Spring) -> None:
    HourlyRate.objects.of_yard(spring.yard).delete()
    jobs = spring.propose()
    with pytest.raises(Refused) as refused:
        quote_draft(inspection=spring.inspection, jobs=jobs, by=spring.manager, at=AT)
    assert refused.value.field == f"jobs.{jobs[0].pk}.hourly_rate"


def test_a_draft_may_be_changed_and_a_sent_quote_not(spring: Spring) -> None:
    quote = spring.draft()
    jobs = [line.job for line in quote.lines.all()]
    quote_change(quote=quote, at=AT, jobs=jobs[1:], valid_until=date(2027, 4, 20))
    assert [line.job_id for line in quote.lines.all()] == [jobs[1].pk]
    quote_send(quote=quote, by=spring.manager, at=AT)
    with pytest.raises(Refused) as refused:
        quote_change(quote=quote, at=AT, jobs=jobs)
    assert refused.value.field == "state"


@pytest.mark.parametrize("day", [date(2027, 4, 5), date(2028, 4, 6)])
def test_a_last_day_in_the_past_or_far_away_is_refused(spring: Spring, day: date) -> None:
    with pytest.raises(Refused) as refused:
        quote_change(quote=spring.draft(), at=AT, valid_until=day)
    assert refused.value.field == "valid_until"


def test_sending_freezes_content_digest_and_prices(spring: Spring) -> None:
    quote = spring.sent()
    assert quote.state == Quote.State.SENT
    assert quote.sent_at == AT
    assert quote.digest == hashlib.sha256(quote.content.encode()).hexdigest()
    assert quote.content.encode() == canonical_bytes(json.loads(quote.content))
    assert all(line.frozen_at == AT for line in quote.lines.all())
    assert states(spring) == [Job.State.QUOTED, Job.State.QUOTED]


def test_the_content_says_what_the_decider_is_shown(spring: Spring) -> None:
    spring.not_seen(spring.component("Mast step"), why="the sole stayed down")
    document = quote_document(spring.sent())
    assert document.boat.name == spring.boat.name
    assert document.decider.name == str(spring.boat.decider)
    assert [finding.priority for finding in document.findings] == ["before_launch", "this_season", "watch"]
    first = document.findings[0]
    assert first.photos == ("ab" * 32,)
    assert first.reasons == ("The meter shows 26 % here and 14 % a hand away.",)
    assert first.if_left.startswith("Wood that stays wet rots")
    assert first.due_back_on == date(2027, 4, 30)
    assert [job.findings for job in document.jobs] == [(first.id,), (document.findings[1].id,)]
    assert document.jobs[0].cautions == ("SOLVENT_VAPOUR",)
    assert [caution.title for caution in document.cautions] == ["Local rules come first", "Solvents"]
    assert [(part.place, part.why) for part in document.not_seen] == [
        ("Mast step, port side", "the sole stayed down")
    ]
    assert len(document.due_back) == 3
    assert [finding.priority for finding in document.beside_the_jobs] == ["watch"]


def test_figures_of_the_content_are_those_of_the_lines_and_add_up(spring: Spring) -> None:
    quote = spring.sent()
    document = quote_document(quote)
    lines = {line.job_id: line for line in quote.lines.all()}
    for job in document.jobs:
        line = lines[job.id]
        assert (job.hours_likely, job.hours_ceiling) == (line.hours_likely, line.hours_ceiling)
        assert (job.net_labour, job.net_materials) == (line.net_labour, line.net_materials)
    net = sum((job.net for job in document.jobs), Decimal(0))
    assert document.totals.net == net
    # one rate: EN 16931 rounds 25 % of the sum once, half away from zero
    assert document.totals.vat == (net * 25 / 100).quantize(Decimal("0.01"), rounding="ROUND_HALF_UP")
    assert document.totals.gross == net + document.totals.vat


def test_an_overruling_shows_beside_the_rules_reasons(spring: Spring) -> None:
    finding = spring.finding(spring.component("Tiller"), "REBED_SEALANT", priority="next_layup")
    spring.overrule(finding, "before_launch")
    part = quote_document(spring.sent()).finding(str(finding.pk))
    assert part.priority == "before_launch"
    assert part.overruled == "She stays on the mooring this summer."
    assert part.reasons
    assert part.due_back_on == date(2027, 10, 15)


def test_what_changes_afterwards_changes_nothing_that_was_sent(spring: Spring) -> None:
    quote = spring.sent()
    before = quote_document(quote)
    HourlyRate.objects.of_yard(spring.yard).update(amount=Decimal("99.00"))
    Material.objects.of_yard(spring.yard).update(unit_price=Decimal("9.0000"))
    spring.yard.vat_rate_pct = Decimal("5.00")
    spring.yard.save()
    quote.refresh_from_db()
    assert quote_document(quote) == before


@pytest.mark.parametrize(
    "change",
    [
        {"content": "{}"},
        {"digest": "0" * 64},
        {"valid_until": date(2028, 1, 1)},
        {"number": 99},
        {"currency": "NOK"},
        {"sent_at": LATER},
    ],
    ids=lambda change: next(iter(change)),
)
def test_the_database_holds_a_sent_quote(spring: Spring, change: dict[str, object]) -> None:
    quote = spring.sent()
    with pytest.raises(IntegrityError), transaction.atomic():
        Quote.objects.filter(pk=quote.pk).update(**change)


@pytest.mark.parametrize("field", ["net_labour", "net_materials", "hours_ceiling", "vat_rate_pct", "position"])
def test_the_database_holds_the_prices_of_a_sent_quote(spring: Spring, field: str) -> None:
    line = spring.sent().lines.get(position=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        QuoteLine.objects.filter(pk=line.pk).update(**{field: 77})


def test_a_draft_is_sent_at_the_prices_of_the_day_it_is_sent(spring: Spring) -> None:
    quote = spring.draft()
    HourlyRate.objects.of_yard(spring.yard).update(amount=Decimal("70.00"))
    sent = quote_send(quote=quote, by=spring.manager, at=AT)
    assert sent.lines.get(position=1).net_labour == Decimal("140.00")


def test_nothing_else_goes_out_than_what_the_sender_has_seen(spring: Spring) -> None:
    quote = spring.draft()
    seen = quote_prepare(quote=quote, at=AT).digest
    job_change(job=quote.lines.get(position=1).job, by=spring.manager, at=AT, title="Another title")
    with pytest.raises(Refused) as refused:
        quote_send(quote=quote, by=spring.manager, at=AT, seen_digest=seen)
    assert refused.value.field == "seen_digest"
    seen = quote_prepare(quote=quote, at=AT).digest
    assert quote_send(quote=quote, by=spring.manager, at=AT, seen_digest=seen).digest == seen


def test_sending_twice_is_refused_and_asks_for_one_report(spring: Spring) -> None:
    quote = spring.sent()
    with pytest.raises(Refused) as refused:
        quote_send(quote=quote, by=spring.manager, at=LATER)
    assert refused.value.field == "state"
    assert OutboxRow.objects.filter(task="workshop.make_report").count() == 1
    assert OwnerLink.objects.filter(quote=quote).count() == 1


def test_a_quote_with_an_unjudged_finding_does_not_go_out(spring: Spring) -> None:
    quote = spring.draft()
    spring.finding(spring.component("Tiller", ""), judged=False)
    with pytest.raises(Refused) as refused:
        quote_send(quote=quote, by=spring.manager, at=AT)
    assert refused.value.field == "findings"
    assert "Tiller" in refused.value.problem
    quote.refresh_from_db()
    assert quote.state == Quote.State.DRAFT


def test_a_decider_without_an_address_is_named(spring: Spring) -> None:
    spring.boat.decider_owner, spring.boat.decider_member = None, spring.manager
    spring.boat.save()
    spring.manager.user.email = ""
    spring.manager.user.save()
    with pytest.raises(Refused) as refused:
        spring.sent()
    assert refused.value.field == "decider"


def test_a_draft_whose_last_day_passed_is_not_sent(spring: Spring) -> None:
    quote = spring.draft()
    with pytest.raises(Refused) as refused:
        quote_send(quote=quote, by=spring.manager, at=AT + timedelta(days=30))
    assert refused.value.field == "valid_until"


def test_a_withdrawn_quote_gives_its_jobs_back_and_its_link_opens_nothing(spring: Spring) -> None:
    quote = spring.sent()
    quote_withdraw(quote=quote, at=LATER)
    assert states(spring) == [Job.State.PROPOSED, Job.State.PROPOSED]
    assert OwnerLink.objects.get(quote=quote).revoked_at == LATER
    with pytest.raises(Refused):
        quote_withdraw(quote=quote, at=LATER)


def test_superseding_keeps_what_was_decided_and_quotes_the_rest_anew(spring: Spring) -> None:
    quote = spring.sent()
    first, second = quote.lines.all()
    decision_make(line=first, verdict="approve", digest=quote.digest, at=AT, owner=spring.boat.decider_owner)
    draft = quote_supersede(quote=quote, by=spring.manager, at=LATER)
    quote.refresh_from_db()
    assert (quote.state, quote.ended_at) == (Quote.State.SUPERSEDED, LATER)
    assert [line.job_id for line in draft.lines.all()] == [second.job_id]
    assert states(spring) == [Job.State.APPROVED, Job.State.PROPOSED]


def test_a_quote_lapses_the_day_after_its_last_day_by_the_yards_clock(spring: Spring) -> None:
    quote = spring.sent()
    # 21:59 UTC is still the last day in Copenhagen's summer time; one minute later it is not
    last_minute = AT.replace(year=2027, month=4, day=27, hour=21, minute=59)
    assert quotes_lapse(yard=spring.yard, at=last_minute) == []
    after = last_minute + timedelta(minutes=1)
    assert [lapsed.pk for lapsed in quotes_lapse(yard=spring.yard, at=after)] == [quote.pk]
    assert quotes_lapse(yard=spring.yard, at=after) == []
    assert states(spring) == [Job.State.PROPOSED, Job.State.PROPOSED]
    # the page still tells what happened
    assert OwnerLink.objects.get(quote=quote).revoked_at is None


def test_lapsing_leaves_other_yards_alone(spring: Spring) -> None:
    quote = spring.sent()
    other = a_spring()
    assert quotes_lapse(yard=other.yard, at=AT + timedelta(days=60)) == []
    quote.refresh_from_db()
    assert quote.state == Quote.State.SENT


def test_the_content_names_the_decider_of_several_owners(spring: Spring) -> None:
    brother = OwnerFactory.create(yard=spring.yard, name="The elder brother")
    spring.boat.owners.add(brother)
    spring.boat.decider_owner = brother
    spring.boat.save()
    document = quote_document(spring.sent())
    assert (document.decider.kind, document.decider.id) == ("owner", brother.pk)
