"""Jobs proposed from judgements: what becomes one job, and what proposing again may and may not change."""

from decimal import Decimal

import pytest

from inspections.models import Finding
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import Job, Operation
from workshop.services.jobs import OperationSheet, job_change, job_drop
from workshop.services.quotes import quote_draft, quote_send
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def spring() -> Spring:
    return a_spring()


def live(spring: Spring) -> list[Job]:
    return list(Job.objects.filter(inspection=spring.inspection).exclude(state=Job.State.DROPPED).order_by("id"))


def figures(job: Job) -> list[tuple[str, Decimal]]:
    return [
        (operation.treatment.code, operation.quantity) for operation in job.operations.select_related("treatment")
    ]


def test_a_finding_becomes_a_job_with_the_operations_advised_for_it(spring: Spring) -> None:
    frame = spring.component("Window frame", "port side")
    spring.opening(frame, shares="", text="Take down the lining.")
    spring.finding(frame, "REBED_SEALANT", "SEAM", size_mm="600.0", severity=3, condition="water_in")
    (job,) = spring.propose()
    assert job.title == "Window frame, port side: rebed in sealant, pay a seam"
    assert figures(job) == [("REBED_SEALANT", Decimal("1.00")), ("SEAM", Decimal("0.60"))]
    assert job.opening_up == "Take down the lining"
    assert job.if_left.startswith("Wood that stays wet rots")
    assert job.state == Job.State.PROPOSED
    assert not job.unsafe_to_leave


def test_hours_of_an_operation_are_those_of_its_quantity(spring: Spring) -> None:
    spring.finding(spring.component(), "SEAM", size_mm="2000.0")
    (job,) = spring.propose()
    operation = job.operations.get()
    assert (operation.hours_low, operation.hours_likely, operation.hours_high) == (
        Decimal("2.00"),
        Decimal("3.00"),
        Decimal("6.00"),
    )


def test_findings_on_one_component_become_one_job(spring: Spring) -> None:
    frame = spring.component()
    spring.finding(frame, "REBED_SEALANT")
    spring.finding(frame, "SEAM")
    (job,) = spring.propose()
    assert job.operations.count() == 2


def test_components_behind_the_same_opening_become_one_job_and_others_do_not(spring: Spring) -> None:
    step, bolt, tiller = (spring.component(name, "") for name in ("Mast step", "Keel bolt", "Tiller"))
    spring.opening(step, shares="sole", text="Lift the sole.")
    spring.opening(bolt, shares="sole", text="Lift the sole.")
    for component in (step, bolt, tiller):
        spring.finding(component, "REBED_SEALANT")
    together, alone = spring.propose()
    assert together.title == "Mast step and Keel bolt: rebed in sealant"
    assert together.opening_up == "Lift the sole"
    assert alone.title == "Tiller: rebed in sealant"


def test_a_finding_outside_the_list_is_a_job_of_its_own(spring: Spring) -> None:
    spring.finding(None, "REBED_SEALANT", elsewhere="stemhead fitting")
    spring.finding(None, "REBED_SEALANT", elsewhere="flag staff socket")
    assert [job.title for job in spring.propose()] == [
        "stemhead fitting: rebed in sealant",
        "flag staff socket: rebed in sealant",
    ]


@pytest.mark.parametrize(
    "judgement",
    [
        pytest.param({"priority": "watch"}, id="watched"),
        pytest.param({"judged": False}, id="not judged yet"),
    ],
)
def test_what_wants_no_work_becomes_no_job(spring: Spring, judgement: dict[str, object]) -> None:
    spring.finding(spring.component(), "REBED_SEALANT", **judgement)  # type: ignore[arg-type]
    assert spring.propose() == []
    assert live(spring) == []


def test_advice_to_watch_is_no_operation(spring: Spring) -> None:
    spring.finding(spring.component(), "WATCH")
    assert spring.propose() == []


def test_a_manager_who_overrules_to_watch_takes_the_job_off_the_list(spring: Spring) -> None:
    finding = spring.finding(spring.component(), "REBED_SEALANT")
    (job,) = spring.propose()
    spring.overrule(finding, "watch")
    assert spring.propose() == []
    job.refresh_from_db()
    assert job.state == Job.State.DROPPED


def test_a_grave_place_that_must_be_right_before_launch_is_called_unsafe_to_leave(spring: Spring) -> None:
    spring.finding(spring.component("Chainplate"), "REBED_SEALANT", priority="before_launch", severity=2)
    spring.finding(spring.component("Coaming"), "REBED_SEALANT", priority="before_launch", severity=3)
    assert [job.unsafe_to_leave for job in spring.propose()] == [True, False]


def test_an_operation_the_catalogue_lacks_is_refused_and_changes_nothing(spring: Spring) -> None:
    spring.finding(spring.component("Tiller"), "REBED_SEALANT")
    spring.finding(spring.component("Boom"), "UNHEARD_OF")
    with pytest.raises(Refused) as refused:
        spring.propose()
    assert refused.value.field == "treatments"
    assert "UNHEARD_OF" in refused.value.problem
    assert live(spring) == []


def test_proposing_again_changes_nothing(spring: Spring) -> None:
    spring.finding(spring.component("Tiller"), "REBED_SEALANT", "SEAM")
    before = spring.propose()
    operations = list(Operation.objects.order_by("id").values())
    after = spring.propose()
    assert [job.pk for job in after] == [job.pk for job in before]
    assert list(Operation.objects.order_by("id").values()) == operations


def test_a_finding_that_comes_later_joins_the_proposed_job_of_its_opening(spring: Spring) -> None:
    frame = spring.component()
    spring.finding(frame, "REBED_SEALANT")
    (job,) = spring.propose()
    later = spring.finding(frame, "SEAM")
    (same,) = spring.propose()
    assert same.pk == job.pk
    assert same.operations.filter(finding=later).exists()


def test_a_new_judgement_brings_the_proposed_job_in_line(spring: Spring) -> None:
    finding = spring.finding(spring.component(), "REBED_SEALANT")
    spring.propose()
    spring.judge(finding, "SEAM", severity=1, priority="before_launch")
    (job,) = spring.propose()
    assert figures(job) == [("SEAM", Decimal("0.25"))]
    assert job.unsafe_to_leave


def test_a_withdrawn_finding_leaves_the_job_and_the_last_one_ends_it(spring: Spring) -> None:
    frame = spring.component()
    one, other = spring.finding(frame, "REBED_SEALANT"), spring.finding(frame, "SEAM")
    (job,) = spring.propose()
    for finding, left in ((one, 1), (other, 0)):
        Finding.objects.filter(pk=finding.pk).update(state=Finding.State.WITHDRAWN, ended_at=AT)
        assert len(spring.propose()) == left
    job.refresh_from_db()
    assert job.state == Job.State.DROPPED


def test_what_a_member_put_a_hand_to_is_not_reckoned_again(spring: Spring) -> None:
    frame = spring.component()
    finding = spring.finding(frame, "REBED_SEALANT")
    (job,) = spring.propose()
    sheet = OperationSheet("SEAM", finding.pk, Decimal("3.5"))
    job_change(job=job, by=spring.manager, at=AT, title="The window to port", operations=[sheet])
    later = spring.finding(frame, "REBED_SEALANT")
    spring.judge(finding, "REBED_SEALANT", severity=1)
    (same,) = spring.propose()
    assert same.title == "The window to port"
    assert [(o.treatment.code, o.finding_id, o.quantity) for o in same.operations.select_related("treatment")] == [
        ("SEAM", finding.pk, Decimal("3.50")),
        ("REBED_SEALANT", later.pk, Decimal("1.00")),
    ]


def test_a_finding_that_comes_after_the_job_went_out_gets_a_job_of_its_own(spring: Spring) -> None:
    frame = spring.component()
    spring.finding(frame, "REBED_SEALANT")
    quote = quote_draft(inspection=spring.inspection, jobs=spring.propose(), by=spring.manager, at=AT)
    quote_send(quote=quote, by=spring.manager, at=AT)
    before = list(Operation.objects.order_by("id").values())
    later = spring.finding(frame, "SEAM")
    (addition,) = spring.propose()
    assert [operation.finding_id for operation in addition.operations.all()] == [later.pk]
    assert list(Operation.objects.order_by("id").values())[: len(before)] == before
    # and a third look still finds that one
    assert [job.pk for job in spring.propose()] == [addition.pk]


def test_a_dropped_job_is_not_proposed_again(spring: Spring) -> None:
    spring.finding(spring.component(), "REBED_SEALANT")
    (job,) = spring.propose()
    job_drop(job=job, by=spring.manager, at=AT)
    assert spring.propose() == []


def test_a_job_that_only_the_worker_dropped_comes_back_with_its_reason(spring: Spring) -> None:
    finding = spring.finding(spring.component(), "REBED_SEALANT")
    spring.propose()
    spring.judge(finding, priority="watch")
    assert spring.propose() == []
    spring.judge(finding, "REBED_SEALANT", priority="this_season")
    assert len(spring.propose()) == 1


def test_a_dropped_job_leaves_the_draft_it_stood_in(spring: Spring) -> None:
    spring.finding(spring.component("Tiller"), "REBED_SEALANT")
    spring.finding(spring.component("Boom"), "REBED_SEALANT")
    quote = spring.draft()
    job_drop(job=quote.lines.get(position=1).job, by=spring.manager, at=AT)
    assert [line.position for line in quote.lines.all()] == [2]
