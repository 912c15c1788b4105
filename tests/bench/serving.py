"""One process that serves the service and the bare views, set up as in production."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, redirect_stdout
from functools import partial
from pathlib import Path
from typing import Final

from tests.processes import LOCALHOST, answers, fleet, free_port

SERVER: Final = "gunicorn, 1 sync worker"


@contextmanager
def served(folder: Path) -> Iterator[int]:
    """Serve the database of the running test; gives the port."""
    broker, cache = os.environ.get("CELERY_BROKER_URL", ""), os.environ.get("CACHE_URL", "")
    where = free_port()
    # What the server logged would bury the figures.
    with ExitStack() as quiet, ExitStack() as running:
        processes = running.enter_context(fleet(folder, broker_url=broker))
        web = processes.start(
            "web", sys.executable, "-m", "gunicorn", "yard.wsgi", "--bind", f"{LOCALHOST}:{where}",
            "--workers", "1", "--worker-class", "sync", "--log-level", "warning", "--no-control-socket",
            more={"DJANGO_SETTINGS_MODULE": "tests.bench.bench_settings", "LOG_FORMAT": "json"}
            | ({"CACHE_URL": cache} if cache else {}),
        )  # fmt: skip
        web.wait_for(partial(answers, where))
        yield where
        quiet.enter_context(redirect_stdout(io.StringIO()))
        running.close()


__all__ = ["SERVER", "served"]
