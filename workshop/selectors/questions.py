"""What deciders asked about a job and the yard has not answered yet."""

from __future__ import annotations

from typing import Any

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from workshop.models import Decision, QuoteLine, Reply
from workshop.models.quotes import QuoteState, Verdict
from yard.models import Yard


def questions_open(yard: Yard | int) -> QuerySet[Any]:
    """The lines of quotes that wait for the yard's word, with `asked_at` of the last question.

    A yes or no to the job settles its question, and so does taking the quote back.
    """
    words = Decision.objects.filter(line=OuterRef("pk"))
    asked = words.filter(verdict=Verdict.ASK).order_by("-decided_at", "-pk").values("decided_at")[:1]
    answers = Reply.objects.filter(line=OuterRef("pk"), written_at__gte=OuterRef("asked_at"))
    return (
        QuoteLine.objects.of_yard(yard)
        # few are asked about at all: the others need not be looked into
        .filter(pk__in=Decision.objects.of_yard(yard).filter(verdict=Verdict.ASK).order_by().values("line"))
        .exclude(quote__state=QuoteState.SUPERSEDED)
        .annotate(asked_at=Subquery(asked))
        .filter(~Exists(words.exclude(verdict=Verdict.ASK)), ~Exists(answers), asked_at__isnull=False)
        .order_by()
    )


__all__ = ["questions_open"]
