"""Mail into a folder, for the set-up that has no mail server: one file a mail, readable by any mail program."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from email.generator import BytesGenerator
from email.message import Message
from email.utils import parsedate_to_datetime
from io import BytesIO
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend


class MailFolderBackend(BaseEmailBackend):
    """Writes each mail to EMAIL_FILE_PATH as `<date>-<Message-ID>.eml`.

    The name comes from the mail's own headers: a mail that is delivered twice lands on the same file. The file is
    complete whenever it is there: it is written beside and then put in place.
    """

    def __init__(self, fail_silently: bool = False, **kwargs: Any) -> None:
        super().__init__(fail_silently=fail_silently, **kwargs)
        self.folder = Path(str(getattr(settings, "EMAIL_FILE_PATH")))  # noqa: B009 - absent where mail goes by SMTP

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        self.folder.mkdir(parents=True, exist_ok=True)
        for email_message in email_messages:
            message = email_message.message()
            _put_in_place(self.folder / file_name(message), with_line_ends(message))
        return len(email_messages)


def file_name(message: Message) -> str:
    """A name that sorts by date and tells one mail from another."""
    written = parsedate_to_datetime(str(message["Date"]))
    identity = re.sub(r"[^A-Za-z0-9.@_-]", "", str(message["Message-ID"]))
    return f"{written:%Y%m%dT%H%M%S}-{identity}.eml"


def with_line_ends(message: Message) -> bytes:
    """The message with the line ends of RFC 5322, as it would go over the wire."""
    content = BytesIO()
    wire = message.policy.clone(linesep="\r\n")
    BytesGenerator(content, mangle_from_=False, policy=wire).flatten(message)
    return content.getvalue()


def _put_in_place(file: Path, content: bytes) -> None:
    beside = file.with_name(f".{file.name}.{os.getpid()}")
    with beside.open("wb") as opened:
        opened.write(content)
        opened.flush()
        os.fsync(opened.fileno())
    beside.replace(file)
