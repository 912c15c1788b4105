"""One inspection: checks with their answers, closing, entries set aside, and the way to a quote."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.factories.inspections import SetAsideFactory, made_id
from tests.inspections.scenes import Scene, scene
from tests.web.conftest import NOW
from tests.web.visitor import Visitor
from tests.workshop.spring import a_spring
from workshop.models import Quote
from workshop.report.words import tag_text
from yard.models import HourlyRate
from yard.outbox import drain

pytestmark = pytest.mark.django_db


@pytest.fixture
def made() -> Scene:
    return scene(NOW - timedelta(days=1))


def address(made: Scene) -> str:
    return f"/inspections/{made.inspection.pk}/"


def test_every_check_stands_with_its_answer_or_without(made: Scene) -> None:
    made.store(made.finding())
    drain(now=NOW)
    page = Visitor(made.technician).page(address(made))
    assert "1 of 2 checks" in page
    assert "Are the lower corners tight?" in page
    assert "Crack in the wood, 40 mm" in page
    assert "How wet is the lower rail?" in page
    assert page.count("Not answered yet") == 1


def test_a_place_not_seen_says_why(made: Scene) -> None:
    made.store(made.not_seen())
    assert "Not seen: lining screwed down" in Visitor(made.technician).page(address(made))


def test_what_was_said_of_the_opening_up_stands_with_its_reason(made: Scene) -> None:
    (step,) = made.inspection.opening_steps.all()
    office = Visitor(made.manager)
    told = office.page(address(made)).split('id="opening"')[1].split("<h2>")[0]
    assert step.text in told
    assert str(step.component) in told
    assert "Nothing said yet" in told
    said = {"step": step.pk, "observed_at": made.at.isoformat()}
    made.store({**said, "id": str(made_id(1)), "outcome": "not_possible", "reason": "screws seized"})
    told = office.page(address(made)).split('id="opening"')[1].split("<h2>")[0]
    assert "<strong>Not possible</strong>: screws seized" in told
    assert made.technician.name in told
    later = (made.at + timedelta(minutes=9)).isoformat()
    made.store({**said, "id": str(made_id(2)), "outcome": "done", "observed_at": later})
    told = office.page(address(made)).split('id="opening"')[1].split("<h2>")[0]
    assert "Done" in told
    assert "screws seized" not in told


def test_what_was_seen_besides_stands_below(made: Scene) -> None:
    sheet = {**made.finding(component=made.component.pk), "check": None}
    made.store(sheet)
    besides = Visitor(made.manager).page(address(made)).split("Seen besides")[1]
    assert "lower aft corner" in besides


def test_a_manager_closes_it_when_everything_is_there(made: Scene) -> None:
    made.store(made.sound(), made.wet())
    visitor = Visitor(made.manager)
    assert "The inspection is closed." in visitor.after(f"{address(made)}close/")
    made.inspection.refresh_from_db()
    assert made.inspection.closed_by == made.manager
    assert "Close the inspection" not in visitor.page(address(made))
    assert visitor.post(f"{address(made)}close/").status_code == 302  # a second click


def test_it_is_not_closed_while_something_is_missing(made: Scene) -> None:
    made.store(made.finding(photos=["b" * 64]))
    page = Visitor(made.manager).refused(f"{address(made)}close/")
    assert "1 without an answer and 1 photo not here; they are marked below." in page
    assert "b" * 16 in page.split("Photos that are not here yet")[1]
    made.inspection.refresh_from_db()
    assert made.inspection.closed_at is None


def test_a_single_thing_missing_is_told_whole(made: Scene) -> None:
    made.store(made.sound())
    page = Visitor(made.manager).refused(f"{address(made)}close/")
    assert "nobody has answered “How wet is the lower rail?”" in page


def test_a_technician_does_not_close_it(made: Scene) -> None:
    made.store(made.sound(), made.wet())
    visitor = Visitor(made.technician)
    assert "Close the inspection" not in visitor.page(address(made))
    assert visitor.post(f"{address(made)}close/").status_code == 403


def test_entries_set_aside_are_told_and_placed_elsewhere(made: Scene) -> None:
    SetAsideFactory.create(boat=made.boat)
    page = Visitor(made.manager).page(address(made))
    assert "1 entry from this boat could not be placed" in page
    assert f"/findings/set-aside/?boat={made.boat.pk}" in page
    assert "A manager places it." in Visitor(made.technician).page(address(made))


def test_ticked_jobs_become_a_quote_the_most_urgent_first() -> None:
    spring = a_spring()
    spring.finding(spring.component("Toerail"), "REBED_SEALANT", priority="next_layup", severity=4)
    spring.finding(spring.component("Window frame"), "REBED_SEALANT")
    spring.finding(spring.component("Mast step"), "SEAM", priority="before_launch", severity=1)
    jobs = {job.title.split(",")[0]: job for job in spring.propose()}
    visitor, here = Visitor(spring.manager), f"/inspections/{spring.inspection.pk}/"
    page = visitor.page(here)
    assert page.index("Mast step") < page.index("Window frame") < page.index("Toerail")
    page = visitor.after(f"{here}quote/", jobs=[str(jobs["Toerail"].pk), str(jobs["Mast step"].pk)])
    assert "Quote 1 for" in page
    lines = Quote.objects.get().lines.order_by("position")
    assert [line.job for line in lines] == [jobs["Mast step"], jobs["Toerail"]]
    again = visitor.post(f"{here}quote/", jobs=[str(jobs["Toerail"].pk)])  # a second click
    assert again["Location"] == f"/quotes/{Quote.objects.get().pk}/"


def test_no_job_ticked_makes_no_quote() -> None:
    spring = a_spring()
    spring.finding(spring.component("Toerail"), "REBED_SEALANT")
    spring.propose()
    page = Visitor(spring.manager).refused(f"/inspections/{spring.inspection.pk}/quote/")
    assert "Jobs: there is none; put at least one job in." in page
    assert not Quote.objects.exists()


def test_a_quote_begins_with_ticked_findings_where_no_job_is_proposed() -> None:
    spring = a_spring()
    frame = spring.component("Window frame")
    spring.opening(frame, "lining")
    together = [spring.finding(frame, "SEAM", priority="watch") for _ in range(2)]
    bare = spring.finding(spring.component("Rudder"), "WATCH", priority="watch")
    unjudged = spring.finding(spring.component("Rail"), judged=False)
    assert spring.propose() == []
    visitor, here = Visitor(spring.manager), f"/inspections/{spring.inspection.pk}/"
    page = visitor.page(here)
    assert "No job can be made: no work is advised" in page
    assert "No job can be made: not judged yet" in page
    may = {finding: f'id="finding-{finding.pk}" disabled' not in page for finding in [*together, bare, unjudged]}
    assert [finding for finding, ticks in may.items() if ticks] == together
    refused = visitor.refused(f"{here}quote/", findings=[str(together[0].pk), str(unjudged.pk)])
    assert "is not judged yet" in refused
    assert f'id="finding-{together[0].pk}" checked' in refused
    for _ in range(2):  # the second is a second click
        visitor.after(f"{here}quote/", findings=[str(finding.pk) for finding in together])
    (line,) = Quote.objects.get().lines.all()
    assert {operation.finding for operation in line.job.operations.all()} == set(together)
    assert "jobs and findings are ticked there" in visitor.page(here)


@pytest.mark.parametrize(
    ("answered", "told"),
    [
        (False, "no job to quote: 0 of 2 checks are answered"),
        (True, "Nothing was found, so there is no job"),
    ],
)
def test_where_nothing_can_be_quoted_the_page_says_why(made: Scene, answered: bool, told: str) -> None:
    if answered:
        made.store(made.sound(), made.wet())
    page = Visitor(made.manager).page(address(made))
    assert told in page
    assert "Draw up a quote" not in page


def test_findings_without_work_make_no_quote_and_say_so() -> None:
    spring = a_spring()
    spring.finding(spring.component("Rudder"), priority="watch")
    page = Visitor(spring.manager).page(f"/inspections/{spring.inspection.pk}/")
    assert "No quote can be drawn up of these findings" in page
    assert "Draw up a quote of" not in page


def test_a_job_that_can_t_be_priced_says_why_and_can_t_be_ticked() -> None:
    spring = a_spring()
    spring.finding(spring.component("Toerail"), "REBED_SEALANT")
    spring.propose()
    HourlyRate.objects.all().delete()
    page = Visitor(spring.manager).page(f"/inspections/{spring.inspection.pk}/")
    assert (
        "Can't be priced: there is none for the trade &#x27;shipwright&#x27;; set what an hour of it costs" in page
    )
    assert "checked disabled" in page


def test_a_technician_draws_up_no_quote() -> None:
    spring = a_spring()
    spring.finding(spring.component("Toerail"), "REBED_SEALANT")
    (job,) = spring.propose()
    visitor, here = Visitor(spring.technician), f"/inspections/{spring.inspection.pk}/"
    assert 'type="checkbox"' not in visitor.page(here)
    assert visitor.post(f"{here}quote/", jobs=[str(job.pk)]).status_code == 403


def test_jobs_are_split_and_joined_and_the_page_tells_what_is_saved_together() -> None:
    spring = a_spring()
    frame = spring.component("Window frame")
    first, second = (spring.finding(frame, "REBED_SEALANT") for _ in range(2))
    (job,) = spring.propose()
    visitor, here = Visitor(spring.manager), f"/inspections/{spring.inspection.pk}/"
    page = visitor.page(here)
    assert "Done together: ½ h and €31.00 saved" in page.replace("\xa0", " ")
    for finding in (first, second):  # equally named, and told apart by their stickers
        assert finding.spot is not None
        assert f", {tag_text(finding.spot.tag)}</label>" in page
    split = f"/jobs/{job.pk}/split/"
    assert "Findings: are all that the job serves" in visitor.refused(
        split, findings=[str(first.pk), str(second.pk)]
    )
    page = visitor.after(split, findings=[str(second.pk)])
    assert "is a job of its own" in page
    assert "Done together" not in page
    jobs = [str(each.pk) for each in spring.propose()]
    assert len(jobs) == 2
    assert "Jobs: are not two or more" in visitor.refused(f"{here}join/", jobs=jobs[:1])
    page = visitor.after(f"{here}join/", jobs=jobs)
    assert "is one job now" in page
    assert "Done together: ½ h" in page.replace("\xa0", " ")
    assert "Split or join jobs" not in Visitor(spring.technician).page(here)
