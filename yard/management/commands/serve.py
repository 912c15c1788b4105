"""One command that runs the whole service: pages and worker, and beat where there is a broker."""

from __future__ import annotations

import argparse
import socket
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections

from yard.supervisor import ChildPlan, Supervisor

WEB_SECONDS = 120  # a photo over a harbour's mobile network
PATIENCE_SECONDS = 15.0


class Command(BaseCommand):
    help = (
        "Serves the pages and does the background work, until it is told to end. Without a broker "
        "(CELERY_BROKER_URL) the database and the static files are prepared first."
    )

    requires_system_checks: list[str] = []  # done with the preparing, not at every start

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("--bind", default="127.0.0.1", help="address to listen on (%(default)s)")
        parser.add_argument("--port", type=int, default=8000, help="port to listen on (%(default)s)")
        parser.add_argument("--workers", type=int, default=2, help="processes that serve pages (%(default)s)")
        parser.add_argument(
            "--prepare",
            action=argparse.BooleanOptionalAction,
            default=settings.EMBEDDED,
            help="migrate the database and collect the static files first",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        bind, port = str(options["bind"]), int(options["port"])
        _check_free(bind, port)
        if options["prepare"]:
            self.check()
            call_command("migrate", interactive=False, verbosity=0)
            call_command("createcachetable", verbosity=0)
            call_command("collectstatic", interactive=False, verbosity=0)
            connections.close_all()
        self.stdout.write(f"Serving http://{_shown(bind)}:{port}/ (Ctrl-C ends it)")
        self.stdout.flush()
        Supervisor(
            plans=plans(bind=bind, port=port, web_processes=int(options["workers"])),
            patience_seconds=PATIENCE_SECONDS,
        ).run()


def plans(*, bind: str, port: int, web_processes: int) -> list[ChildPlan]:
    """The children of this set-up."""
    manage = str(Path(sys.argv[0]).resolve()) if sys.argv[0].endswith("manage.py") else "manage.py"
    web = ChildPlan(
        "web",
        [
            sys.executable, "-m", "gunicorn", "yard.wsgi",
            "--bind", f"{_host(bind)}:{port}",
            "--workers", str(web_processes),
            "--worker-class", "sync",
            "--timeout", str(WEB_SECONDS),
            "--graceful-timeout", "10",
            "--log-level", "warning",
            "--no-control-socket",
        ],
    )  # fmt: skip
    if settings.EMBEDDED:
        return [web, ChildPlan("worker", [sys.executable, manage, "outbox_worker"])]
    celery = [sys.executable, "-m", "celery", "--app", "yard.celery"]
    schedule = str(settings.VAR / "beat-schedule")
    settings.VAR.mkdir(parents=True, exist_ok=True)
    return [
        web,
        ChildPlan("worker", [*celery, "worker", "--loglevel", "INFO", "--without-gossip", "--without-mingle"]),
        ChildPlan("beat", [*celery, "beat", "--loglevel", "WARNING", "--schedule", schedule, "--pidfile="]),
    ]


def _check_free(bind: str, port: int) -> None:
    family = socket.AF_INET6 if ":" in bind else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((bind, port))
        except OSError as error:
            raise CommandError(f"{bind}:{port} can't be used ({error.strerror}); choose another --port") from error


def _host(bind: str) -> str:
    return f"[{bind}]" if ":" in bind else bind


def _shown(bind: str) -> str:
    return "localhost" if bind in {"127.0.0.1", "0.0.0.0", "::", "::1"} else _host(bind)  # noqa: S104
