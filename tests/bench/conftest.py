"""Measuring is asked for by `make bench` alone; every test in this folder has the mark that says so."""

import faulthandler
from pathlib import Path

import pytest

HERE = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if HERE in item.path.parents and item.get_closest_marker("bench") is None:
            raise pytest.UsageError(f"{item.nodeid} measures, and is not marked `bench`")


@pytest.fixture(autouse=True)
def _may_take_its_time() -> None:
    """Measuring is long; nobody needs to be told where it stands after three minutes."""
    faulthandler.cancel_dump_traceback_later()
