"""The reminder before a quote runs out, and the decider's right to have none.

The address that ends reminders is a key of its own: it opens no quote, so that a mail program that calls it by
itself holds nothing else in its hand.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from django.conf import settings
from django.core import signing
from django.db import transaction
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils.translation import ngettext

from workshop.models import OwnerLink, Quote, ReminderStop
from workshop.quoting.document import QuoteDocument
from workshop.report.letters import Letter, letter_to, short_name
from workshop.services.links import link_url
from workshop.services.quotes import decider_address, quote_document, undecided_lines
from workshop.services.reminder_times import DAYS_BETWEEN
from yard.models import Mail, Member, Owner
from yard.post import mail_write
from yard.refusals import Refused

STOP_ROUTE: Final = "web:owner-reminders"
SALT: Final = "workshop.reminders"


def reminder_due(quote_id: int) -> bool:
    """Whether there still is something to be reminded of, as far as can be seen without a lock."""
    return Quote.objects.filter(pk=quote_id, state=Quote.State.SENT).exists()


@transaction.atomic
def reminder_write(*, quote_id: int, at: datetime) -> Mail | None:
    """Write the reminder of a quote, once.

    None where there is nothing to be reminded of: the quote was decided, taken back or has run out, its link was
    withdrawn, the boat has another decider now, the decider wants no reminders, or the office has just sent one.
    """
    quote = (
        Quote.objects.select_for_update(of=("self",), no_key=True).select_related("yard", "boat").get(pk=quote_id)
    )
    if quote.state != Quote.State.SENT or at.astimezone(quote.yard.zone).date() > quote.valid_until:
        return None
    link = link_live(quote)
    decider = None if link is None else link.owner or link.member
    if link is None or decider is None or decider != quote.boat.decider or reminders_stopped(decider):
        return None
    if reminders_of(quote).filter(created_at__gt=at - timedelta(days=DAYS_BETWEEN)).exists():
        return None
    return reminder_mail(quote=quote, link=link, decider=decider, key=f"reminder:{quote.pk}", at=at)


def link_live(quote: Quote) -> OwnerLink | None:
    """The link that opens the quote now."""
    rows = OwnerLink.objects.filter(quote=quote, revoked_at__isnull=True).select_related("owner", "member__user")
    return rows.first()


def reminders_of(quote: Quote) -> QuerySet[Mail]:
    """The reminders of a quote, by the clock and by hand, in no order."""
    written = Q(key=f"reminder:{quote.pk}") | Q(key__startswith=f"reminder:{quote.pk}:")
    return Mail.objects.of_yard(quote.yard_id).filter(written).order_by()


def reminder_mail(*, quote: Quote, link: OwnerLink, decider: Owner | Member, key: str, at: datetime) -> Mail:
    """Write the mail, once for each key."""
    document = quote_document(quote)
    letter = letter_to(decider, document)
    context = _context(quote, document, link, decider, letter)
    return mail_write(
        yard=quote.yard,
        key=key,
        to_address=decider_address(decider),
        subject=subject_of(document, letter, open_jobs=len(undecided_lines(quote))),
        **letter.parts("reminder", context),
        unsubscribe_url=stop_url(decider),
        at=at,
    )


def subject_of(document: QuoteDocument, letter: Letter, *, open_jobs: int) -> str:
    """The boat first, then the last day and what is wanted."""
    with letter.written_in():
        waits = ngettext(
            "{boat}: {count} job waits for your answer, open until {day}",
            "{boat}: {count} jobs wait for your answer, open until {day}",
            open_jobs,
        )
    return waits.format(boat=short_name(document.boat.name), count=open_jobs, day=letter.day(document.valid_until))


def stop_key(decider: Owner | Member) -> str:
    """What stands in the address that ends reminders: who, signed. It says nothing about any boat."""
    kind = "o" if isinstance(decider, Owner) else "m"
    return _signer().sign(f"{kind}{decider.pk}")


def stop_url(decider: Owner | Member) -> str:
    """The whole address, as it stands in the mail and in its List-Unsubscribe header."""
    return f"{settings.PUBLIC_URL}{reverse(STOP_ROUTE, args=[stop_key(decider)])}"


def stop_find(key: str) -> Owner | Member:
    """Whose reminders the key ends.

    Raises:
        Refused: it is no key of ours, or they are gone.
    """
    try:
        name = _signer().unsign(key)
    except signing.BadSignature:
        name = ""
    pk = int(name[1:]) if name[1:].isdecimal() else 0
    found: Owner | Member | None = (
        Owner.objects.filter(pk=pk).select_related("yard").first()
        if name.startswith("o")
        else Member.objects.filter(pk=pk).select_related("yard", "user").first()
    )
    if found is None:
        raise Refused("key", "is none of ours", "open the address from the mail again, or reply to the mail")
    return found


def reminders_stopped(decider: Owner | Member) -> bool:
    """Whether they want no reminders."""
    return ReminderStop.objects.filter(**_whose(decider)).exists()


def reminders_stop(*, decider: Owner | Member, at: datetime) -> None:
    """Send them no reminders from now on; quotes, receipts and answers still come. Again changes nothing."""
    ReminderStop.objects.get_or_create(**_whose(decider), defaults={"yard_id": decider.yard_id, "stopped_at": at})


def reminders_resume(*, decider: Owner | Member) -> None:
    """Send them reminders again. Again changes nothing."""
    ReminderStop.objects.filter(**_whose(decider)).delete()


def _whose(decider: Owner | Member) -> dict[str, int]:
    return {"owner_id": decider.pk} if isinstance(decider, Owner) else {"member_id": decider.pk}


def _context(
    quote: Quote, document: QuoteDocument, link: OwnerLink, decider: Owner | Member, letter: Letter
) -> dict[str, object]:
    undecided = {line.job_id for line in undecided_lines(quote)}
    return {
        "name": decider.name,
        "yard": document.yard.name,
        "boat": document.boat.name,
        "number": document.number,
        "jobs": [
            {
                "position": job.position,
                "title": job.title,
                "net": letter.money(job.net),
                "unsafe": job.unsafe_to_leave,
                "option": job.option,
                "recommended": job.recommended,
            }
            for job in document.jobs
            if job.id in undecided
        ],
        "valid_until": letter.day(document.valid_until),
        "url": link_url(link),
        "stop_url": stop_url(decider),
    }


def _signer() -> signing.Signer:
    return signing.Signer(salt=SALT, sep=".")


__all__ = [
    "link_live",
    "reminder_due",
    "reminder_mail",
    "reminder_write",
    "reminders_of",
    "reminders_resume",
    "reminders_stop",
    "reminders_stopped",
    "stop_find",
    "stop_key",
    "stop_url",
    "subject_of",
]
