"""What a quote's decider has answered so far, read back."""

from __future__ import annotations

from collections.abc import Mapping

from workshop.models import Decision, Quote
from workshop.models.quotes import Verdict
from workshop.pricing.money import Totals
from workshop.quoting.document import totals_of_jobs
from workshop.services.quotes import quote_document


def answers_of(quote: Quote) -> Mapping[int, Decision]:
    """The word that settles each job of a quote, by the job's id. Questions settle nothing."""
    rows = Decision.objects.filter(line__quote=quote).exclude(verdict=Verdict.ASK).select_related("line")
    return {decision.line.job_id: decision for decision in rows}


def approved_totals(quote: Quote) -> Totals:
    """What the jobs that were approved come to, VAT rounded once per rate on their sum."""
    document, answers = quote_document(quote), answers_of(quote)
    approved = [job for job in document.jobs if job.id in answers and answers[job.id].verdict == Verdict.APPROVE]
    return totals_of_jobs(approved, document.currency)


__all__ = ["answers_of", "approved_totals"]
