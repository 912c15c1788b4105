"""Delivering a mail: one try per run. Waiting and trying again are the outbox's business."""

from __future__ import annotations

import smtplib
from collections.abc import Callable
from datetime import UTC, datetime
from email.utils import format_datetime, quote

import structlog
from django.core.files.storage import default_storage
from django.core.mail import EmailMultiAlternatives

from yard.models import Mail
from yard.outbox import handler
from yard.post.writing import SEND, sender_address

log = structlog.get_logger(__name__)

# RFC 4954: these say that we did not sign in to the mail server as it wants, nothing about this mail.
SIGN_IN_CODES = frozenset({530, 534, 535, 538})
REFUSAL_LENGTH = 1000
KEY_NOT_KEPT = "(The text held a key and was not kept.)"


@handler(SEND)
def send_mail(*, mail_id: int) -> Callable[[datetime], None] | None:
    """Hand one mail to the mail server.

    A lasting refusal (RFC 5321: reply 5yz) ends the matter and is noted; a passing one (4yz), a server that is away
    or does not let us sign in is raised, and the outbox tries again.
    """
    mail: Mail = Mail.objects.select_related("yard").get(pk=mail_id)
    if mail.state != Mail.State.WAITING:
        return None
    try:
        message_of(mail).send()
    except smtplib.SMTPException as error:
        refusal = lasting_refusal(error)
        if refusal is None:
            raise
        log.warning("mail_refused", mail=mail.pk, refusal=refusal)
        return lambda now: _note_refused(mail_id, refusal)
    log.info("mail_sent", mail=mail.pk, message_id=mail.message_id)
    return lambda now: _note_sent(mail_id, now)


def message_of(mail: Mail) -> EmailMultiAlternatives:
    """The mail as a message: plain text, HTML beside it, files from the media storage."""
    message = EmailMultiAlternatives(
        subject=mail.subject,
        body=mail.text,
        from_email=f'"{quote(mail.yard.name)}" <{sender_address(mail.yard)}>',
        to=[mail.to_address],
        headers={
            "Message-ID": mail.message_id,
            "Date": format_datetime(mail.created_at.astimezone(UTC)),
            # RFC 3834: nobody's absence note need answer this.
            "Auto-Submitted": "auto-generated",
            **unsubscribe_headers(mail.unsubscribe_url),
        },
    )
    if mail.html:
        message.attach_alternative(mail.html, "text/html")
    for attachment in mail.attachments:
        with default_storage.open(attachment["path"]) as file:
            message.attach(attachment["name"], file.read(), attachment["media_type"])
    return message


def unsubscribe_headers(url: str) -> dict[str, str]:
    """What lets a mail program end this kind of mail: RFC 2369, 3.2, and by one click RFC 8058, 3.1.

    One click is for HTTPS alone, says RFC 8058; over plain HTTP the address leads to the page that asks.
    """
    if not url:
        return {}
    headers = {"List-Unsubscribe": f"<{url}>"}
    if url.startswith("https://"):
        headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    return headers


def lasting_refusal(error: smtplib.SMTPException) -> str | None:
    """What the server said, if it says that it will never take this mail; None if another try may help."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        replies: list[tuple[int, bytes | str]] = list(error.recipients.values())
    elif isinstance(error, (smtplib.SMTPSenderRefused, smtplib.SMTPDataError)):
        replies = [(error.smtp_code, error.smtp_error)]
    else:
        return None  # greeting, signing in, a broken connection: about us and the server, not about this mail
    if not replies or any(code < 500 or code in SIGN_IN_CODES for code, _ in replies):
        return None
    return "; ".join(f"{code} {_text(reply)}" for code, reply in replies)[:REFUSAL_LENGTH]


def _text(reply: bytes | str) -> str:
    return reply.decode("utf-8", errors="replace") if isinstance(reply, bytes) else reply


def _note_sent(mail_id: int, now: datetime) -> None:
    waiting = Mail.objects.filter(pk=mail_id, state=Mail.State.WAITING)
    waiting.filter(holds_key=True).update(text=KEY_NOT_KEPT, html="")
    waiting.update(state=Mail.State.SENT, sent_at=now)


def _note_refused(mail_id: int, refusal: str) -> None:
    Mail.objects.filter(pk=mail_id, state=Mail.State.WAITING).update(state=Mail.State.REFUSED, refusal=refusal)
