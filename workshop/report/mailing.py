"""The mail that brings a quote to its decider: what is wanted in the subject, good enough as plain text."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from django.template.loader import render_to_string

from inspections.judgement.vocabulary import Priority
from workshop.models import OwnerLink, Quote, Report
from workshop.quoting.choices import options_of
from workshop.quoting.document import QuoteDocument
from workshop.services.links import link_url
from workshop.services.quotes import decider_address
from yard.locale_format import date_text, hours_phrase, money_text
from yard.models import Mail
from yard.post.writing import Attachment, mail_write

# Many mail servers take no more than 10 MB, and a file grows by a third on its way.
ATTACHED_UP_TO_BYTES: Final = 6 * 1024 * 1024
LOCALE: Final = "en_GB"


def quote_mail_write(
    *, quote: Quote, document: QuoteDocument, link: OwnerLink, report: Report, at: datetime
) -> Mail | None:
    """Write the mail of a quote's link, once for each link. None where the link was taken back in the meantime.

    The caller's transaction holds it together with the report.
    """
    live = OwnerLink.objects.select_for_update(of=("self",), no_key=True).filter(revoked_at__isnull=True)
    if not live.filter(pk=link.pk).exists():
        return None
    decider = link.owner or link.member
    assert decider is not None  # held by owner_link_is_somebodys
    attached = report.file.size <= ATTACHED_UP_TO_BYTES
    context = mail_context(document, url=link_url(link), attached=attached)
    attachment = Attachment(
        name=f"{document.boat.name} {document.inspection.season_year} quote {document.number}.pdf",
        path=str(report.file.name),
        media_type="application/pdf",
    )
    mail = mail_write(
        yard=quote.yard,
        key=f"quote:{quote.pk}:{link.pk}",
        to_address=decider_address(decider),
        subject=subject_of(document),
        text=render_to_string("workshop/mail/quote.txt", context),
        html=render_to_string("workshop/mail/quote.html", context),
        attachments=[attachment] if attached else [],
        at=at,
    )
    OwnerLink.objects.filter(pk=link.pk).update(mail=mail)
    return mail


def subject_of(document: QuoteDocument) -> str:
    """Says boat and what is wanted, the boat first: the end of a subject is cut on a phone."""
    jobs = len(document.jobs)
    name = document.boat.name
    # The longest name that leaves room for the rest of the 200 characters that a subject may have.
    short = name if len(name) <= 100 else f"{name[:99]}…"
    what = "1 job" if jobs == 1 else f"{jobs} jobs"
    if document.adds_to is not None:
        what = "extra work"
    return f"{short}: yes or no to {what}, please, by {date_text(document.valid_until, LOCALE)}"


def mail_context(document: QuoteDocument, *, url: str, attached: bool) -> dict[str, object]:
    """What both parts of the mail are set from."""
    urgent = sum(finding.priority == Priority.BEFORE_LAUNCH for finding in document.findings)
    return {
        "name": document.decider.name,
        "yard": document.yard.name,
        "boat": document.boat.name,
        "season": document.inspection.season_year,
        "number": document.number,
        "found": len(document.findings),
        "urgent": urgent,
        "not_seen": len(document.not_seen),
        "jobs": [
            {
                "position": job.position,
                "title": job.title,
                "net": money_text(job.net, document.currency, LOCALE),
                "hours": hours_phrase(job.hours_likely, job.hours_ceiling, LOCALE),
                "unsafe": job.unsafe_to_leave,
                "option": job.option,
                "recommended": job.recommended,
            }
            for job in document.jobs
        ],
        "net": money_text(document.totals.net, document.currency, LOCALE),
        "gross": money_text(document.totals.gross, document.currency, LOCALE),
        "valid_until": date_text(document.valid_until, LOCALE),
        "url": url,
        "attached": attached,
        "choices": len(options_of(document.jobs)),
        "adds_to": None if document.adds_to is None else document.adds_to.number,
    }


__all__ = ["ATTACHED_UP_TO_BYTES", "mail_context", "quote_mail_write", "subject_of"]
