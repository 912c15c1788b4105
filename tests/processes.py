"""Real processes for tests that kill them: web, workers, beat, a broker of their own.

The processes work on the test's own database (which must be used with real transactions), so that a test lays its
scene and looks at the outcome with the ordinary services and models.
"""

import contextlib
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import quote

import redis
from django.conf import settings
from django.db import connection

PROJECT = Path(__file__).resolve().parents[1]
LOCALHOST = "127.0.0.1"

# A busy machine takes its time to start a process.
START_SECONDS = 90.0
CELERY_READY = " ready."

# Short, so that what was interrupted is taken up again while somebody watches.
SHORT = {
    "OUTBOX_LEASE_SECONDS": "6",
    "OUTBOX_SWEEP_SECONDS": "1",
    "OUTBOX_POLL_SECONDS": "0.05",
    "OUTBOX_BACKOFF_SECONDS": "0.5",
}
# Choices of the surroundings that a test makes itself.
OURS = (
    "DATABASE_URL", "CELERY_BROKER_URL", "CACHE_URL", "EMAIL_URL", "FAYING_VAR", "PUBLIC_URL", "ALLOWED_HOSTS",
    "MEDIA_S3_BUCKET", "DJANGO_DEBUG", "LOG_FORMAT", "LOG_LEVEL", "COVERAGE_PROCESS_START",
)  # fmt: skip


def database_url() -> str:
    """Where the database of the running test is."""
    at = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite://{Path(str(at['NAME'])).resolve()}"
    password = f":{quote(at['PASSWORD'])}" if at["PASSWORD"] else ""
    return f"postgres://{quote(at['USER'])}{password}@{at['HOST']}:{at['PORT']}/{quote(at['NAME'])}"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind((LOCALHOST, 0))
        port: int = probe.getsockname()[1]
        return port


def wait_until(condition: Callable[[], object], *, seconds: float, what: str) -> None:
    """Wait for the condition.

    Raises:
        AssertionError: it did not come true in time.
    """
    end = time.monotonic() + seconds
    while not condition():
        if time.monotonic() > end:
            raise AssertionError(f"not within {seconds:g} s: {what}")
        time.sleep(0.05)


def alive(process_id: int) -> bool:
    """Whether the process is there and more than a remainder waiting to be collected."""
    try:
        return _stat(process_id)[0] not in "ZX"
    except OSError:
        return False


def descendants(process_id: int) -> list[int]:
    """Children, their children and so on."""
    parents: dict[int, int] = {}
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            with contextlib.suppress(OSError):
                parents[int(entry.name)] = int(_stat(int(entry.name))[1])
    found, front = list[int](), [process_id]
    while front:
        front = [child for child, parent in parents.items() if parent in front]
        found += front
    return found


def _stat(process_id: int) -> list[str]:
    # The name in brackets may hold blanks: read behind it.
    return Path(f"/proc/{process_id}/stat").read_text().rpartition(")")[2].split()


def command_of(process_id: int) -> str:
    try:
        return Path(f"/proc/{process_id}/cmdline").read_bytes().replace(b"\0", b" ").decode()
    except OSError:
        return ""


@dataclass
class Started:
    """One process that a test has started, at the head of a group of its own."""

    name: str
    process: subprocess.Popen[bytes]
    log: Path

    @property
    def pid(self) -> int:
        return self.process.pid

    def logged(self) -> str:
        return self.log.read_text(errors="replace")

    def says(self, text: str) -> bool:
        return text in self.logged()

    def wait_for(self, condition: Callable[[], object]) -> None:
        """Wait until it has started as far as that; a process that has ended will not get there."""
        wait_until(lambda: self.process.poll() is not None or condition(), seconds=START_SECONDS, what=self.name)
        assert self.process.poll() is None, f"{self.name} ended with {self.process.returncode}\n{self.logged()}"

    def kill(self) -> None:
        """kill -9 of this process alone."""
        self.process.kill()
        self.process.wait()

    def kill_tree(self) -> None:
        """kill -9 of this process and everything below it, at one blow."""
        tree = [self.pid, *descendants(self.pid)]
        for process_id in tree:  # nobody may start a successor while we go through them
            with contextlib.suppress(ProcessLookupError):
                os.kill(process_id, signal.SIGSTOP)
        for process_id in {*tree, *descendants(self.pid)}:
            with contextlib.suppress(ProcessLookupError):
                os.kill(process_id, signal.SIGKILL)
        self.process.wait()

    def end(self, *, seconds: float = 20.0) -> None:
        """Ask it to end and wait for it."""
        self.process.terminate()
        self.process.wait(timeout=seconds)


@dataclass
class Fleet:
    """The processes of one test and the surroundings they share."""

    folder: Path
    environment: dict[str, str]
    started: list[Started] = field(default_factory=list)

    def start(self, name: str, *command: str, more: Mapping[str, str] | None = None) -> Started:
        log = self.folder / f"{len(self.started)}-{name}.log"
        with log.open("wb") as output:
            process = subprocess.Popen(
                command,
                cwd=PROJECT,
                env={**self.environment, **(more or {})},
                stdin=subprocess.DEVNULL,
                stdout=output,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
        one = Started(name, process, log)
        self.started.append(one)
        return one

    def manage(self, name: str, *arguments: str) -> Started:
        return self.start(name, sys.executable, "manage.py", *arguments)

    def serve(self, *, port: int) -> Started:
        """Web, worker (and beat where there is a broker) under the supervisor; waits until pages are served."""
        one = self.manage("serve", "serve", "--no-prepare", "--port", str(port), "--workers", "1")
        one.wait_for(partial(answers, port))
        return one

    def outbox_workers(self, count: int) -> list[Started]:
        """Workers of the embedded set-up; waits until they look for work."""
        workers = [self.manage("outbox-worker", "outbox_worker") for _ in range(count)]
        for one in workers:
            one.wait_for(partial(one.says, "outbox_worker_started"))
        return workers

    def celery_workers(self, count: int) -> list[Started]:
        """Workers on the broker, with one process each that works; waits until they are ready."""
        workers = [
            self.start(
                "celery-worker", sys.executable, "-m", "celery", "-A", "yard.celery", "worker",
                "--loglevel", "INFO", "--concurrency", "1", "--without-gossip", "--without-mingle",
                "--hostname", f"worker{len(self.started)}@%h",
            )
            for _ in range(count)
        ]  # fmt: skip
        for one in workers:
            one.wait_for(partial(one.says, CELERY_READY))
        return workers

    def celery_beat(self) -> Started:
        return self.start(
            "celery-beat", sys.executable, "-m", "celery", "-A", "yard.celery", "beat", "--loglevel", "INFO",
            "--schedule", str(self.folder / "beat-schedule"), "--pidfile=",
        )  # fmt: skip

    def end_all(self) -> None:
        for one in self.started:
            if one.process.poll() is None:
                one.kill_tree()

    def show_logs(self, *, lines: int = 40) -> None:
        """On the test's own output, which is shown when it fails."""
        for one in self.started:
            tail = "\n".join(one.logged().splitlines()[-lines:])
            sys.stdout.write(f"--- {one.log.name} ---\n{tail}\n")


@contextlib.contextmanager
def fleet(folder: Path, *, mail_port: int | None = None, broker_url: str = "") -> Iterator[Fleet]:
    """Processes that share the test's database, with a var folder of their own."""
    kept = {name: value for name, value in os.environ.items() if name not in OURS}
    environment = {
        **kept,
        **SHORT,
        "DJANGO_SETTINGS_MODULE": "yard.settings",
        "DJANGO_SECRET_KEY": settings.SECRET_KEY,
        "DATABASE_URL": database_url(),
        "FAYING_VAR": str(folder / "var"),
        "LOG_FORMAT": "console",
        "PYTHONUNBUFFERED": "1",
    }
    if mail_port is not None:
        environment["EMAIL_URL"] = f"smtp://{LOCALHOST}:{mail_port}"
    if broker_url:
        environment["CELERY_BROKER_URL"] = broker_url
        environment["CACHE_URL"] = broker_url.rpartition("/")[0] + "/1"
    (folder / "var" / "static").mkdir(parents=True)
    one = Fleet(folder, environment)
    try:
        yield one
    finally:
        one.end_all()
        one.show_logs()


def answers(port: int, path: str = "/healthz") -> bool:
    """Whether the page is served."""
    try:
        with urllib.request.urlopen(f"http://{LOCALHOST}:{port}{path}", timeout=5) as answer:
            return bool(answer.status == 200)
    except (urllib.error.URLError, OSError):
        return False


def post(port: int, path: str, document: object, *, key: str) -> Any:
    """Send JSON as a tablet with this key would; hands back what the answer says.

    Raises:
        urllib.error.HTTPError: the answer is no success.
    """
    request = urllib.request.Request(
        f"http://{LOCALHOST}:{port}{path}",
        data=json.dumps(document).encode(),
        headers={"Content-Type": "application/json", "Authorization": f"Bearer {key}"},
    )
    with urllib.request.urlopen(request, timeout=60) as answer:  # noqa: S310 - an address of our own
        return json.load(answer)


@dataclass
class Broker:
    """A Redis server of the test's own, which may be stopped, started and emptied."""

    folder: Path
    port: int = field(default_factory=free_port)
    process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        return f"redis://{LOCALHOST}:{self.port}/0"

    def start(self) -> None:
        program = shutil.which("redis-server")
        assert program, "redis-server is not installed"
        self.process = subprocess.Popen(
            [program, "--bind", LOCALHOST, "--port", str(self.port), "--save", "", "--appendonly", "no",
             "--dir", str(self.folder)],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
        )  # fmt: skip
        wait_until(self._answers, seconds=20, what="a Redis server that answers")

    def stop(self) -> None:
        """At once, as when the machine goes: nothing is kept."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            self.process = None

    def empty(self) -> int:
        """Throw everything away; says how much there was."""
        with redis.Redis(port=self.port) as client:
            before: int = sum(int(client.llen(key)) for key in client.scan_iter(_type="list"))
            client.flushall()
        return before

    def waiting(self) -> int:
        """How many messages wait in the queue."""
        with redis.Redis(port=self.port) as client:
            return int(client.llen("celery"))

    def _answers(self) -> bool:
        try:
            with redis.Redis(port=self.port, socket_timeout=1) as client:
                return bool(client.ping())
        except redis.RedisError:
            return False


@contextlib.contextmanager
def own_broker(folder: Path) -> Iterator[Broker]:
    broker = Broker(folder)
    broker.start()
    try:
        yield broker
    finally:
        broker.stop()
