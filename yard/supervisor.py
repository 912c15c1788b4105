"""Keeping a few child processes alive, and taking them along at the end.

Each child leads a session of its own, so that its whole group can be ended with it. When this process is killed
without a chance to clean up, the kernel tells the children (Linux).
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import structlog

log = structlog.get_logger(__name__)

POLL_SECONDS = 0.1
FIRST_BACKOFF_SECONDS = 0.2
LONGEST_BACKOFF_SECONDS = 5.0
# A child that has lived this long was well; if it dies now, it is started again at once.
WELL_AFTER_SECONDS = 10.0
PR_SET_PDEATHSIG = 1


@dataclass(frozen=True, slots=True)
class ChildPlan:
    name: str
    command: Sequence[str]


@dataclass(slots=True)
class _Child:
    plan: ChildPlan
    process: subprocess.Popen[bytes] | None = None
    started_at: float = 0.0
    start_again_at: float = 0.0
    deaths_in_a_row: int = 0


@dataclass
class Supervisor:
    """Starts the planned children, starts again those that die, ends them all when told to."""

    plans: Sequence[ChildPlan]
    environment: Mapping[str, str] = field(default_factory=lambda: dict(os.environ))
    patience_seconds: float = 10.0
    _children: list[_Child] = field(init=False)
    _told_to_end: bool = field(init=False, default=False)

    def __post_init__(self) -> None:
        self._children = [_Child(plan) for plan in self.plans]

    def tell_to_end(self) -> None:
        self._told_to_end = True

    def run(self) -> None:
        """Watch over the children until told to end."""
        with _signals(self.tell_to_end):
            try:
                while not self._told_to_end:
                    for child in self._children:
                        self._look_after(child)
                    time.sleep(POLL_SECONDS)
            finally:
                self._end_all()

    def process_ids(self) -> dict[str, int]:
        """The children that are running, by name."""
        return {child.plan.name: child.process.pid for child in self._children if child.process is not None}

    def _look_after(self, child: _Child) -> None:
        now = time.monotonic()
        if child.process is None:
            if now >= child.start_again_at:
                self._start(child)
            return
        status = child.process.poll()
        if status is None:
            return
        _kill_group(child.process.pid)  # what it has left behind would work on beside its successor
        lived = now - child.started_at
        child.deaths_in_a_row = 0 if lived >= WELL_AFTER_SECONDS else child.deaths_in_a_row + 1
        wait = min(
            FIRST_BACKOFF_SECONDS * 2.0 ** min(child.deaths_in_a_row - 1, 10) if child.deaths_in_a_row else 0.0,
            LONGEST_BACKOFF_SECONDS,
        )
        log.error("child_died", child=child.plan.name, status=status, start_again_in_seconds=wait)
        child.process = None
        child.start_again_at = now + wait

    def _start(self, child: _Child) -> None:
        child.process = subprocess.Popen(
            list(child.plan.command),
            env=dict(self.environment),
            stdin=subprocess.DEVNULL,
            start_new_session=True,
            preexec_fn=_die_with_parent(),  # noqa: PLW1509 - this process has one thread
        )
        child.started_at = time.monotonic()
        log.info("child_started", child=child.plan.name, process=child.process.pid)

    def _end_all(self) -> None:
        running = [child.process for child in self._children if child.process is not None]
        for process in running:
            with contextlib.suppress(ProcessLookupError):
                process.terminate()
        end = time.monotonic() + self.patience_seconds
        for process in running:
            try:
                process.wait(timeout=max(0.0, end - time.monotonic()))
            except subprocess.TimeoutExpired:
                log.warning("child_did_not_end", process=process.pid)
            _kill_group(process.pid)
            process.wait()
        for child in self._children:
            child.process = None


def _die_with_parent() -> Callable[[], None] | None:
    """What a child does first on Linux: ask to be told when its parent dies."""
    if not sys.platform.startswith("linux"):
        return None
    library = ctypes.CDLL(None)
    parent = os.getpid()

    def ask() -> None:
        library.prctl(PR_SET_PDEATHSIG, signal.SIGTERM)
        if os.getppid() != parent:  # it died before we had asked
            os._exit(1)

    return ask


def _kill_group(group: int) -> None:
    with contextlib.suppress(ProcessLookupError, PermissionError):
        os.killpg(group, signal.SIGKILL)


@contextlib.contextmanager
def _signals(end: Callable[[], None]) -> Iterator[None]:
    before = {number: signal.getsignal(number) for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP)}
    for number in before:
        signal.signal(number, lambda *_: end())
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
