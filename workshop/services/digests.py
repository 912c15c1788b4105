"""The weekly mail of what is due: for members who have chosen it, on Monday morning by the yard's clock.

The address that ends it is a key of its own and opens nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, time, timedelta
from typing import Final

from django.conf import settings
from django.core import signing
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse

from inspections.selectors.due_backs import due_back_book, due_back_narrowed
from workshop.models import DigestChoice
from workshop.services.due_words import LINE_READS, BookLine, book_lines, book_url, told_together
from yard.languages import figures_locale
from yard.locale_format import date_text
from yard.models import Mail, Member, Yard
from yard.outbox import enqueue
from yard.post import mail_write
from yard.refusals import Refused
from yard.selectors import today_at
from yard.services.people import may_sign_in
from yard.weeks import week_of

SEND_DIGESTS: Final = "workshop.send_digests"
END_ROUTE: Final = "web:digest"
SALT: Final = "workshop.digest"
AHEAD: Final = timedelta(weeks=4)
MONDAY_AT: Final = time(6)
# More of them in one mail nobody reads; how many there are besides is said.
LINES_TOLD: Final = 40


@transaction.atomic
def digest_choose(*, member: Member, at: datetime) -> None:
    """Send the member the weekly mail from the coming Monday on. Again changes nothing.

    Raises:
        Refused: the member has no mail address.
    """
    if not member.user.email:
        raise Refused("email", "is missing", "have a manager enter an address for your log-in first")
    DigestChoice.objects.get_or_create(member=member, defaults={"yard_id": member.yard_id, "chosen_at": at})
    digests_plan(yard=member.yard, at=at)


def digest_end(*, member: Member) -> None:
    """Send the member no weekly mail any more. Again changes nothing."""
    DigestChoice.objects.filter(member=member).delete()


def digest_chosen(member: Member) -> bool:
    return DigestChoice.objects.filter(member=member).exists()


def digest_key(member: Member) -> str:
    """What stands in the address that ends the mail: who, signed."""
    return _signer().sign(str(member.pk))


def digest_member(key: str) -> Member | None:
    """Whose mail the key ends; None where it is none of ours."""
    try:
        name = _signer().unsign(key)
    except signing.BadSignature:
        return None
    found: Member | None = Member.objects.filter(pk=int(name)).select_related("yard", "user").first()
    return found


def coming_monday(yard: Yard, at: datetime) -> datetime:
    """The next Monday at six by the yard's clock, later than this moment."""
    today = today_at(yard, at)
    this_week = datetime.combine(week_of(today).monday, MONDAY_AT, tzinfo=yard.zone)
    if this_week > at:
        return this_week
    return datetime.combine(week_of(today).monday + timedelta(weeks=1), MONDAY_AT, tzinfo=yard.zone)


def digests_plan(*, yard: Yard, at: datetime) -> None:
    """Ask for the mails of the coming Monday, where anybody has chosen them. Again is the same work."""
    if not DigestChoice.objects.of_yard(yard).exists():
        return
    monday = coming_monday(yard, at)
    key = f"{SEND_DIGESTS}:{yard.pk}:{week_of(monday.date()).code}"
    with transaction.atomic():
        enqueue(task=SEND_DIGESTS, arguments={"yard_id": yard.pk}, key=key, yard=yard, at=at, not_before=monday)


@transaction.atomic
def digests_write(*, yard: Yard, at: datetime) -> list[Mail]:
    """Write this week's mail to everybody who has chosen it: none where nothing is due, and never a second one."""
    today = today_at(yard, at)
    lines = due_back_narrowed(due_back_book(yard), until=today + AHEAD)
    overdue = lines.filter(due_on__lt=today).count()
    coming = lines.filter(due_on__gte=today).count()
    if not overdue + coming:
        return []
    read = lines.select_related(*LINE_READS)
    context = {
        "tag": "en-GB",
        "yard": yard.name,
        "sections": [
            _section("Overdue", overdue, book_lines(read.filter(due_on__lt=today)[:LINES_TOLD], today), yard),
            _section(
                "In the next four weeks",
                coming,
                book_lines(read.filter(due_on__gte=today)[:LINES_TOLD], today),
                yard,
            ),
        ],
        "url": book_url(),
    }
    subject = f"Due back: {overdue} overdue, {coming} in the next four weeks"
    choices = DigestChoice.objects.of_yard(yard).select_related("member__user", "member__yard").order_by("pk")
    return [
        _mail(choice.member, subject, context, at)
        for choice in choices
        if choice.member.user.email and may_sign_in(choice.member, at=at)
    ]


def _mail(member: Member, subject: str, context: Mapping[str, object], at: datetime) -> Mail:
    end_url = f"{settings.PUBLIC_URL}{reverse(END_ROUTE, args=[digest_key(member)])}"
    told = {**context, "name": member.name, "end_url": end_url}
    return mail_write(
        yard=member.yard,
        key=f"digest:{member.pk}:{week_of(today_at(member.yard, at)).code}",
        to_address=member.user.email,
        subject=subject,
        text=render_to_string("workshop/mail/digest.txt", told),
        html=render_to_string("workshop/mail/digest.html", told),
        unsubscribe_url=end_url,
        at=at,
    )


def _section(title: str, count: int, lines: list[BookLine], yard: Yard) -> dict[str, object]:
    locale = figures_locale(yard.locale, "en")
    return {
        "title": title,
        "count": count,
        "more": count - len(lines),
        "lines": [
            {
                "day": date_text(line.due.due_on, locale, "medium"),
                "told": line.told,
                "boat": line.boat,
                "place": line.place,
                "kind": line.kind,
            }
            for line in told_together(lines)
        ],
    }


def _signer() -> signing.Signer:
    return signing.Signer(salt=SALT, sep=".")


__all__ = [
    "SEND_DIGESTS",
    "coming_monday",
    "digest_choose",
    "digest_chosen",
    "digest_end",
    "digest_key",
    "digest_member",
    "digests_plan",
    "digests_write",
]
