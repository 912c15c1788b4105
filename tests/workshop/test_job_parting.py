"""Jobs split and joined by the manager: what moves, what stays, and what the worker leaves alone afterwards."""

from datetime import date
from decimal import Decimal

import pytest

from inspections.models import Finding
from tests.workshop.choices import Chosen, a_choice
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import Hold, Job, Operation
from workshop.services.job_parting import job_split, jobs_join
from workshop.services.jobs import OperationSheet, hold_add, job_change
from workshop.services.needs import job_needs_set
from workshop.services.option_groups import option_group_set
from workshop.services.prices import operations_of, price_list_of, price_of, saving_of
from workshop.services.quotes import quote_draft, quote_prepare, quote_send
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def spring() -> Spring:
    """Two parts behind one sole, one of them grave, and a part that stands alone."""
    made = a_spring()
    step, bolt, rail = (made.component(name, "") for name in ("Mast step", "Keel bolt", "Toerail"))
    for part in (step, bolt):
        made.opening(part, shares="sole", text="Lift the sole.")
    made.finding(step, "REBED_SEALANT", "SEAM", size_mm="600.0")
    made.finding(bolt, "REBED_SEALANT", priority="before_launch", severity=1)
    made.finding(rail, "REBED_SEALANT")
    return made


def found(job: Job) -> list[Finding]:
    return list(Finding.objects.filter(operations__job=job).distinct().order_by("id"))


def figures(job: Job) -> list[tuple[object, ...]]:
    names = ("finding", "treatment__code", "quantity", "hours_low", "hours_likely", "hours_high", "position")
    return list(job.operations.order_by("position").values_list(*names))


def told(job: Job) -> tuple[str, str, str, bool]:
    job.refresh_from_db()
    return job.title, job.opening_up, job.if_left, job.unsafe_to_leave


def net(spring: Spring, job: Job) -> tuple[Decimal, Decimal]:
    price = price_of(job, operations_of([job])[job.pk], price_list_of(spring.yard, on_date=AT.date()))
    return price.hours_likely, price.net


def split(spring: Spring, job: Job, *findings: Finding) -> Job:
    return job_split(job=job, findings=[each.pk for each in findings], by=spring.manager, at=AT)


def join(spring: Spring, *jobs: Job) -> Job:
    return jobs_join(jobs=jobs, by=spring.manager, at=AT)


def test_split_and_joined_again_it_is_the_job_it_was(spring: Spring) -> None:
    sole, _ = spring.propose()
    before = figures(sole), told(sole), net(spring, sole)
    step, bolt = found(sole)
    new = split(spring, sole, bolt)
    title, opening_up, if_left, unsafe = told(sole)
    assert (title, opening_up, unsafe) == ("Mast step: rebed in sealant, pay a seam", "Lift the sole", False)
    assert if_left != before[1][2]
    assert told(new)[0] == "Keel bolt: rebed in sealant"
    assert told(new)[3]  # the grave one
    assert (found(sole), found(new)) == ([step], [bolt])
    assert figures(new)[0][-1] == 1
    prices = price_list_of(spring.yard, on_date=AT.date())
    apart = net(spring, sole), net(spring, new)
    whole = join(spring, sole, new)
    assert (figures(whole), told(whole), net(spring, whole)) == before
    saving = saving_of(whole, operations_of([whole])[whole.pk], prices)
    assert saving.net == sum(each for _, each in apart) - before[2][1] > 0
    new.refresh_from_db()
    assert (new.state, found(new)) == (Job.State.DROPPED, [bolt])  # and to be read


def test_the_worker_neither_undoes_it_nor_proposes_anything_twice(spring: Spring) -> None:
    sole, rail = spring.propose()
    new = split(spring, sole, found(sole)[1])

    def stands() -> list[tuple[object, ...]]:
        spring.propose()
        live = Job.objects.exclude(state=Job.State.DROPPED).order_by("id")
        return [(job.pk, job.title, job.changed_at, figures(job)) for job in live]

    parted = [(job.pk, job.title, job.changed_at, figures(job)) for job in (sole, rail, new)]
    sole.refresh_from_db()
    assert stands() == [(sole.pk, sole.title, AT, figures(sole)), *parted[1:]]
    whole = join(spring, new, rail)
    assert told(whole)[0] == "Keel bolt and Toerail: rebed in sealant"
    assert [row[0] for row in stands()] == [sole.pk, new.pk]
    assert [len(found(job)) for job in (sole, new)] == [1, 2]
    # what is found later behind the sole lands in the job that kept its key
    later = spring.finding(found(sole)[0].component, "SEAM")
    assert [row[0] for row in stands()] == [sole.pk, new.pk]
    assert later in found(sole)


def test_what_a_member_has_typed_stays_on_the_job_that_is_split(spring: Spring) -> None:
    sole, _ = spring.propose()
    job_change(job=sole, by=spring.manager, at=AT, title="All under the sole", unsafe_to_leave=False)
    new = split(spring, sole, found(sole)[1])
    assert (told(sole)[0], told(sole)[3]) == ("All under the sole", False)
    assert (told(new)[0], told(new)[3]) == ("Keel bolt: rebed in sealant", False)


def test_the_same_operation_on_the_same_place_is_done_once_by_the_larger(spring: Spring) -> None:
    sole, rail = spring.propose()
    on = found(sole)[1]
    more = OperationSheet("REBED_SEALANT", on.pk, Decimal(3))
    other = OperationSheet("SEAM", found(rail)[0].pk, Decimal(1))
    job_change(job=rail, by=spring.manager, at=AT, operations=[more, other])
    whole = join(spring, sole, rail)
    assert whole.operations.get(finding=on).quantity == Decimal(3)
    assert whole.operations.count() == 4


def test_what_a_job_waits_for_both_wait_for_and_the_whole_once(spring: Spring) -> None:
    sole, rail = spring.propose()
    hold_add(job=sole, kind="part", what="Bolts", who=None, expected_on=date(2027, 4, 20), meanwhile="Dry.", at=AT)
    new = split(spring, sole, found(sole)[1])
    assert [hold.job for hold in Hold.objects.filter(released_at=None).order_by("id")] == [sole, new]
    whole = join(spring, rail, new, sole)
    assert [hold.job for hold in Hold.objects.filter(released_at=None)] == [whole]
    assert {finding.state for finding in found(whole)} == {"held"}


def test_a_draft_quote_asks_for_the_same_work_before_and_after(spring: Spring) -> None:
    sole, rail = spring.propose()
    quote = quote_draft(inspection=spring.inspection, jobs=[sole, rail], by=spring.manager, at=AT)
    whole = quote_prepare(quote=quote, at=AT).document
    new = split(spring, sole, found(sole)[1])
    apart = quote_prepare(quote=quote, at=AT).document
    assert [job.id for job in apart.jobs] == [sole.pk, new.pk, rail.pk]
    saving = whole.jobs[0].saving
    assert saving is not None
    assert apart.totals.net - whole.totals.net == saving.net
    assert [job.saving for job in apart.jobs] == [None, None, None]
    join(spring, sole, new)
    assert quote_prepare(quote=quote, at=AT).document == whole
    join(spring, rail, sole)
    assert list(quote.lines.values_list("job", "position")) == [(rail.pk, 1)]
    quote_send(quote=quote, by=spring.manager, at=AT)
    with pytest.raises(Refused, match="with the decider"):
        split(spring, rail, found(rail)[0])


def test_twice_has_the_effect_of_one(spring: Spring) -> None:
    sole, rail = spring.propose()
    bolt = found(sole)[1]
    split(spring, sole, bolt)
    with pytest.raises(Refused, match="not served"):
        split(spring, sole, bolt)
    join(spring, sole, rail)
    with pytest.raises(Refused, match="dropped"):
        join(spring, sole, rail)
    assert Operation.objects.filter(job__state=Job.State.PROPOSED).count() == 4


def test_what_can_not_be_split_or_joined_is_refused_and_changes_nothing(spring: Spring) -> None:
    sole, rail = spring.propose()
    elsewhere = a_spring()
    elsewhere.finding(elsewhere.component(), "SEAM")
    (theirs,) = elsewhere.propose()
    before = list(Operation.objects.order_by("id").values())
    for jobs in ((), (sole,), (sole, sole), (sole, theirs)):
        with pytest.raises(Refused) as refused:
            join(spring, *jobs)
        assert refused.value.field.startswith("jobs")
    for findings in ((), found(sole), found(rail)):
        with pytest.raises(Refused) as refused:
            split(spring, sole, *findings)
        assert refused.value.field.startswith("findings")
    job_needs_set(job=rail, needed=[sole])
    with pytest.raises(Refused, match="needs another job"):
        split(spring, sole, found(sole)[0])
    with pytest.raises(Refused, match="needs another job"):
        join(spring, rail, sole)
    assert list(Operation.objects.order_by("id").values()) == before


def test_ways_of_a_choice_stay_whole() -> None:
    chosen: Chosen = a_choice()
    ways = (chosen.jobs["proper"], chosen.jobs["hold"], chosen.jobs["beside"])
    for one, other in ((ways[0], ways[1]), (ways[2], ways[1]), (ways[0], ways[2])):
        with pytest.raises(Refused, match="one way of several"):
            join(chosen.spring, one, other)


def test_jobs_of_a_choice_in_a_draft_stay_whole(spring: Spring) -> None:
    sole, rail = spring.propose()
    quote = quote_draft(inspection=spring.inspection, jobs=[sole, rail], by=spring.manager, at=AT)
    option_group_set(quote=quote, title="Either", jobs=[sole, rail])
    with pytest.raises(Refused, match="in a choice of quote 1"):
        split(spring, sole, found(sole)[0])
    with pytest.raises(Refused, match="in a choice of quote 1"):
        join(spring, rail, sole)
