"""Somebody with a browser, signed in or not: pages as text, forms as they are posted."""

from __future__ import annotations

import csv
from io import StringIO
from typing import Any

from django.test import Client

from tests.factories.yard import PASSWORD
from yard.models import Member


class Visitor:
    """A browser. `last` is the last answer."""

    def __init__(self, member: Member | None = None) -> None:
        self.client = Client()
        self.member = member
        self.last: Any = None
        if member is not None:
            assert self.client.login(username=member.user.username, password=PASSWORD)

    def get(self, address: str, **query: str) -> Any:
        self.last = read_out(self.client.get(address, query or None))
        return self.last

    def page(self, address: str, **query: str) -> str:
        """The text of a page that is there."""
        answer = self.get(address, **query)
        assert answer.status_code == 200, (answer.status_code, address)
        text: str = answer.content.decode()
        return text

    def sheet(self, address: str, **query: str) -> list[dict[str, str]]:
        """The rows of a spreadsheet, by the names at its head."""
        text = self.page(address, **query)
        assert self.last["Content-Disposition"].startswith("attachment;"), address
        return list(csv.DictReader(StringIO(text, newline="")))

    def post(self, address: str, **fields: Any) -> Any:
        self.last = read_out(self.client.post(address, fields))
        return self.last

    def after(self, address: str, **fields: Any) -> str:
        """The page that a form leads on to."""
        answer = self.post(address, **fields)
        assert answer.status_code == 302, (answer.status_code, answer.content.decode()[:2000])
        return self.page(answer["Location"])

    def refused(self, address: str, **fields: Any) -> str:
        """The page that says why a form was not taken."""
        answer = self.post(address, **fields)
        assert answer.status_code == 422, (answer.status_code, address)
        text: str = answer.content.decode()
        return text


def read_out(answer: Any) -> Any:
    """A streamed answer with its bytes in `body` and its file closed, as a server leaves it."""
    if answer.streaming:
        answer.body = b"".join(answer.streaming_content)
        for close in answer._resource_closers:
            close()
    return answer


__all__ = ["Visitor", "read_out"]
