"""The lines of the season page, made ready to be shown: three hundred of them are written out at once.

What is the same for many boats (the drawing of a stage, a day in words) is made once, and the template only prints.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Final

from django.urls import reverse
from django.utils.html import escape
from django.utils.safestring import SafeString

from inspections.judgement.vocabulary import Priority
from web.base.marks import priority
from web.office.season_line import SeasonLine
from web.office.season_row import row_written
from web.templatetags.faying import bar, brief_day, short_day
from workshop.planning.way import STAGES, Stage
from workshop.selectors.season import SeasonBoat
from workshop.selectors.season_quotes import SeasonQuote
from yard.locale_format import hours_text
from yard.models import Build, Yard
from yard.weeks import Week

NOTHING: Final = SafeString()


@dataclass(frozen=True, slots=True)
class SeasonWeek:
    """The boats that go in in one week, written out; nothing is told where another order holds."""

    told: str
    rows: SafeString


@dataclass(frozen=True, slots=True)
class SeasonTotals:
    """What the boats shown come to."""

    boats: int
    checks: int
    answered: int
    by_priority: tuple[tuple[SafeString, int], ...]
    not_seen: int
    quotes_out: int
    hours: str
    clear: int


class Writer:
    """Writes out the lines of one yard on one day."""

    def __init__(self, yard: Yard, today: date) -> None:
        self._today = today
        self._short_day = cache(lambda day: escape(short_day(day, yard)))
        self._day = cache(lambda day: escape(brief_day(day, yard)))
        self._hours = cache(lambda hours: escape(hours_text(hours, yard.locale)) if hours else NOTHING)
        self._label = cache(lambda told: escape(told.label))
        self._about = cache(lambda build, loa_mm: escape(f"{Build(build).label}, {loa_mm / 1000:.2f} m"))
        self._week_number = cache(lambda week: escape(f"week {week.number}"))
        self._heads = [priority(each.value) for each in Priority]
        self._boat_at, self._inspection_at, self._quote_at = map(
            _maker, ("web:boat", "web:inspection", "web:quote")
        )

    def in_order(self, boats: Iterable[SeasonBoat]) -> SeasonWeek:
        """All rows as they come, with the week beside each day."""
        rows = (row_written(self._line(boat), self._heads, with_week=True) for boat in boats)
        return SeasonWeek("", SafeString("\n".join(rows)))

    def weeks(self, boats: Iterable[SeasonBoat]) -> list[SeasonWeek]:
        """The rows under the week they go in, in their order."""
        weeks: dict[Week | None, list[SafeString]] = {}
        for boat in boats:
            weeks.setdefault(boat.week, []).append(row_written(self._line(boat), self._heads, with_week=False))
        return [SeasonWeek(self._week(week), SafeString("\n".join(rows))) for week, rows in weeks.items()]

    def totals(self, boats: Sequence[SeasonBoat]) -> SeasonTotals:
        """The line below the table."""
        findings: Counter[Priority] = Counter()
        for boat in boats:
            findings.update(boat.row.findings)
        return SeasonTotals(
            boats=len(boats),
            checks=sum(boat.row.checks for boat in boats),
            answered=sum(boat.row.answered for boat in boats),
            by_priority=tuple(zip(self._heads, (findings[each] for each in Priority), strict=True)),
            not_seen=sum(boat.row.not_seen for boat in boats),
            quotes_out=sum(boat.waiting_since is not None for boat in boats),
            hours=self._hours(sum((boat.work.agreed for boat in boats), Decimal(0))),
            clear=sum(boat.clear for boat in boats),
        )

    def _week(self, week: Week | None) -> str:
        if week is None:
            return "No day yet"
        days = f"{self._short_day(week.monday)} to {self._short_day(week.sunday)}"
        return f"Week {week.number}, {week.told_from(self._today)}: {days}"

    def _line(self, boat: SeasonBoat) -> SeasonLine:
        row, blocks = boat.row, boat.blocks
        due = row.due_back_on
        return SeasonLine(
            name=row.boat.name,
            at=self._boat_at(row.boat.pk),
            about=self._about(row.boat.build, row.boat.loa_mm),
            launch=NOTHING if row.launch_on is None else self._short_day(row.launch_on),
            week=NOTHING if boat.week is None else self._week_number(boat.week),
            stage=self._label(boat.stage),
            way=way_drawn(boat.stage),
            inspection_at=NOTHING if row.inspection is None else self._inspection_at(row.inspection.pk),
            answered=row.answered,
            checks=row.checks,
            counts=tuple(row.findings.values()),
            not_seen=row.not_seen,
            quote_at=NOTHING if boat.quote is None else self._quote_at(boat.quote.pk),
            quote=NOTHING if boat.quote is None else self._label(boat.quote.state),
            quote_day=NOTHING if boat.quote is None else self._quote_day(boat.quote),
            hours=self._hours(boat.work.agreed),
            due=NOTHING if due is None else self._day(due),
            overdue=due is not None and due < self._today,
            first=_capital(blocks[0].told) if blocks else "",
            more=", ".join(block.told for block in blocks[1:]),
        )

    def _quote_day(self, quote: SeasonQuote) -> SafeString:
        day = self._short_day(quote.facts.since)
        return SafeString(f"since {day}") if quote.waits else day


@cache
def way_drawn(stage: Stage) -> SafeString:
    """How far that is, drawn; the word stands beside."""
    return bar(STAGES.index(stage) + 1, len(STAGES))


def _maker(name: str) -> Callable[[int], SafeString]:
    """Where the pages of that name are, by key: the address is looked up once."""
    before, _, after = reverse(name, args=[1]).rpartition("1")
    return lambda key: SafeString(f"{before}{key}{after}")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


__all__ = ["SeasonTotals", "SeasonWeek", "Writer", "way_drawn"]
