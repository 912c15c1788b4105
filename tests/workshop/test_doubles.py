"""One sign seen twice is counted once; nothing is lost, and it can be undone."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inspections.models import Acknowledgement, DueBack, Finding, FindingJoin
from inspections.selectors.findings import findings_with_judgement
from inspections.selectors.season import season_rows
from inspections.services.entries import entries_submit
from inspections.services.findings import finding_set_state
from inspections.services.joining import finding_unjoin
from tests.factories.inspections import signs_of
from tests.workshop.spring import AT, Spring, a_spring, next_id
from workshop.models import Job
from workshop.services.doubles import doubles_join
from workshop.services.quote_content import quote_content
from workshop.services.quotes import quote_draft
from yard.outbox import drain
from yard.refusals import Refused

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(hours=1)


@pytest.fixture
def spring() -> Spring:
    return a_spring()


def pair(spring: Spring) -> tuple[Finding, Finding]:
    part = spring.component()
    return spring.finding(part, "REBED_SEALANT"), spring.finding(part, "REBED_SEALANT", size_mm="80.0")


def join(spring: Spring, joined: Finding, kept: Finding) -> FindingJoin:
    return doubles_join(joined=joined, kept=kept, reason="The same seam, seen by two.", by=spring.manager, at=LATER)


def test_what_is_joined_is_counted_once_everywhere_and_comes_back_whole(spring: Spring) -> None:
    kept, double = pair(spring)
    (job,) = spring.propose()
    assert job.operations.count() == 2
    made = join(spring, double, kept)
    assert join(spring, double, kept) == made  # the same again
    assert [operation.finding for operation in job.operations.all()] == [kept]
    drain(now=LATER)
    double.refresh_from_db()
    assert (double.state, double.ended_at) == (Finding.State.JOINED, LATER)
    assert not DueBack.objects.filter(finding=double, ended_at=None).exists()
    assert [operation.finding for operation in job.operations.all()] == [kept]
    assert {ack.finding for ack in Acknowledgement.objects.all()} == {kept, double}
    (row,) = season_rows(spring.yard, 2027)
    assert sum(row.findings.values()) == 1
    quote = quote_draft(inspection=spring.inspection, jobs=[job], by=spring.manager, at=LATER)
    assert [part.id for part in quote_content(quote, at=LATER).findings] == [str(kept.pk)]

    finding_unjoin(join=made, by=spring.manager, at=LATER)
    assert finding_unjoin(join=made, by=spring.manager, at=LATER + timedelta(days=1)).undone_at == LATER
    double.refresh_from_db()
    assert (double.state, double.ended_at) == (Finding.State.OPEN, None)
    assert DueBack.objects.filter(finding=double, ended_at=None).count() == 1
    join(spring, kept, double)  # and the other way round


def test_what_is_joined_stands_alone_again_when_its_speaker_is_withdrawn(spring: Spring) -> None:
    kept, double = pair(spring)
    made = join(spring, double, kept)
    sound = {
        "id": str(next_id()),
        "component": kept.component_id,
        "spot": {"id": str(kept.spot_id)},
        "answer": "sound",
        "observed_at": LATER.isoformat(),
        "supersedes": str(kept.entry_id),
    }
    (result,) = entries_submit(
        inspection=spring.inspection, author=spring.technician, device=None, sheets=[sound], at=LATER
    )
    assert result.outcome == "stored", result
    made.refresh_from_db()
    double.refresh_from_db()
    assert (made.undone_at, made.undone_by, double.state) == (LATER, None, Finding.State.OPEN)


def test_what_is_joined_and_told_otherwise_since_is_new_again(spring: Spring) -> None:
    kept, double = pair(spring)
    join(spring, double, kept)
    new = findings_with_judgement(spring.yard).filter(is_new=True)
    assert not new.exists()
    worse = {
        "id": str(next_id()),
        "component": double.component_id,
        "spot": {"id": str(double.spot_id)},
        "answer": "finding",
        "signs": ["CRACK_WOOD"],
        "observed_at": LATER.isoformat(),
        "supersedes": str(double.entry_id),
    }
    signs_of(spring.yard)
    (result,) = entries_submit(
        inspection=spring.inspection, author=spring.technician, device=None, sheets=[worse], at=LATER
    )
    assert result.outcome == "stored", result
    assert [(finding.pk, finding.state) for finding in new] == [(double.pk, Finding.State.JOINED)]


def test_it_is_refused_where_it_would_be_wrong(spring: Spring) -> None:
    kept, double = pair(spring)
    third = spring.finding(kept.component, "SEAM")
    elsewhere = spring.finding(spring.component("Mast step"), "SEAM")
    others = a_spring()
    stranger = others.finding(others.component(), "SEAM")

    def refused(joined: Finding, into: Finding) -> str:
        with pytest.raises(Refused) as raised:
            join(spring, joined, into)
        return str(raised.value)

    assert "the same finding" in refused(kept, kept)
    assert "another part" in refused(elsewhere, kept)
    assert "another boat" in refused(stranger, kept)
    join(spring, double, kept)
    assert "joined to another already" in refused(double, third)
    assert "joined to another" in refused(third, double)
    assert "others are joined to it" in refused(kept, third)
    finding_set_state(finding=third, state="declined", at=LATER)
    assert "declined" in refused(third, kept)
    with pytest.raises(Refused, match="reason"):
        doubles_join(joined=third, kept=kept, reason=" ", by=spring.manager, at=LATER)


@pytest.mark.parametrize("state", [Job.State.QUOTED, Job.State.IN_WORK, Job.State.DECLINED])
def test_a_finding_with_a_job_beyond_the_yards_own_list_does_not_go(spring: Spring, state: str) -> None:
    kept, double = pair(spring)
    Job.objects.filter(pk__in=[job.pk for job in spring.propose()]).update(state=state)
    with pytest.raises(Refused, match="the job"):
        join(spring, double, kept)
