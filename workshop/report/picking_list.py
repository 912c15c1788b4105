"""The picking list of a week in words: for the page, for paper, and for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from workshop.pricing.pack_words import amount_words, packs_words
from workshop.pricing.picking import Picked
from workshop.report.making import english
from workshop.report.rendering import Rendered, paper_of
from workshop.report.sheet_rendering import sheet_render
from workshop.selectors.picking import PickingJob, PickingList
from yard.locale_format import date_text
from yard.models import Yard
from yard.safe_cells import csv_text

# In one line for whoever reads the list: where a job's week comes from.
RULE: Final = (
    "A job stands in the week in which it must be begun: its earliest due-back date (the launch where there is"
    " none) less its waits, and not before what it waits for is expected. What should have been begun already and"
    " what is in work stands in this week."
)
BOOKED: Final = "What is booked to a job is taken off what it needs, never below nothing."
CSV_HEAD: Final = ("week", "what", "code", "name", "boat", "job", "amount", "unit", "packs", "needed", "booked")


@dataclass(frozen=True, slots=True)
class JobView:
    """A job of the week with its number on the list."""

    number: int
    id: int
    boat: str
    boat_id: int
    title: str
    state: str
    begin_by: str
    due_on: str
    why_not: str


@dataclass(frozen=True, slots=True)
class NeedView:
    """A job's need of a material: `amount` is still to be fetched, `of` what it needs, where some is booked."""

    job: JobView
    amount: str
    packs: str
    of: str


@dataclass(frozen=True, slots=True)
class MaterialView:
    """A material in all, and what to fetch of it.

    Attributes:
        needed: by all jobs, with waste.
        amount: still to be fetched of it; empty where all is booked.
        booked: what is taken off for that; empty where nothing is.
    """

    name: str
    needs: tuple[NeedView, ...]
    needed: str
    amount: str
    booked: str
    packs: str
    left_over: str
    keeps: bool


@dataclass(frozen=True, slots=True)
class ToolView:
    """A tool with the jobs it is for."""

    name: str
    jobs: tuple[JobView, ...]


@dataclass(frozen=True, slots=True)
class PickingView:
    """Everything that the page and the sheet set."""

    language: str
    paper: str
    yard: str
    week: str
    days: str
    dated: str
    rule: str
    taken_off: str
    jobs: tuple[JobView, ...]
    materials: tuple[MaterialView, ...]
    tools: tuple[ToolView, ...]

    @property
    def not_reckoned(self) -> tuple[JobView, ...]:
        """Jobs whose materials are missing from the list."""
        return tuple(job for job in self.jobs if job.why_not)


def picking_view(listed: PickingList, yard: Yard, *, on_date: date) -> PickingView:
    """The list in words."""
    locale = english(yard)
    jobs = {each.job.pk: _job(number, each, locale) for number, each in enumerate(listed.jobs, start=1)}
    first, last = (date_text(day, locale, "medium") for day in (listed.week.monday, listed.week.sunday))
    return PickingView(
        language=locale.replace("_", "-"),
        paper=paper_of(locale),
        yard=yard.name,
        week=listed.week.code,
        days=f"{first} to {last}",
        dated=date_text(on_date, locale, "medium"),
        rule=RULE,
        taken_off=BOOKED if any(one.fetched for one in listed.materials) else "",
        jobs=tuple(jobs.values()),
        materials=tuple(_material(one, jobs, locale) for one in listed.materials),
        tools=tuple(ToolView(tool.name, tuple(jobs[key] for key in tool.jobs)) for tool in listed.tools),
    )


def picking_render(view: PickingView) -> Rendered:
    """The list on paper, with boxes to tick."""
    return sheet_render("picking_list", {"sheet": view}, {})


def picking_csv(listed: PickingList) -> str:
    """The list for a spreadsheet (RFC 4180): a line per material and job, one in all, a line per tool and job.

    Figures have a decimal point. What a spreadsheet would read as a formula begins with an apostrophe, so that it
    is text.
    """
    return csv_text(CSV_HEAD, _cells(listed))


def _cells(listed: PickingList) -> Iterator[tuple[str, ...]]:
    jobs = {each.job.pk: each.job for each in listed.jobs}

    def line(what: str, code: str, name: str, job: int | None, *rest: str) -> tuple[str, ...]:
        boat, title = ("in all", "") if job is None else (jobs[job].boat.name, jobs[job].title)
        return (listed.week.code, what, code, name, boat, title, *rest)

    for one in listed.materials:
        for need in one.by_job:
            packs = packs_words(need.packs, one.unit, "en")
            figures = (_figure(need.needed), _figure(need.booked))
            yield line("material", one.code, one.name, need.job, _figure(need.quantity), one.unit, packs, *figures)
        packs = packs_words(one.packs, one.unit, "en")
        figures = (_figure(one.needed), _figure(sum((need.booked for need in one.by_job), Decimal(0))))
        yield line("material", one.code, one.name, None, _figure(one.quantity), one.unit, packs, *figures)
    for tool in listed.tools:
        for job in tool.jobs:
            yield line("tool", "", tool.name, job, "", "", "", "", "")


def _job(number: int, each: PickingJob, locale: str) -> JobView:
    job = each.job
    return JobView(
        number=number,
        id=job.pk,
        boat=job.boat.name,
        boat_id=job.boat_id,
        title=job.title,
        state=str(job.get_state_display()),
        begin_by=date_text(each.begin_by, locale, "medium"),
        due_on=date_text(each.due_on, locale, "medium"),
        why_not=each.why_not,
    )


def _material(one: Picked, jobs: dict[int, JobView], locale: str) -> MaterialView:
    return MaterialView(
        name=one.name,
        needs=_needs(one, jobs, locale),
        needed=amount_words(one.needed, one.unit, locale),
        amount=amount_words(one.quantity, one.unit, locale) if one.quantity else "",
        booked=amount_words(one.fetched, one.unit, locale) if one.fetched else "",
        packs=packs_words(one.packs, one.unit, locale),
        left_over="" if not one.left_over else amount_words(one.left_over, one.unit, locale),
        keeps=one.keeps,
    )


def _needs(one: Picked, jobs: dict[int, JobView], locale: str) -> tuple[NeedView, ...]:
    needs: Sequence[NeedView] = [
        NeedView(
            jobs[need.job],
            amount_words(need.quantity, one.unit, locale),
            packs_words(need.packs, one.unit, locale),
            amount_words(need.needed, one.unit, locale) if need.booked else "",
        )
        for need in one.by_job
    ]
    return tuple(needs)


def _figure(number: Decimal) -> str:
    return format(number.normalize(), "f")


__all__ = ["PickingView", "picking_csv", "picking_render", "picking_view"]
