"""The quotes of a season: those that are drafted or with their decider, and the newest of the others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Count, Q
from django.db.models.functions import Coalesce, TruncDate

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
    """By inspection, the quotes that hold, the oldest first, in two queries, and a third where deciders ask."""
    decided, was_asked = _words(yard, season_year)
    asked: Counter[int] = Counter()
    if was_asked:
        waiting = questions_open(yard).filter(quote__inspection__season_year=season_year)
        asked.update(waiting.values_list("quote_id", flat=True))
    rows = (
        Quote.objects.of_yard(yard)
        .filter(inspection__season_year=season_year)
        .exclude(state=QuoteState.SUPERSEDED)
        .order_by("created_at", "pk")
        .annotate(since=TruncDate(Coalesce("ended_at", "sent_at", "created_at"), tzinfo=yard.zone))
        .values_list("pk", "inspection_id", "number", "state", "since")
        .annotate(jobs=Count("lines"))
    )
    quotes: dict[int, list[SeasonQuote]] = {}
    for pk, inspection, number, state, since, jobs in rows:
        facts = QuoteFacts(
            number=number,
            sent=state == QuoteState.SENT,
            since=since,
            jobs=jobs,
            decided=decided.get(pk, 0),
            questions=asked[pk],
        )
        quotes.setdefault(inspection, []).append(SeasonQuote(pk, QuoteState(state), facts))
    return quotes


def _words(yard: Yard, season_year: int) -> tuple[dict[int, int], bool]:
    """By quote, how many of its jobs are decided; and whether a decider has asked anything at all."""
    words = (
        Decision.objects.of_yard(yard)
        .filter(line__quote__inspection__season_year=season_year)
        .order_by()
        .values("line__quote")
        .annotate(
            settled=Count("line", distinct=True, filter=~Q(verdict=Verdict.ASK)),
            questions=Count("pk", filter=Q(verdict=Verdict.ASK)),
        )
        .values_list("line__quote", "settled", "questions")
    )
    told = list(words)
    return {quote: settled for quote, settled, _ in told}, any(questions for _, _, questions in told)


def to_look_at(quotes: list[SeasonQuote]) -> SeasonQuote | None:
    """The one that has been with its decider for longest, or else the draft, or else the newest."""
    for state in (QuoteState.SENT, QuoteState.DRAFT):
        for quote in quotes:
            if quote.state == state:
                return quote
    return quotes[-1] if quotes else None


__all__ = ["SeasonQuote", "season_quotes", "to_look_at"]
