"""The lines of the season page: every boat, how far she is, and what is in her way."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from inspections.judgement.vocabulary import Priority
from inspections.selectors.season import SeasonRow, season_rows
from web.office.season_figures import Asked, SeasonFigures, season_figures
from workshop.models import Job, Quote
from yard.models import Yard
from yard.weeks import Week, week_of


@dataclass(frozen=True, slots=True)
class SeasonLine:
    """One boat in a season: what the inspection says, the quote, and what has to happen before she can go in."""

    row: SeasonRow
    asked: Asked | None
    in_the_way: tuple[str, ...]

    @property
    def week(self) -> Week | None:
        return None if self.row.launch_on is None else week_of(self.row.launch_on)

    @property
    def findings(self) -> Sequence[tuple[str, int]]:
        """Priority and count, the most urgent first."""
        return [(priority.value, self.row.findings.get(priority, 0)) for priority in Priority]


@dataclass(frozen=True, slots=True)
class SeasonWeek:
    """The boats that go in in one week; `week` is None for those without a day."""

    week: Week | None
    told: str
    lines: tuple[SeasonLine, ...]


@dataclass(frozen=True, slots=True)
class SeasonTotals:
    """What the lines shown come to."""

    boats: int
    checks: int
    answered: int
    by_priority: tuple[tuple[str, int], ...]
    not_seen: int
    with_decider: int
    clear: int


def season_lines(yard: Yard, season_year: int) -> list[SeasonLine]:
    """Every boat of the yard, in the order in which they go in."""
    figures = season_figures(yard, season_year)
    return [_line(row, figures) for row in season_rows(yard, season_year)]


def season_weeks(lines: Iterable[SeasonLine], today: date) -> list[SeasonWeek]:
    """The lines under the week they go in, in their order."""
    weeks: dict[Week | None, list[SeasonLine]] = {}
    for line in lines:
        weeks.setdefault(line.week, []).append(line)
    return [
        SeasonWeek(week, week.told_from(today) if week is not None else "", tuple(inside))
        for week, inside in weeks.items()
    ]


def season_totals(lines: Sequence[SeasonLine]) -> SeasonTotals:
    """The line below the table."""
    findings: Counter[str] = Counter()
    for line in lines:
        findings.update(dict(line.findings))
    return SeasonTotals(
        boats=len(lines),
        checks=sum(line.row.checks for line in lines),
        answered=sum(line.row.answered for line in lines),
        by_priority=tuple((priority.value, findings[priority.value]) for priority in Priority),
        not_seen=sum(line.row.not_seen for line in lines),
        with_decider=sum(line.asked is not None and line.asked.quote.state == Quote.State.SENT for line in lines),
        clear=sum(not line.in_the_way for line in lines),
    )


def _line(row: SeasonRow, figures: SeasonFigures) -> SeasonLine:
    if row.inspection is None:
        return SeasonLine(row, None, ("inspection to be opened",))
    asked = figures.quotes.get(row.inspection.pk)
    return SeasonLine(row, asked, tuple(_in_the_way(row, asked, figures)))


def _in_the_way(row: SeasonRow, asked: Asked | None, figures: SeasonFigures) -> Iterable[str]:
    """What has to happen before she can go in, in the order of the work."""
    assert row.inspection is not None
    key = row.inspection.pk
    jobs = figures.jobs.get(key, {})
    if row.inspection.closed_at is None:
        missing = figures.photos_missing.get(key, 0)
        yield from _told(row.checks - row.answered, "check to answer", "checks to answer")
        yield from _told(missing, "photo not here yet", "photos not here yet")
        if row.answered >= row.checks and not missing:
            yield "inspection to be closed"
    yield from _told(figures.set_aside_by_boat.get(row.boat.pk, 0), "entry set aside", "entries set aside")
    yield from _told(row.unjudged, "finding not judged yet", "findings not judged yet")
    if asked is not None and asked.quote.state == Quote.State.DRAFT:
        yield f"quote {asked.quote.number} to be sent"
    else:
        yield from _told(jobs.get(Job.State.PROPOSED, 0), "job to be quoted", "jobs to be quoted")
    if asked is not None and asked.quote.state == Quote.State.SENT:
        yield from _told(asked.questions, "question to be answered", "questions to be answered")
        yield f"{row.boat.decider.name} to decide on {asked.jobs - asked.decided} of {asked.jobs}"
    waiting = figures.waiting.get(key)
    if waiting is not None:
        yield from _told(waiting.holds, "hold on a job", "holds on jobs")
    to_do = sum(jobs.get(state, 0) for state in (Job.State.APPROVED, Job.State.IN_WORK, Job.State.STOPPED))
    yield from _told(to_do, "job to be done", "jobs to be done")
    yield from _told(jobs.get(Job.State.DONE, 0), "job to be verified", "jobs to be verified")


def _told(number: int, one: str, many: str) -> Iterable[str]:
    if number > 0:
        yield f"{number} {one if number == 1 else many}"


__all__ = ["SeasonLine", "SeasonTotals", "SeasonWeek", "season_lines", "season_totals", "season_weeks"]
