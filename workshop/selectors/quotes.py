"""The yard's quotes as a list tells them: how far each is answered, whose turn it is, and what it comes to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from django.db.models import Case, Count, F, IntegerField, OuterRef, Q, QuerySet, Subquery, When
from django.db.models.functions import Coalesce, Greatest

from workshop.models import Decision, Quote, QuoteLine, Reply
from workshop.models.quotes import QuoteState, Verdict
from workshop.pricing.job_price import totals_of
from workshop.pricing.money import Totals
from workshop.quoting.document import heading_read
from workshop.selectors.questions import questions_open
from workshop.services.prices import operations_of, price_list_of, price_of
from yard.models import Boat, Yard
from yard.refusals import Refused

DAYS_OF_SOON: Final = 7
SHOWS: Final[dict[str, str]] = {
    "all": "All",
    "draft": "To be sent",
    "decider": "Wait for the owner",
    "yard": "A question waits for us",
    "soon": "Lapse within a week",
}
ORDERS: Final[dict[str, tuple[str, tuple[Any, ...]]]] = {
    "newest": ("the newest first", ("-number",)),
    "oldest": ("the oldest first", ("number",)),
    "waits": ("what waits longest first", (F("waits_since").asc(nulls_last=True), "number")),
    "lapses": ("what lapses next first", (F("lapses_on").asc(nulls_last=True), "-number")),
    "boat": ("by boat", ("boat__name", "boat", "-number")),
    "state": ("by state", ("state", "-number")),
}


@dataclass(frozen=True, slots=True)
class Narrowed:
    """What the list is narrowed to; what is empty narrows nothing. `show` is a key of `SHOWS`."""

    show: str = "all"
    boat: Boat | None = None
    state: str = ""
    season_year: int | None = None


@dataclass(frozen=True, slots=True)
class QuoteRow:
    """A quote as the list tells it.

    Args:
        quote: with the counts of `quotes_counted`.
        decider: who was asked, or would be.
        waits_for: the words for whose turn it is; empty where the quote has ended.
        totals: of every job, and of each choice the way that is advised; None for a draft that can't be priced or
            was never sent.
    """

    quote: Any
    decider: str
    waits_for: str
    totals: Totals | None


def quotes_counted(yard: Yard) -> QuerySet[Any]:
    """Every quote with `jobs`, `decided`, `questions` (open ones), `lapses_on` and `waits_since`.

    `adds_to_number`, `replaces_number` and `replaced_by_number` name the quotes that it belongs to.

    A draft waits since it was drawn up, a question since it was asked, an owner since the yard's last word.
    """
    lines = QuoteLine.objects.filter(quote=OuterRef("pk")).order_by().values("quote")
    decided = Decision.objects.filter(line__quote=OuterRef("pk")).exclude(verdict=Verdict.ASK).order_by()
    unanswered = questions_open(yard).filter(quote=OuterRef("pk"))
    replied = Reply.objects.filter(line__quote=OuterRef("pk")).order_by("-written_at").values("written_at")[:1]
    return (
        Quote.objects.of_yard(yard)
        .select_related("boat__decider_owner", "boat__decider_member__user", "inspection")
        .annotate(
            jobs=_number(lines.annotate(n=Count("pk"))),
            decided=_number(decided.values("line__quote").annotate(n=Count("line", distinct=True))),
            questions=_number(unanswered.values("quote").annotate(n=Count("pk"))),
            asked_first=Subquery(unanswered.order_by("asked_at").values("asked_at")[:1]),
            replied_last=Subquery(replied),
            adds_to_number=F("adds_to__number"),
            replaces_number=F("replaces__number"),
            replaced_by_number=F("replaced_by__number"),
        )
        .annotate(
            lapses_on=_where(QuoteState.SENT, F("valid_until")),
            waits_since=Coalesce(
                "asked_first",
                _where(QuoteState.DRAFT, F("created_at")),
                _where(QuoteState.SENT, Greatest("sent_at", Coalesce("replied_last", "sent_at"))),
            ),
        )
    )


def quotes_narrowed(rows: QuerySet[Any], by: Narrowed, today: date) -> QuerySet[Any]:
    """Those that fit. An owner is waited for as long as one job has neither a word nor an open question."""
    shown = {
        "draft": Q(state=QuoteState.DRAFT),
        "decider": Q(state=QuoteState.SENT, jobs__gt=F("decided") + F("questions")),
        "yard": Q(questions__gt=0),
        "soon": Q(lapses_on__lte=today + timedelta(days=DAYS_OF_SOON)),
    }
    rows = rows.filter(shown.get(by.show, Q()))
    if by.boat is not None:
        rows = rows.filter(boat=by.boat)
    if by.state:
        rows = rows.filter(state=by.state)
    if by.season_year is not None:
        rows = rows.filter(inspection__season_year=by.season_year)
    return rows


def quote_rows(yard: Yard, quotes: Sequence[Any], today: date) -> list[QuoteRow]:
    """The quotes in their order with all that is told of them, in a fixed number of queries."""
    drafts = [quote for quote in quotes if quote.state == QuoteState.DRAFT]
    totals = _draft_totals(yard, drafts, today)
    rows = []
    for quote in quotes:
        sent = heading_read(quote.content) if quote.content else None
        decider = quote.boat.decider.name if sent is None else sent.decider.name
        comes_to = totals.get(quote.pk) if sent is None else sent.totals
        rows.append(QuoteRow(quote, decider, _waits_for(quote, decider), comes_to))
    return rows


def _waits_for(quote: Any, decider: str) -> str:
    if quote.questions:
        return "us, to answer"
    if quote.state == QuoteState.DRAFT:
        return "us, to send it"
    return decider if quote.state == QuoteState.SENT else ""


def _draft_totals(yard: Yard, drafts: Iterable[Quote], today: date) -> dict[int, Totals]:
    """What was not sent, at today's prices; what can't be priced is left out."""
    keys = [quote.pk for quote in drafts]
    lines = list(QuoteLine.objects.filter(quote__in=keys).select_related("job").order_by("quote", "position"))
    prices = price_list_of(yard, on_date=today)
    operations = operations_of(line.job for line in lines)
    by_quote: dict[int, list[QuoteLine]] = {key: [] for key in keys}
    for line in lines:
        if line.option_group_id is None or line.recommended:
            by_quote[line.quote_id].append(line)
    totals = {}
    for key, counted in by_quote.items():
        try:
            amounts = [price_of(line.job, operations[line.job_id], prices).amounts for line in counted]
        except Refused:
            continue
        totals[key] = totals_of(amounts, prices.currency)
    return totals


def _number(counted: QuerySet[Any]) -> Coalesce:
    return Coalesce(Subquery(counted.values("n"), output_field=IntegerField()), 0)


def _where(state: str, then: Any) -> Any:
    return Case(When(state=state, then=then))


__all__ = ["ORDERS", "SHOWS", "Narrowed", "QuoteRow", "quote_rows", "quotes_counted", "quotes_narrowed"]
