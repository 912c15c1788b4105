"""What the office makes of this spring's jobs: two ways to choose from, quotes, and who answers what."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from workshop.demo import scenario
from workshop.demo.doors import DoorClosed, Fields, Json, Phone, link_in, mails_in
from workshop.demo.spring import Spring


def said() -> Json:
    """The office's part of the scenario."""
    return scenario.read("office.json")


def named(spring: Spring, jobs: Iterable[Json], name: Mapping[str, Any]) -> Json:
    """The job of a boat with a treatment in it; of two, the one that the worker proposed."""
    boat = spring.demo.boats[name["boat"]].pk
    for job in jobs:
        treatments = {operation["treatment"] for operation in job["operations"]}
        if job["boat"] == boat and name["treatment"] in treatments and job["alternative_to"] is None:
            return job
    raise DoorClosed(f"no job of {name['boat']} has the treatment {name['treatment']}")


def jobs_of(spring: Spring, **filters: object) -> list[Json]:
    return list(spring.manager.every("jobs/", season=spring.demo.season_year(0), page_size=200, **filters))


def quote_everybody(spring: Spring) -> None:
    """Put the proposed jobs of each inspected boat to her decider, one of them with two ways to choose from."""
    proposed = jobs_of(spring, state="proposed")
    together = [job for job in proposed if len({operation["finding"] for operation in job["operations"]}) > 1]
    for job in together:
        spring.say(f"{job['boat_name']}: opened up once for several places: '{job['title']}'")
    spring.told.jobs_of_several_findings = len(together)
    choice = said()["other_way"]
    proper = named(spring, proposed, choice["job"])
    finding = proper["operations"][0]["finding"]
    other = spring.manager.post(
        f"jobs/{proper['id']}/alternative/",
        {
            "title": choice["title"],
            "means": choice["means"],
            "proper_by": spring.demo.calendar.day(choice["proper_by"], 0).isoformat(),
            "operations": [
                {"treatment": treatment, "finding": finding, "quantity": "1"} for treatment in choice["treatments"]
            ],
        },
        expect=201,
    )
    by_inspection: dict[int, list[Json]] = {}
    for job in [*proposed, other]:
        by_inspection.setdefault(job["inspection"], []).append(job)
    for inspection, jobs in sorted(by_inspection.items()):
        ids = [job["id"] for job in sorted(jobs, key=lambda job: (not job["unsafe_to_leave"], job["id"]))]
        draft = spring.manager.post("quotes/", {"inspection": inspection, "jobs": ids}, expect=201)
        if other["id"] in ids:
            ways = {"title": choice["choice"], "jobs": [proper["id"], other["id"]], "recommended": proper["id"]}
            spring.manager.post(f"quotes/{draft['id']}/options/", ways)
        spring.send(draft)
    spring.wait_for_reports()


def decide(spring: Spring) -> None:
    """The deciders open their mail and answer each job on the page."""
    jobs = {job["id"]: job for job in jobs_of(spring)}
    lines = {
        line["id"]: jobs[line["job"]]
        for quote in spring.manager.every("quotes/", season=spring.demo.season_year(0), state="sent", page_size=200)
        for line in quote["lines"]
    }
    plan = _plan(spring, lines.values())
    for path in spring.new_mails():
        mail = mails_in(spring.mail_folder)[path]
        phone = Phone(link_in(mail))
        while questions := phone.questions():
            action, forms = _next(questions, plan, lines)
            verdict, question = plan.get(lines[_line(action)]["id"], ("approve", ""))
            if question:
                phone.answer(action, forms["ask"] | {"question": [question]})
                spring.told.decisions["ask"] += 1
            phone.answer(action, forms[verdict])
            spring.told.decisions[verdict] += 1
            if verdict == "decline" and lines[_line(action)]["unsafe_to_leave"]:
                spring.told.unsafe_declined += 1
    counted = ", ".join(f"{count} {verdict}" for verdict, count in sorted(spring.told.decisions.items()))
    spring.say(f"the deciders answered on their pages: {counted}; one chose to hold until lay-up")


def _plan(spring: Spring, jobs: Iterable[Json]) -> dict[int, tuple[str, str]]:
    """Verdict and question for the jobs that are not simply approved. The way that is not chosen has no verdict."""
    known, office = list(jobs), said()
    plan = {named(spring, known, name)["id"]: ("decline", "") for name in office["declined"]}
    asked = office["asked"]
    plan[named(spring, known, asked["job"])["id"]] = (asked["verdict"], asked["question"])
    proper = named(spring, known, office["other_way"]["job"])
    plan[proper["id"]] = ("", "")
    return plan


def _next(
    questions: Mapping[str, Mapping[str, Fields]], plan: Mapping[int, tuple[str, str]], lines: Mapping[int, Json]
) -> tuple[str, Mapping[str, Fields]]:
    """The first question of the page that the decider has a word on; choosing one way settles the other."""
    for action, forms in questions.items():
        if plan.get(lines[_line(action)]["id"], ("approve", ""))[0]:
            return action, forms
    raise DoorClosed("questions are left open after all were answered")


def _line(action: str) -> int:
    return int(action.rstrip("/").rpartition("/")[2])


__all__ = ["decide", "jobs_of", "named", "quote_everybody", "said"]
