"""What lies between tablet and yard: a network that can lose answers, be somebody else's, or not be there."""

from __future__ import annotations

import http.client
import json
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Literal

from tests.processes import LOCALHOST

LOG_IN_PAGE = b"<!doctype html><title>Harbour network</title><p>Welcome. Please accept our terms.</p>"
HOP_BY_HOP = {"connection", "keep-alive", "transfer-encoding", "content-length", "server"}


@dataclass
class Weather:
    """Passes requests on to the yard, as the weather is.

    Args:
        port: where the yard is.
        kind: `portal` answers everything itself with 200 and a page of its own.
        at_photo: what happens when so many photos have been brought, before the last of them is answered.
        lose: beginnings of "METHOD path" whose next answer is lost, after the yard has done what was asked.
    """

    port: int
    kind: Literal["fair", "portal"] = "fair"
    lose: list[str] = field(default_factory=list)
    at: int = 0
    entries: Counter[str] = field(default_factory=Counter)  # how often each was delivered
    photos: Counter[str] = field(default_factory=Counter)
    lost: list[str] = field(default_factory=list)
    at_photo: tuple[int, Callable[[], None]] | None = None

    @property
    def site(self) -> str:
        return f"http://{LOCALHOST}:{self.at}"


class Passing(BaseHTTPRequestHandler):
    weather: Weather
    server_version, sys_version = "network", ""

    def _pass(self) -> None:
        weather = self.weather
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        if weather.kind == "portal":
            self._answer(200, [("Content-Type", "text/html; charset=utf-8")], LOG_IN_PAGE)
            return
        try:
            with closing(http.client.HTTPConnection(LOCALHOST, weather.port, timeout=60)) as yard:
                yard.request(self.command, self.path, body=body or None, headers=dict(self.headers))
                answer = yard.getresponse()
                data = answer.read()
        except (OSError, http.client.HTTPException):
            self._answer(502, [("Content-Type", "text/html")], b"<h1>Bad gateway</h1>")
            return
        self._count(body, answer.status)
        asked = f"{self.command} {self.path}"
        for beginning in weather.lose:
            if asked.startswith(beginning) and answer.status < 300:
                weather.lose.remove(beginning)
                weather.lost.append(asked)
                self.close_connection = True
                return
        self._answer(answer.status, answer.getheaders(), data)

    def _count(self, body: bytes, status: int) -> None:
        if status >= 300:
            return
        if self.command == "POST" and self.path.endswith("/entries/"):
            self.weather.entries.update(entry["id"] for entry in json.loads(body)["entries"])
        if self.command == "PUT" and self.path.startswith("/api/v1/photos/"):
            self.weather.photos[self.path.split("/")[-2]] += 1
            if self.weather.at_photo and len(self.weather.photos) == self.weather.at_photo[0]:
                self.weather.at_photo[1]()

    def _answer(self, status: int, headers: list[tuple[str, str]], data: bytes) -> None:
        self.send_response_only(status)
        for name, value in headers:
            if name.lower() not in HOP_BY_HOP:
                self.send_header(name, value)
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(data)

    do_GET = do_HEAD = do_POST = do_PUT = do_DELETE = _pass  # noqa: N815 - the library's names

    def log_message(self, *_: object) -> None:
        """Nothing: the yard logs."""


class Quiet(ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, *_: object) -> None:
        """Nothing: a tablet that is killed hangs up in the middle."""


@contextmanager
def weather_before(port: int) -> Iterator[Weather]:
    weather = Weather(port)
    between = Quiet((LOCALHOST, 0), type("Passing", (Passing,), {"weather": weather}))
    weather.at = between.server_address[1]
    thread = threading.Thread(target=between.serve_forever, daemon=True)
    thread.start()
    try:
        yield weather
    finally:
        between.shutdown()
        between.server_close()
        thread.join(timeout=10)
