"""Jobs of the findings that a manager ticks."""

from __future__ import annotations

import pytest

from inspections.models import Acknowledgement
from tests.queries import queries_of
from tests.workshop.spring import AT, a_spring
from workshop.models import Job
from workshop.services.jobs import job_drop
from workshop.services.jobs_made import jobs_make
from yard.refusals import RefusedMany

pytestmark = pytest.mark.django_db


def test_what_is_ticked_gets_jobs_by_what_comes_off_together() -> None:
    spring = a_spring()
    frame = spring.component()
    spring.opening(frame, "lining")
    watched = [spring.finding(frame, "SEAM", priority="watch") for _ in range(2)]
    urgent = spring.finding(spring.component("Mast step"), "SEAM")
    had = spring.finding(spring.component("Rudder"), "SEAM")
    (dropped,) = (job for job in spring.propose() if job.operations.filter(finding=urgent).exists())
    job_drop(job=dropped, by=spring.manager, at=AT)
    made = jobs_make(findings=[*watched, urgent, had], by=spring.manager, at=AT)
    served = [{operation.finding for operation in job.operations.all()} for job in made.jobs]
    assert (served, made.served) == ([set(watched), {urgent}], 1)
    spring.propose()  # the worker leaves them as they are
    assert [job.operations.count() for job in Job.objects.filter(pk__in=[job.pk for job in made.jobs])] == [2, 1]
    assert jobs_make(findings=[*watched, urgent, had], by=spring.manager, at=AT).jobs == ()
    assert Acknowledgement.objects.count() == 4


def test_it_asks_as_often_for_many_findings_as_for_a_few() -> None:
    def asked_for(number: int) -> int:
        spring = a_spring()
        frame = spring.component()
        findings = [spring.finding(frame, "SEAM", priority="watch") for _ in range(number)]
        return len(queries_of(lambda: jobs_make(findings=findings, by=spring.manager, at=AT)))

    assert asked_for(2) == asked_for(8)


def test_nothing_is_made_where_one_of_them_can_have_none() -> None:
    spring = a_spring()
    fine = spring.finding(spring.component(), "SEAM", priority="watch")
    bare = spring.finding(spring.component("Rudder"), priority="watch")
    unjudged = spring.finding(spring.component("Rail"), judged=False)
    with pytest.raises(RefusedMany) as raised:
        jobs_make(findings=[fine, bare, unjudged], by=spring.manager, at=AT)
    assert ["no work is advised" in one.problem for one in raised.value.refusals] == [True, False]
    assert not Job.objects.exists()
