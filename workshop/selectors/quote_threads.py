"""The threads of a quote: what its decider asked about single jobs, and what the yard answered."""

from __future__ import annotations

from dataclasses import dataclass

from workshop.models import Quote, QuoteLine
from workshop.models.quotes import Verdict
from workshop.selectors.questions import questions_open
from workshop.services.threads import Said, thread_of


@dataclass(frozen=True, slots=True)
class Thread:
    """What was said about one job. `waits_for_yard`: a question of it is to be answered."""

    line: QuoteLine
    said: tuple[Said, ...]
    waits_for_yard: bool


def quote_threads(quote: Quote) -> list[Thread]:
    """Of the jobs that something was asked about, in the order of the quote and in a fixed number of queries."""
    lines = (
        QuoteLine.objects.filter(quote=quote, decisions__verdict=Verdict.ASK)
        .distinct()
        .select_related("job")
        .prefetch_related("decisions__owner", "decisions__member__user", "replies__member__user")
        .order_by("position")
    )
    waiting = set(questions_open(quote.yard_id).filter(quote=quote).values_list("pk", flat=True))
    return [Thread(line, _said(line), line.pk in waiting) for line in lines]


def _said(line: QuoteLine) -> tuple[Said, ...]:
    asked = [word for word in line.decisions.all() if word.verdict == Verdict.ASK]
    return thread_of(asked, line.replies.all())


__all__ = ["Thread", "quote_threads"]
