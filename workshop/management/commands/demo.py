"""`make demo`: a yard with three springs behind it, this spring through the public API, and the site left up."""

from __future__ import annotations

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from functools import partial
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from django.db.models import Exists, OuterRef
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from inspections.models import Entry, Inspection
from workshop.demo.doors import DoorClosed, site_is_up, wait_for
from workshop.demo.history import DemoYard, history_lay, parts_gone_remove, yard_lay
from workshop.demo.office import decide, quote_everybody
from workshop.demo.spring import Say, Spring, Told
from workshop.demo.yard_work import work

# Of a yard that anybody may look into: it opens nothing else.
PASSWORD = "sildrevik-in-spring"  # noqa: S105
STEPS = 11
OWN_FILES = ("faying.sqlite3", "faying.sqlite3-wal", "faying.sqlite3-shm", "media", "mail", "demo")


class Command(BaseCommand):
    help = "Lays the demo yard in the embedded set-up, runs one spring through the API and leaves the site up."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--port", type=int, default=int(os.environ.get("DEMO_PORT", "8000")))
        parser.add_argument(
            "--exit",
            action="store_true",
            default=os.environ.get("DEMO_EXIT", "") not in {"", "0"},
            help="end when all is done instead of leaving the site up",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.EMBEDDED or settings.DATABASES["default"]["ENGINE"] != "django.db.backends.sqlite3":
            raise CommandError(
                "The demo runs on the embedded set-up; unset DATABASE_URL and CELERY_BROKER_URL, then try again."
            )
        port = options["port"]
        refuse_busy_port(port)
        started = time.monotonic()
        site = f"http://localhost:{port}"
        settings.PUBLIC_URL = site  # the links in the mails of the history lead here too
        console = Console()
        with Progress(
            TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn(), console=console, transient=True
        ) as progress:
            bar = progress.add_task("making ready", total=STEPS)

            def say(what: str) -> None:
                console.print(f"[bold]·[/bold] {what}")

            def step(name: str) -> None:
                progress.update(bar, description=name, advance=1)

            step("a clean set-up")
            prepare(settings.VAR)
            say(f"an empty set-up under {settings.VAR.name}/")
            step("the yard")
            demo = yard_lay(password=PASSWORD)
            say(
                f"{demo.yard.name}: {len(demo.boats)} boats, {len(demo.members)} people, the stock catalogue loaded"
            )
            step("three springs of history")
            laid = history_lay(demo, say=say)
            parts_gone_remove(demo)
            connections.close_all()
            server = serve(port, site)
            try:
                told = live_through(demo, site, say, step)
                seconds = time.monotonic() - started
                write_summary(demo, told, laid, seconds)
            except (DoorClosed, OSError) as refusal:
                end(server)
                raise CommandError(f"A step did not hold: {refusal}") from refusal
            except BaseException:
                end(server)
                raise
        console.print(f"Done in {seconds:.0f} s; the figures are in {settings.VAR.name}/demo/summary.json")
        if options["exit"]:
            end(server)
            return
        print_addresses(console, demo, site, told)
        stay_up(server)


def refuse_busy_port(port: int) -> None:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError as error:
            raise CommandError(
                f"Something listens on port {port} already, a demo that is still up perhaps; end it, "
                "or choose another port: DEMO_PORT=8010 make demo"
            ) from error


def prepare(var: Path) -> None:
    """Begin from nothing: the files of an earlier demo go, a secret key and other settings stay."""
    connections.close_all()
    for name in OWN_FILES:
        path = var / name
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)
    (var / "demo").mkdir(parents=True)
    call_command("migrate", interactive=False, verbosity=0)
    call_command("createcachetable", verbosity=0)


def serve(port: int, site: str) -> subprocess.Popen[bytes]:
    """The service as `make run` starts it: pages and a worker of their own processes."""
    log = (settings.VAR / "demo" / "server.log").open("wb")
    command = [sys.executable, "manage.py", "serve", "--port", str(port)]
    environment = os.environ | {"PUBLIC_URL": site}
    return subprocess.Popen(command, cwd=settings.PROJECT, env=environment, stdout=log, stderr=log)


def live_through(demo: DemoYard, site: str, say: Say, step: Say) -> Told:
    step("the site comes up")
    wait_for("come up", lambda: site_is_up(site))
    say(f"the site is up at {site}, with a worker beside it")
    spring = Spring(
        site=site,
        demo=demo,
        password=PASSWORD,
        mail_folder=settings.VAR / "mail",
        report_folder=settings.VAR / "demo" / "reports",
        say=say,
    )
    for name, act in (
        ("signing in", spring.sign_in),
        ("opening inspections", spring.open_inspections),
        ("the tablets' sheets", spring.send_sheets),
        ("closing inspections", spring.close_inspections),
        ("quotes, reports, mails", partial(quote_everybody, spring)),
        ("the deciders' answers", partial(decide, spring)),
        ("the work", partial(work, spring)),
    ):
        step(name)
        act()
    return spring.told


def write_summary(demo: DemoYard, told: Told, laid: int, seconds: float) -> None:
    summary = {
        "boats": len(demo.boats),
        "inspections": told.inspections,
        "inspections_of_earlier_springs": laid,
        "entries": told.entries["stored"],
        "entries_set_aside": told.entries["set_aside"],
        "photos": told.photos,
        "findings": sum(told.by_priority.values()),
        "by_priority": dict(sorted(told.by_priority.items())),
        "jobs": told.jobs,
        "jobs_of_several_findings": told.jobs_of_several_findings,
        "hours_likely": round(told.hours_likely, 2),
        "quotes": told.quotes,
        "decisions": dict(sorted(told.decisions.items())),
        "unsafe_declined": told.unsafe_declined,
        "addenda": told.addenda,
        "verifications": told.verifications,
        "hours_moved": told.hours_moved,
        "reports": told.reports,
        "mails": told.mails,
        "seconds": round(seconds, 1),
    }
    (settings.VAR / "demo" / "summary.json").write_text(json.dumps(summary, indent=2) + "\n", encoding="utf-8")


def print_addresses(console: Console, demo: DemoYard, site: str, told: Told) -> None:
    console.print()
    console.print(f"Office pages    {site}/")
    console.print(f"Tablet page     {site}/tablet/   ({waiting_told(demo)})")
    console.print(f"API and docs    {site}/api/v1/docs/")
    for row in demo.files["members"]:
        console.print(f"  {row['role']:<12}  {row['username']:<8}  {PASSWORD}")
    console.print(f"Mails, with the owners' links   {settings.VAR.name}/mail/")
    for path in told.reports:
        console.print(f"Report   {Path(path).relative_to(settings.PROJECT)}", soft_wrap=True)
    console.print("Ctrl-C ends it.")


def waiting_told(demo: DemoYard) -> str:
    """The boats that nobody has been aboard of yet, in words."""
    entries = Entry.objects.filter(inspection=OuterRef("pk"))
    waiting = Inspection.objects.of_yard(demo.yard).filter(~Exists(entries), closed_at=None)
    names = list(waiting.order_by("boat__name").values_list("boat__name", flat=True))
    return f"to be inspected: {', '.join(names)}" if names else "every boat is inspected"


def stay_up(server: subprocess.Popen[bytes]) -> None:
    signal.signal(signal.SIGTERM, lambda *_: end(server))
    try:
        server.wait()
    except KeyboardInterrupt:
        end(server)


def end(server: subprocess.Popen[bytes]) -> None:
    server.terminate()
    try:
        server.wait(timeout=25)
    except subprocess.TimeoutExpired:
        server.kill()
