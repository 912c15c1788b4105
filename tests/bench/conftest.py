"""Measuring is asked for by `make bench` alone; every test in this folder has the mark that says so."""

from pathlib import Path

import pytest

HERE = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if HERE in item.path.parents and item.get_closest_marker("bench") is None:
            raise pytest.UsageError(f"{item.nodeid} measures, and is not marked `bench`")
