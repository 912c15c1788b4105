"""The receipt: one mail to the decider when every job of a quote has its answer."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from django.template.loader import render_to_string

from workshop.models import Decision, OwnerLink, Quote
from workshop.models.quotes import Verdict
from workshop.services.answers import answers_of, approved_totals
from workshop.services.links import link_url
from workshop.services.quotes import decider_address, quote_document
from yard.locale_format import date_text, hours_phrase, money_text
from yard.models import Mail
from yard.post import mail_write

LOCALE: Final = "en_GB"
SAID: Final = {
    Verdict.APPROVE: "Approved on {day}",
    Verdict.DECLINE: "Declined on {day}",
    Verdict.NOT_CHOSEN: "Not chosen: another way was, on {day}",
}


def receipt_write(*, quote: Quote, at: datetime) -> Mail | None:
    """Write the receipt of a quote that is decided, once. None for a manager who has no mail address.

    The caller's transaction holds the quote's row and the last answer, so that there is no answer without its
    receipt and no receipt that lacks an answer.
    """
    decider = quote.boat.decider
    address = decider_address(decider)
    if not address:
        return None
    document, answers, totals = quote_document(quote), answers_of(quote), approved_totals(quote)
    link = OwnerLink.objects.filter(quote=quote, revoked_at__isnull=True, expires_at__gt=at).first()
    name = document.boat.name
    short = name if len(name) <= 100 else f"{name[:99]}…"
    approved = [job for job in document.jobs if answers[job.id].verdict == Verdict.APPROVE]
    proper_by = [job.proper_by for job in approved if job.proper_by is not None]
    context = {
        "name": decider.name,
        "yard": document.yard.name,
        "boat": name,
        "number": document.number,
        "jobs": [
            {
                "position": job.position,
                "title": job.title,
                "answer": _said(quote, answers[job.id]),
                "net": money_text(job.net, document.currency, LOCALE),
                "hours": hours_phrase(job.hours_likely, job.hours_ceiling, LOCALE) if job in approved else "",
            }
            for job in document.jobs
        ],
        "net": money_text(totals.net, document.currency, LOCALE),
        "gross": money_text(totals.gross, document.currency, LOCALE),
        "nothing": not approved,
        "unsafe_left": any(
            job.unsafe_to_leave for job in document.jobs if answers[job.id].verdict == Verdict.DECLINE
        ),
        "proper_by": date_text(min(proper_by), LOCALE) if proper_by else "",
        "digest": quote.digest,
        "url": "" if link is None else link_url(link),
    }
    return mail_write(
        yard=quote.yard,
        key=f"receipt:{quote.pk}",
        to_address=address,
        subject=f"{short}: {len(approved)} of {len(document.jobs)} jobs approved, your receipt",
        text=render_to_string("workshop/mail/receipt.txt", context),
        html=render_to_string("workshop/mail/receipt.html", context),
        at=at,
    )


def _said(quote: Quote, decision: Decision) -> str:
    day = date_text(decision.decided_at.astimezone(quote.yard.zone).date(), LOCALE)
    return SAID[Verdict(decision.verdict)].format(day=day)


__all__ = ["receipt_write"]
