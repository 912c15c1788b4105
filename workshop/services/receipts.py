"""The receipt: one mail to the decider when every job of a quote has its answer."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from django.utils.translation import gettext, gettext_noop, ngettext

from workshop.models import Decision, OwnerLink, Quote
from workshop.models.quotes import Verdict
from workshop.report.letters import Letter, letter_to, short_name
from workshop.services.answers import answers_of, approved_totals
from workshop.services.links import link_url
from workshop.services.quotes import decider_address, quote_document
from yard.models import Mail
from yard.post import mail_write

SAID: Final = {
    Verdict.APPROVE: gettext_noop("Approved on {day}"),
    Verdict.DECLINE: gettext_noop("Declined on {day}"),
    Verdict.NOT_CHOSEN: gettext_noop("Not chosen: another way was, on {day}"),
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
    letter = letter_to(decider, document)
    approved = [job for job in document.jobs if answers[job.id].verdict == Verdict.APPROVE]
    proper_by = [job.proper_by for job in approved if job.proper_by is not None]
    context = {
        "name": decider.name,
        "yard": document.yard.name,
        "boat": document.boat.name,
        "number": document.number,
        "jobs": [
            {
                "position": job.position,
                "title": job.title,
                "answer": _said(quote, answers[job.id], letter),
                "net": letter.money(job.net),
                "hours": letter.hours(job.hours_likely, job.hours_ceiling) if job in approved else "",
            }
            for job in document.jobs
        ],
        "net": letter.money(totals.net),
        "gross": letter.money(totals.gross),
        "nothing": not approved,
        "unsafe_left": any(
            job.unsafe_to_leave for job in document.jobs if answers[job.id].verdict == Verdict.DECLINE
        ),
        "proper_by": letter.day(min(proper_by)) if proper_by else "",
        "digest": quote.digest,
        "url": "" if link is None else link_url(link),
    }
    with letter.written_in():
        subject = ngettext(
            "{boat}: {approved} of {count} job approved, your receipt",
            "{boat}: {approved} of {count} jobs approved, your receipt",
            len(document.jobs),
        )
    return mail_write(
        yard=quote.yard,
        key=f"receipt:{quote.pk}",
        to_address=address,
        subject=subject.format(
            boat=short_name(document.boat.name), approved=len(approved), count=len(document.jobs)
        ),
        **letter.parts("receipt", context),
        at=at,
    )


def _said(quote: Quote, decision: Decision, letter: Letter) -> str:
    day = letter.day(decision.decided_at.astimezone(quote.yard.zone).date())
    with letter.written_in():
        return gettext(SAID[Verdict(decision.verdict)]).format(day=day)


__all__ = ["receipt_write"]
