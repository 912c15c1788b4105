"""The worker of the set-up without a broker."""

from __future__ import annotations

import signal
from typing import Any

import structlog
from django.core.management.base import BaseCommand

from yard.outbox.polling import poll

log = structlog.get_logger(__name__)


class Command(BaseCommand):
    help = "Works on the rows of the outbox as they come due, until told to end; a row in hand is finished first."
    requires_system_checks: list[str] = []  # serve has checked; a worker that died is to be back at once

    def handle(self, *args: Any, **options: Any) -> None:
        self._told_to_end = False
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, self._end)
        log.info("outbox_worker_started")
        worked = poll(told_to_end=lambda: self._told_to_end)
        log.info("outbox_worker_ended", rows=worked)

    def _end(self, number: int, frame: object) -> None:
        self._told_to_end = True
