"""One finding, and a manager's word against the rules."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from inspections.models import Finding, Overruling
from inspections.services.overruling import finding_overrule
from tests.factories.workshop import OperationFactory
from tests.inspections.scenes import Scene, scene
from tests.web.conftest import NOW
from tests.web.visitor import Visitor
from workshop.models import Job
from yard.outbox import drain

pytestmark = pytest.mark.django_db


@pytest.fixture
def made() -> Scene:
    return scene(NOW - timedelta(days=1))


def judged(made: Scene, **more: Any) -> Finding:
    sheet = made.finding(**more)
    made.store(sheet)
    drain(now=NOW)
    return Finding.objects.get(pk=sheet["id"])


def test_it_says_what_was_seen_in_words(made: Scene) -> None:
    reading = {"quantity": "moisture_beside_pct", "value": "13.5", "unit": "pct"}
    finding = judged(made, water="rain", moves="no", readings=[reading], note="Behind the lining")
    page = Visitor(made.technician).page(f"/findings/{finding.pk}/")
    assert "Crack in the wood" in page
    assert "<dt>Moisture beside</dt><dd>13.5 %</dd>" in page
    assert "<dt>Under hand load</dt><dd>does not move</dd>" in page
    assert "Behind the lining" in page
    assert made.technician.name in page


def test_it_says_what_the_rules_make_of_it_and_how(made: Scene) -> None:
    finding = judged(made)
    assessment = finding.assessments.get()
    page = Visitor(made.technician).page(f"/findings/{finding.pk}/")
    assert f"severity {assessment.severity} of 4, likelihood {assessment.probability_level}" in page
    for reason in assessment.reasons:
        assert f"<li>{reason}</li>" in page
    reckoned = page.split("How that was reckoned</summary>")[1].split("</details>")[0]
    assert reckoned.count("<li>") == len(assessment.document["trace"])
    assert "Nobody has said otherwise." in page


def test_before_the_worker_came_it_says_that_it_waits(made: Scene) -> None:
    sheet = made.finding()
    made.store(sheet)
    page = Visitor(made.manager).page(f"/findings/{sheet['id']}/")
    assert "Not judged yet" in page
    assert "Judge otherwise" not in page


def test_a_managers_word_stands_beside_the_rules(made: Scene) -> None:
    finding = judged(made)
    visitor = Visitor(made.manager)
    page = visitor.after(
        f"/findings/{finding.pk}/overruling/",
        priority="watch",
        due_back_on="2027-09-01",
        reason="I have had it under my own eyes for ten years.",
    )
    assert "Your word stands now" in page
    by_a_manager = page.split("By a manager")[1]
    assert "watch" in by_a_manager
    assert "1 September 2027" in by_a_manager
    assert "ten years" in by_a_manager
    assert "By the rules" in page
    again = visitor.after(f"/findings/{finding.pk}/overruling/withdraw/")
    assert "Nobody has said otherwise." in again
    assert "withdrawn on 6 Apr 2027" in again
    assert "I have had it under my own eyes" in again


def test_what_is_wrong_is_said_beside_its_field_and_what_was_typed_stays(made: Scene) -> None:
    finding = judged(made)
    page = Visitor(made.manager).refused(
        f"/findings/{finding.pk}/overruling/", priority="watch", due_back_on="2027-01-01", reason="Because"
    )
    beside = page.split('id="overrule-due_back_on_error"')[1].split("</div>")[0]
    assert "has passed or lies too far off; give a day from 2027-04-06" in beside
    assert ">\nBecause</textarea>" in page
    assert "<details open>" in page
    assert not Overruling.objects.exists()


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"due_back_on": "soon"}, "is no day; give one like 2027-05-01."),
        ({"due_back_on": ""}, "is missing; give a day."),
        ({"reason": ""}, "is empty; write a sentence."),
        ({"priority": "never"}, "Select a valid choice"),
    ],
)
def test_a_form_that_can_t_be_read_is_refused(made: Scene, fields: dict[str, str], told: str) -> None:
    finding = judged(made)
    whole = {"priority": "watch", "due_back_on": "2027-09-01", "reason": "Because", **fields}
    assert told in Visitor(made.manager).refused(f"/findings/{finding.pk}/overruling/", **whole)


def test_a_technician_reads_and_does_not_overrule(made: Scene) -> None:
    finding = judged(made)
    visitor = Visitor(made.technician)
    assert "Judge otherwise" not in visitor.page(f"/findings/{finding.pk}/")
    fields = {"priority": "watch", "due_back_on": "2027-09-01", "reason": "Because"}
    assert visitor.post(f"/findings/{finding.pk}/overruling/", **fields).status_code == 403
    assert visitor.post(f"/findings/{finding.pk}/overruling/withdraw/").status_code == 403
    assert not Overruling.objects.exists()


def test_one_that_ended_can_t_be_overruled(made: Scene) -> None:
    finding = judged(made)
    Finding.objects.filter(pk=finding.pk).update(state="verified", ended_at=NOW)
    visitor = Visitor(made.manager)
    assert "Judge otherwise" not in visitor.page(f"/findings/{finding.pk}/")
    fields = {"priority": "watch", "due_back_on": "2027-09-01", "reason": "Because"}
    assert "overrule one that is still open" in visitor.refused(f"/findings/{finding.pk}/overruling/", **fields)


def test_what_was_said_before_stays_readable(made: Scene) -> None:
    first = made.finding(size_mm="40", note="First look")
    made.store(first)
    later = made.finding(size_mm="44", supersedes=first["id"], spot={"id": first["spot"]["id"]})
    made.store(later)
    drain(now=NOW)
    finding = Finding.objects.get(entry=later["id"])
    finding_overrule(
        finding=finding,
        by=made.manager,
        priority="next_layup",
        due_back_on=date(2027, 9, 1),
        reason="Dry all winter.",
        at=NOW,
    )
    before = Visitor(made.manager).page(f"/findings/{finding.pk}/").split("Before</h2>")[1]
    assert "replaced by a later one: finding, 40 mm, “First look”" in before


def test_jobs_that_serve_it_are_named(made: Scene) -> None:
    finding = judged(made)
    job = Job.objects.create(
        yard=made.yard,
        boat=made.boat,
        inspection=made.inspection,
        title="Rout and glue",
        key="k",
        created_at=NOW,
        changed_at=NOW,
    )
    page = Visitor(made.manager).page(f"/findings/{finding.pk}/")
    assert "No job is proposed for it." in page
    OperationFactory.create(job=job, finding=finding)
    page = Visitor(made.manager).page(f"/findings/{finding.pk}/")
    assert f'<a href="/jobs/{job.pk}/">Rout and glue</a>: proposed' in page
