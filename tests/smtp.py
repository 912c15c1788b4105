"""A real mail server on the loopback address, which keeps what it gets and says what it is told to say."""

import asyncio
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

SIZE_LIMIT = 30 * 1024 * 1024


class _AnyPort(Controller):
    """A controller on a port of the system's choosing."""

    def _trigger_server(self) -> None:
        assert isinstance(self.server, asyncio.Server)
        self.port = self.server.sockets[0].getsockname()[1]  # the base class would ask port 0 whether it is up
        super()._trigger_server()  # type: ignore[no-untyped-call]


@dataclass
class MailServer:
    """What a test looks at. Replies are used up one by one; when none is left, everything is accepted."""

    port: int = 0
    accepted: list[EmailMessage] = field(default_factory=list)
    offered: list[EmailMessage] = field(default_factory=list)
    rcpt_replies: list[str] = field(default_factory=list)
    data_replies: list[str] = field(default_factory=list)
    # Set when a mail has come in whole; while `keep_waiting` is set, its sender gets no answer.
    received: threading.Event = field(default_factory=threading.Event)
    keep_waiting: threading.Event = field(default_factory=threading.Event)

    def message_ids(self) -> list[str]:
        return [str(message["Message-ID"]) for message in self.accepted]

    async def handle_RCPT(  # noqa: N802 - aiosmtpd's name
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        reply = self.rcpt_replies.pop(0) if self.rcpt_replies else "250 OK"
        if reply.startswith("2"):
            envelope.rcpt_tos.append(address)
        return reply

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:  # noqa: N802
        assert isinstance(envelope.content, bytes)
        message: Any = message_from_bytes(envelope.content, policy=policy.default)
        self.offered.append(message)
        self.received.set()
        while self.keep_waiting.is_set():
            await asyncio.sleep(0.02)
        reply = self.data_replies.pop(0) if self.data_replies else "250 OK"
        if reply.startswith("2"):
            self.accepted.append(message)
        return reply


@contextmanager
def mail_server() -> Iterator[MailServer]:
    box = MailServer()
    controller = _AnyPort(box, hostname="127.0.0.1", port=0, data_size_limit=SIZE_LIMIT, enable_SMTPUTF8=True)
    controller.start()
    box.port = controller.port
    try:
        yield box
    finally:
        controller.stop()
