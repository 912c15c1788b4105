"""The mail that brings a quote to its decider: what is wanted in the subject, good enough as plain text."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from django.utils.translation import gettext, ngettext

from inspections.judgement.vocabulary import Priority
from workshop.models import OwnerLink, Quote, Report
from workshop.quoting.choices import options_of
from workshop.quoting.document import QuoteDocument
from workshop.report.letters import Letter, letter_to, short_name
from workshop.services.links import link_url
from workshop.services.quotes import decider_address
from yard.models import Mail
from yard.post.writing import Attachment, mail_write

# Many mail servers take no more than 10 MB, and a file grows by a third on its way.
ATTACHED_UP_TO_BYTES: Final = 6 * 1024 * 1024


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
    letter = letter_to(decider, document)
    context = mail_context(document, letter, url=link_url(link), attached=attached)
    attachment = Attachment(
        name=file_name(document, letter),
        path=str(report.file.name),
        media_type="application/pdf",
    )
    mail = mail_write(
        yard=quote.yard,
        key=f"quote:{quote.pk}:{link.pk}",
        to_address=decider_address(decider),
        subject=subject_of(document, letter),
        **letter.parts("quote", context),
        attachments=[attachment] if attached else [],
        at=at,
    )
    OwnerLink.objects.filter(pk=link.pk).update(mail=mail)
    return mail


def file_name(document: QuoteDocument, letter: Letter) -> str:
    """What the attached report is called."""
    with letter.written_in():
        name = gettext("{boat} {year} quote {number}").format(
            boat=document.boat.name, year=document.inspection.season_year, number=document.number
        )
    return f"{name}.pdf"


def subject_of(document: QuoteDocument, letter: Letter) -> str:
    """Says boat and what is wanted, the boat first: the end of a subject is cut on a phone."""
    jobs = len(document.jobs)
    with letter.written_in():
        wanted = (
            gettext("{boat}: yes or no to extra work, please, by {day}")
            if document.adds_to is not None
            else ngettext(
                "{boat}: yes or no to {count} job, please, by {day}",
                "{boat}: yes or no to {count} jobs, please, by {day}",
                jobs,
            )
        )
    return wanted.format(boat=short_name(document.boat.name), count=jobs, day=letter.day(document.valid_until))


def mail_context(document: QuoteDocument, letter: Letter, *, url: str, attached: bool) -> dict[str, object]:
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
                "net": letter.money(job.net),
                "hours": letter.hours(job.hours_likely, job.hours_ceiling),
                "unsafe": job.unsafe_to_leave,
                "option": job.option,
                "recommended": job.recommended,
            }
            for job in document.jobs
        ],
        "net": letter.money(document.totals.net),
        "gross": letter.money(document.totals.gross),
        "valid_until": letter.day(document.valid_until),
        "url": url,
        "attached": attached,
        "choices": len(options_of(document.jobs)),
        "adds_to": None if document.adds_to is None else document.adds_to.number,
    }


__all__ = ["ATTACHED_UP_TO_BYTES", "mail_context", "quote_mail_write", "subject_of"]
