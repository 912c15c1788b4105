"""A season at a glance: each boat's way through the spring, what blocks her, and the hours open on her."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from inspections.judgement.vocabulary import Priority
from inspections.selectors.season import SeasonRow, season_rows
from workshop.planning.launch_hours import BoatWork, HoursPlan, hours_plan
from workshop.planning.way import Block, BoatFacts, Stage, blocks_of, is_clear, stage_of
from workshop.selectors.season_quotes import SeasonQuote, season_quotes, to_look_at
from workshop.selectors.season_work import NO_JOBS, InspectionJobs, season_jobs
from yard.models import Yard
from yard.selectors import today_at, working_calendar_of
from yard.weeks import Week, week_of


@dataclass(frozen=True, slots=True)
class SeasonBoat:
    """One boat in a season.

    Attributes:
        row: what the inspections say of her.
        quote: the one to look at: what has been with her decider for longest, or the draft, or the newest.
        work: hours open on her, with the day she goes in.
        week: in which she goes in.
    """

    row: SeasonRow
    stage: Stage
    blocks: tuple[Block, ...]
    quote: SeasonQuote | None
    work: BoatWork
    week: Week | None

    @property
    def clear(self) -> bool:
        """Nothing keeps her ashore."""
        return is_clear(self.blocks)

    @property
    def waiting_since(self) -> date | None:
        """The day from which a quote has been with her decider."""
        return self.quote.facts.since if self.quote is not None and self.quote.is_sent else None


def season_boats(yard: Yard, season_year: int, *, at: datetime) -> list[SeasonBoat]:
    """The yard's boats in the order in which they go in, the same number of queries for any number of boats."""
    today = today_at(yard, at)
    quotes = season_quotes(yard, season_year)
    jobs = season_jobs(yard, season_year)
    boats = []
    for row in season_rows(yard, season_year):
        key = 0 if row.inspection is None else row.inspection.pk
        boats.append(_boat(row, quotes.get(key, []), jobs.get(key, NO_JOBS), today))
    return boats


def season_hours(yard: Yard, boats: list[SeasonBoat], *, at: datetime) -> HoursPlan:
    """What is agreed and open on them, week by week, against the hours that the yard has until then."""
    return hours_plan(
        (boat.work for boat in boats),
        today=today_at(yard, at),
        calendar=working_calendar_of(yard),
        hours_per_week=yard.hours_per_week,
    )


def _boat(row: SeasonRow, quotes: list[SeasonQuote], jobs: InspectionJobs, today: date) -> SeasonBoat:
    inspection = row.inspection
    afloat_on = None if inspection is None else inspection.afloat_on
    facts = BoatFacts(
        decider=row.boat.decider,
        launch_on=row.launch_on,
        afloat_on=afloat_on,
        opened=inspection is not None,
        closed=inspection is not None and inspection.closed,
        steps=row.steps,
        steps_said=row.steps_said,
        checks=row.checks,
        answered=row.answered,
        not_seen=row.not_seen,
        photos_missing=row.photos_missing,
        set_aside=row.set_aside,
        unjudged=row.unjudged,
        before_launch=row.findings[Priority.BEFORE_LAUNCH],
        jobs=jobs.jobs,
        quotes=tuple(quote.facts for quote in quotes if quote.waits),
        holds=jobs.holds,
    )
    work = BoatWork(
        launch_on=row.launch_on,
        afloat=afloat_on is not None,
        by_launch=jobs.hours.by_launch,
        later=jobs.hours.later,
        likely=jobs.hours.likely,
        asked=jobs.hours.asked,
    )
    week = None if row.launch_on is None else week_of(row.launch_on)
    return SeasonBoat(row, stage_of(facts), blocks_of(facts, today), to_look_at(quotes), work, week)


__all__ = ["SeasonBoat", "season_boats", "season_hours"]
