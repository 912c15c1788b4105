"""The supervisor: starts its children, starts again what died, leaves nothing behind."""

import itertools
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.processes import PROJECT, alive, descendants, wait_until

pytestmark = [pytest.mark.serial]

# A supervisor over two children: one that notes each of its starts and has a child of its own, and one that
# ends at once whenever it is started.
PROGRAM = """
import sys
from yard.supervisor import ChildPlan, Supervisor
folder = sys.argv[1]
steady = "import subprocess, sys, time, os\\n" \
    "open(sys.argv[1] + '/starts', 'a').write(f'{os.getpid()}\\\\n')\\n" \
    "subprocess.Popen([sys.executable, '-c', 'import time; time.sleep(600)'])\\n" \
    "time.sleep(600)"
hasty = "import sys, time; open(sys.argv[1] + '/hasty', 'a').write(f'{time.monotonic()}\\\\n')"
Supervisor(
    [
        ChildPlan("steady", [sys.executable, "-c", steady, folder]),
        ChildPlan("hasty", [sys.executable, "-c", hasty, folder]),
    ],
    patience_seconds=5,
).run()
"""


@pytest.fixture
def supervisor(tmp_path: Path) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen([sys.executable, "-c", PROGRAM, str(tmp_path)], cwd=PROJECT, start_new_session=True)
    yield process
    for process_id in [*descendants(process.pid), process.pid]:
        if alive(process_id):
            os.kill(process_id, signal.SIGKILL)
    process.wait()


def starts(folder: Path) -> list[int]:
    file = folder / "starts"
    return [int(line) for line in file.read_text().split()] if file.exists() else []


def steady_with_child(supervisor: subprocess.Popen[bytes], folder: Path, start: int) -> list[int]:
    """The steady child of that start and its own child, once both are there."""
    wait_until(lambda: len(starts(folder)) > start, seconds=30, what="the child started")
    child = starts(folder)[start]
    wait_until(lambda: descendants(child), seconds=30, what="the child's own child")
    return [child, *descendants(child)]


def test_a_child_that_dies_is_started_again_and_what_it_left_is_ended(
    supervisor: subprocess.Popen[bytes], tmp_path: Path
) -> None:
    first = steady_with_child(supervisor, tmp_path, 0)
    os.kill(first[0], signal.SIGKILL)
    second = steady_with_child(supervisor, tmp_path, 1)
    assert not any(alive(process_id) for process_id in first)
    assert all(alive(process_id) for process_id in second)


def test_a_child_that_dies_at_once_is_started_again_less_and_less_often(
    supervisor: subprocess.Popen[bytes], tmp_path: Path
) -> None:
    file = tmp_path / "hasty"
    wait_until(
        lambda: file.exists() and len(file.read_text().split()) >= 5,
        seconds=60,
        what="five starts of the hasty child",
    )
    moments = [float(line) for line in file.read_text().split()][:5]
    pauses = [later - earlier for earlier, later in itertools.pairwise(moments)]
    # 0.2, 0.4, 0.8, 1.6 s and what starting a process takes
    assert all(pause >= least for pause, least in zip(pauses, (0.2, 0.4, 0.8, 1.6), strict=True))


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_a_supervisor_that_is_told_to_end_takes_all_along(
    supervisor: subprocess.Popen[bytes], tmp_path: Path, number: signal.Signals
) -> None:
    family = steady_with_child(supervisor, tmp_path, 0)
    supervisor.send_signal(number)
    assert supervisor.wait(timeout=20) == 0
    assert not any(alive(process_id) for process_id in family)


def test_a_supervisor_that_is_killed_takes_its_children_along(
    supervisor: subprocess.Popen[bytes], tmp_path: Path
) -> None:
    child = steady_with_child(supervisor, tmp_path, 0)[0]
    supervisor.kill()
    wait_until(lambda: not alive(child), seconds=10, what="the child gone with its parent")
