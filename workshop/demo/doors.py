"""The doors the demo goes through: the API with a device's key, the worker's answers, the owner's mailed link."""

from __future__ import annotations

import email
import email.policy
import re
import time
from collections.abc import Callable, Iterator
from email.message import EmailMessage
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx

Json = dict[str, Any]
Fields = dict[str, list[str]]
PATIENCE_SECONDS = 180.0


class DoorClosed(Exception):  # noqa: N818 - an answer of the service
    """The service answered something that the demo's step can't go on with."""


class Device:
    """A tablet, or the office's computer, signed in for one member."""

    def __init__(self, site: str, *, username: str, password: str, device_name: str) -> None:
        self.http = httpx.Client(base_url=f"{site}/api/v1/", timeout=60)
        signed_in = self.post(
            "devices/", {"username": username, "password": password, "device_name": device_name}, expect=201
        )
        self.http.headers["Authorization"] = f"Bearer {signed_in['key']}"

    def get(self, path: str, **params: object) -> Json:
        return self._read(self.http.get(path, params={k: str(v) for k, v in params.items()}), 200)

    def every(self, path: str, **params: object) -> Iterator[Json]:
        """All rows of a list, page by page."""
        page = self.get(path, **params)
        while True:
            yield from page["results"]
            if not page["next"]:
                return
            page = self._read(self.http.get(page["next"]), 200)

    def post(self, path: str, document: Json | None = None, *, expect: int = 200, key: str | None = None) -> Json:
        headers = {"Idempotency-Key": f'"{key or uuid4()}"'}
        return self._read(self.http.post(path, json=document or {}, headers=headers), expect)

    def try_post(self, path: str, document: Json) -> Json | None:
        """Post; None where the service refused it for what it says (422)."""
        answer = self.http.post(path, json=document, headers={"Idempotency-Key": f'"{uuid4()}"'})
        return None if answer.status_code == 422 else self._read(answer, 201)

    def put_photo(self, sha256: str, data: bytes, media_type: str) -> bool:
        """Send a photo; True when the yard did not have it yet."""
        answer = self.http.put(f"photos/{sha256}/", content=data, headers={"Content-Type": media_type})
        self._read(answer, 201 if answer.status_code != 200 else 200)
        return answer.status_code == 201

    def download(self, path: str) -> bytes:
        answer = self.http.get(path, follow_redirects=True)
        if answer.status_code != 200:
            raise DoorClosed(f"GET {path}: {answer.status_code}")
        return answer.content

    @staticmethod
    def _read(answer: httpx.Response, expect: int) -> Json:
        if answer.status_code != expect:
            raise DoorClosed(
                f"{answer.request.method} {answer.request.url}: {answer.status_code} {answer.text[:800]}"
            )
        found: Json = answer.json() if answer.content else {}
        return found


def wait_for(what: str, ready: Callable[[], bool]) -> None:
    """Wait until the worker has done something."""
    deadline = time.monotonic() + PATIENCE_SECONDS
    while not ready():
        if time.monotonic() > deadline:
            raise DoorClosed(f"after {PATIENCE_SECONDS:.0f} s the worker had not done it: {what}")
        time.sleep(0.1)


def site_is_up(site: str) -> bool:
    try:
        return httpx.get(f"{site}/readyz", timeout=5).status_code == 200
    except httpx.TransportError:
        return False


# --- the owner, who has a mail and a phone --------------------------------------------------------


def mails_in(folder: Path) -> dict[Path, EmailMessage]:
    return {
        path: email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
        for path in sorted(folder.glob("*.eml"))
    }


def link_in(mail: EmailMessage) -> str:
    """The owner's link, from the plain text."""
    part = mail.get_body(("plain",))
    found = re.search(r"https?://\S+/o/\S+", part.get_content() if part is not None else "")
    if found is None:
        raise DoorClosed(f"the mail '{mail['Subject']}' has no link")
    return found[0]


class _Forms(HTMLParser):
    """The forms of a page: where each goes and what its fields hold."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[tuple[str, Fields]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form" and said.get("method") == "post":
            self.forms.append((said.get("action", ""), {}))
        elif tag in {"input", "button", "textarea"} and said.get("name") and self.forms:
            self.forms[-1][1].setdefault(said["name"], []).append(said.get("value", ""))


class Phone:
    """A decider's browser: opens the mailed link and answers by the page's own forms."""

    def __init__(self, link: str) -> None:
        self.http = httpx.Client(timeout=60)
        self.link = link

    def questions(self) -> dict[str, dict[str, Fields]]:
        """For each job still open its forms by verdict, under the address they go to."""
        answer = self.http.get(self.link)
        if answer.status_code != 200:
            raise DoorClosed(f"the owner's link answered {answer.status_code}")
        page = _Forms()
        page.feed(answer.text)
        found: dict[str, dict[str, Fields]] = {}
        for action, fields in page.forms:
            if "verdict" in fields:
                found.setdefault(action, {})[fields["verdict"][0]] = fields
        return found

    def answer(self, action: str, fields: Fields) -> None:
        address = str(httpx.URL(self.link).join(action))
        answer = self.http.post(address, data=fields, headers={"Referer": self.link})
        if answer.status_code not in {302, 303}:
            raise DoorClosed(f"the owner's answer was not taken: {answer.status_code}")
