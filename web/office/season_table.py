"""The rows of the season page: every boat, how far she is, and what is in her way."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from inspections.judgement.vocabulary import Priority
from inspections.models import Inspection
from web.office.season_figures import UNJUDGED, Answers, Asked, SeasonFigures, season_figures
from web.office.weeks import Week, week_of
from workshop.models import Job, Quote
from yard.models import Boat, Season, Yard


@dataclass(frozen=True, slots=True)
class SeasonRow:
    """One boat in a season. `inspection` is None where it was not opened."""

    boat: Boat
    inspection: Inspection | None
    launch_on: date
    checks: int
    answered: int
    by_priority: Mapping[str, int]
    not_seen: int
    asked: Asked | None
    due_back_on: date | None
    in_the_way: tuple[str, ...]

    @property
    def week(self) -> Week:
        return week_of(self.launch_on)

    def findings(self) -> Sequence[tuple[str, int]]:
        """Priority and count, the most urgent first."""
        return [(priority.value, self.by_priority.get(priority.value, 0)) for priority in Priority]


@dataclass(frozen=True, slots=True)
class SeasonWeek:
    """The boats that go in in one week."""

    week: Week
    told: str
    rows: tuple[SeasonRow, ...]


@dataclass(frozen=True, slots=True)
class SeasonTotals:
    """What the rows shown come to."""

    boats: int
    checks: int
    answered: int
    by_priority: tuple[tuple[str, int], ...]
    not_seen: int
    with_decider: int
    clear: int


def season_rows(yard: Yard, season: Season) -> list[SeasonRow]:
    """Every boat that is at the yard in the season, by launch and name."""
    inspections = Inspection.objects.of_yard(yard).filter(season_year=season.year)
    by_boat = {inspection.boat_id: inspection for inspection in inspections}
    figures = season_figures(yard, inspections)
    rows = []
    for boat in Boat.objects.of_yard(yard).select_related("decider_owner", "decider_member"):
        inspection = by_boat.get(boat.pk)
        gone = boat.left_on is not None and boat.left_on <= season.launch_on
        if inspection is not None or not gone:
            rows.append(_row(boat, inspection, season, figures))
    return sorted(rows, key=lambda row: (row.launch_on, row.boat.name))


def season_weeks(rows: Iterable[SeasonRow], today: date) -> list[SeasonWeek]:
    """The rows under the week they go in."""
    weeks: dict[Week, list[SeasonRow]] = {}
    for row in rows:
        weeks.setdefault(row.week, []).append(row)
    return [SeasonWeek(week, week.told_from(today), tuple(rows)) for week, rows in sorted(weeks.items())]


def season_totals(rows: Sequence[SeasonRow]) -> SeasonTotals:
    """The line below the table."""
    findings: Counter[str] = Counter()
    for row in rows:
        findings.update(dict(row.findings()))
    return SeasonTotals(
        boats=len(rows),
        checks=sum(row.checks for row in rows),
        answered=sum(row.answered for row in rows),
        by_priority=tuple((priority.value, findings[priority.value]) for priority in Priority),
        not_seen=sum(row.not_seen for row in rows),
        with_decider=sum(row.asked is not None and row.asked.quote.state == Quote.State.SENT for row in rows),
        clear=sum(not row.in_the_way for row in rows),
    )


def _row(boat: Boat, inspection: Inspection | None, season: Season, figures: SeasonFigures) -> SeasonRow:
    due_back_on = figures.due_back_by_boat.get(boat.pk)
    if inspection is None:
        return SeasonRow(
            boat, None, season.launch_on, 0, 0, {}, 0, None, due_back_on, ("inspection to be opened",)
        )
    key = inspection.pk
    answers = figures.answers.get(key, Answers())
    return SeasonRow(
        boat=boat,
        inspection=inspection,
        launch_on=inspection.launch_on,
        checks=figures.checks.get(key, 0),
        answered=answers.answered,
        by_priority=figures.findings.get(key, {}),
        not_seen=answers.not_seen,
        asked=figures.quotes.get(key),
        due_back_on=due_back_on,
        in_the_way=tuple(_in_the_way(boat, inspection, figures)),
    )


def _in_the_way(boat: Boat, inspection: Inspection, figures: SeasonFigures) -> Iterable[str]:
    """What has to happen before she can go in, in the order of the work."""
    key = inspection.pk
    jobs, asked = figures.jobs.get(key, {}), figures.quotes.get(key)
    to_answer = figures.checks.get(key, 0) - figures.answers.get(key, Answers()).answered
    if inspection.closed_at is None:
        yield from _told(to_answer, "check to answer", "checks to answer")
        yield from _told(figures.photos_missing.get(key, 0), "photo not here yet", "photos not here yet")
        if to_answer <= 0 and not figures.photos_missing.get(key, 0):
            yield "inspection to be closed"
    yield from _told(figures.set_aside_by_boat.get(boat.pk, 0), "entry set aside", "entries set aside")
    unjudged = figures.findings.get(key, {}).get(UNJUDGED, 0)
    yield from _told(unjudged, "finding not judged yet", "findings not judged yet")
    drafted = asked is not None and asked.quote.state == Quote.State.DRAFT
    if drafted and asked is not None:
        yield f"quote {asked.quote.number} to be sent"
    else:
        yield from _told(jobs.get(Job.State.PROPOSED, 0), "job to be quoted", "jobs to be quoted")
    if asked is not None and asked.quote.state == Quote.State.SENT:
        yield from _told(asked.questions, "question to be answered", "questions to be answered")
        yield f"{boat.decider.name} to decide on {asked.jobs - asked.decided} of {asked.jobs}"
    waiting = figures.waiting.get(key)
    if waiting is not None:
        yield from _told(waiting.holds, "job held", "jobs held")
    to_do = jobs.get(Job.State.APPROVED, 0) + jobs.get(Job.State.IN_WORK, 0)
    yield from _told(to_do, "job to be done", "jobs to be done")
    yield from _told(jobs.get(Job.State.DONE, 0), "job to be verified", "jobs to be verified")


def _told(number: int, one: str, many: str) -> Iterable[str]:
    if number > 0:
        yield f"{number} {one if number == 1 else many}"


__all__ = ["SeasonRow", "SeasonTotals", "SeasonWeek", "season_rows", "season_totals", "season_weeks"]
