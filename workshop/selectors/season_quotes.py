"""The quotes of a season: those that are drafted or with their decider, and the newest of the others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Count

from workshop.models import Decision, Quote
from workshop.models.quotes import QuoteState, Verdict
from workshop.planning.way import QuoteFacts
from workshop.selectors.questions import questions_open
from yard.models import Yard

WAITS = (QuoteState.DRAFT, QuoteState.SENT)


@dataclass(frozen=True, slots=True)
class SeasonQuote:
    """A quote with what its decider has said. `facts.since` is the day it was drawn up, sent, or ended."""

    pk: int
    state: QuoteState
    facts: QuoteFacts

    @property
    def is_sent(self) -> bool:
        return self.state == QuoteState.SENT

    @property
    def waits(self) -> bool:
        """It is drafted, or its decider has not answered all of it."""
        return self.state in WAITS


def season_quotes(yard: Yard, season_year: int) -> Mapping[int, list[SeasonQuote]]:
    """By inspection, the quotes that hold, the oldest first, in three queries."""
    decided: dict[int, set[int]] = {}
    words = Decision.objects.of_yard(yard).filter(line__quote__inspection__season_year=season_year)
    settled = words.exclude(verdict=Verdict.ASK).order_by()
    for quote, line in settled.values_list("line__quote_id", "line_id"):
        decided.setdefault(quote, set()).add(line)
    waiting = questions_open(yard).filter(quote__inspection__season_year=season_year)
    asked = Counter(waiting.values_list("quote_id", flat=True))
    rows = (
        Quote.objects.of_yard(yard)
        .filter(inspection__season_year=season_year)
        .exclude(state=QuoteState.SUPERSEDED)
        .order_by("created_at", "pk")
        .values_list("pk", "inspection_id", "number", "state", "created_at", "sent_at", "ended_at")
        .annotate(jobs=Count("lines"))
    )
    zone = yard.zone
    quotes: dict[int, list[SeasonQuote]] = {}
    for pk, inspection, number, state, created_at, sent_at, ended_at, jobs in rows:
        facts = QuoteFacts(
            number=number,
            sent=state == QuoteState.SENT,
            since=_day(ended_at or sent_at or created_at, zone),
            jobs=jobs,
            decided=len(decided.get(pk, ())),
            questions=asked[pk],
        )
        quotes.setdefault(inspection, []).append(SeasonQuote(pk, QuoteState(state), facts))
    return quotes


def to_look_at(quotes: list[SeasonQuote]) -> SeasonQuote | None:
    """The one that has been with its decider for longest, or else the draft, or else the newest."""
    for state in (QuoteState.SENT, QuoteState.DRAFT):
        for quote in quotes:
            if quote.state == state:
                return quote
    return quotes[-1] if quotes else None


def _day(moment: datetime, zone: ZoneInfo) -> date:
    return moment.astimezone(zone).date()


__all__ = ["SeasonQuote", "season_quotes", "to_look_at"]
