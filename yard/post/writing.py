"""Writing a mail: a row that says what is to be sent, and an outbox row that has it sent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from email.utils import parseaddr
from functools import partial

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils.crypto import salted_hmac

from yard.models import Mail, Yard
from yard.outbox import enqueue
from yard.refusals import Refused
from yard.services.checks import Sheet, email_check, text_check

SEND = "yard.send_mail"


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file that goes along: the name the reader sees, where the media storage has it, its media type."""

    name: str
    path: str
    media_type: str


@transaction.atomic
def mail_write(
    *,
    yard: Yard,
    key: str,
    to_address: str,
    subject: str,
    text: str,
    html: str = "",
    attachments: Sequence[Attachment] = (),
    unsubscribe_url: str = "",
    holds_key: bool = False,
    at: datetime,
) -> Mail:
    """Write a mail and have it sent. The same key again hands back the mail that was written first.

    The attachments must be in the media storage already. `unsubscribe_url` is for mail that nobody asked for: there
    the reader can end it. The text of a mail that `holds_key` is kept until it is sent, and not longer.
    """
    sheet = Sheet()
    mail = Mail(
        yard=yard,
        key=sheet.read(lambda: text_check(key, field="key", longest=200), ""),
        to_address=sheet.read(lambda: email_check(to_address, field="to_address"), ""),
        # One printable line: nobody can slip a second header in behind a line break.
        subject=sheet.read(lambda: text_check(subject, field="subject", longest=200), ""),
        text=text,
        html=html,
        attachments=[asdict(attachment) for attachment in attachments],
        unsubscribe_url=unsubscribe_url,
        holds_key=holds_key,
        created_at=at,
    )
    sheet.hold(bool(text.strip()), Refused("text", "is empty", "say in plain text what the mail is about"))
    for attachment in attachments:
        sheet.read(partial(text_check, attachment.name, field="attachments", longest=200), "")
    sheet.close()
    there = Mail.objects.of_yard(yard).filter(key=mail.key)
    first: Mail | None = there.first()
    if first is not None:
        return first
    mail.message_id = message_id_of(yard, mail.key)
    try:
        with transaction.atomic():
            mail.save()
    except IntegrityError:
        return there.get()  # somebody wrote it at the same moment
    enqueue(task=SEND, arguments={"mail_id": mail.pk}, key=f"{SEND}:{mail.pk}", yard=yard, at=at)
    return mail


@transaction.atomic
def mail_send_again(*, mail: Mail, at: datetime) -> Mail:
    """Try a mail again that the mail server had refused, with the same Message-ID.

    Raises:
        Refused: it was not refused.
    """
    refused = Mail.objects.filter(pk=mail.pk, state=Mail.State.REFUSED)
    if not refused.update(state=Mail.State.WAITING, refusal=""):
        raise Refused("mail", "was not refused", "only mail that the mail server refused can be sent again")
    enqueue(task=SEND, arguments={"mail_id": mail.pk}, key=f"{SEND}:{mail.pk}", yard=mail.yard, at=at)
    mail.refresh_from_db()
    return mail


def message_id_of(yard: Yard, key: str) -> str:
    """The Message-ID (RFC 5322, 3.6.4) of the mail with this key: always the same, unlike any other, no guess."""
    digest = salted_hmac("yard.post.message-id", f"{yard.pk}:{key}", algorithm="sha256").hexdigest()
    return f"<{digest[:40]}@{_domain(sender_address(yard))}>"


def sender_address(yard: Yard) -> str:
    """The plain address that the yard's mail comes from."""
    return yard.mail_from or parseaddr(settings.DEFAULT_FROM_EMAIL)[1]


def _domain(address: str) -> str:
    return address.rpartition("@")[2].encode("idna").decode("ascii").lower() or "localhost"
