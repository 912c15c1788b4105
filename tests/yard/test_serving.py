"""The command that serves: which children each set-up has, and a port that is taken."""

import socket
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from pytest_django import Settings

from yard.management.commands.serve import plans


def test_without_a_broker_there_are_the_pages_and_one_worker(settings: Settings) -> None:
    settings.EMBEDDED = True
    web, worker = plans(bind="127.0.0.1", port=8123, web_processes=3)
    assert (web.name, worker.name) == ("web", "worker")
    assert "127.0.0.1:8123" in web.command
    assert web.command[web.command.index("--workers") + 1] == "3"
    assert worker.command[-1] == "outbox_worker"


def test_with_a_broker_celery_works_and_beat_sweeps(settings: Settings, tmp_path: Path) -> None:
    settings.EMBEDDED, settings.VAR = False, tmp_path / "var"
    children = {plan.name: plan.command for plan in plans(bind="::", port=8123, web_processes=1)}
    assert set(children) == {"web", "worker", "beat"}
    assert "[::]:8123" in children["web"]
    assert "worker" in children["worker"]
    assert "beat" in children["beat"]


def test_a_port_that_is_taken_is_said_before_anything_starts() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(CommandError, match=f"127.0.0.1:{port} can't be used"):
            call_command("serve", "--port", str(port), "--no-prepare")
