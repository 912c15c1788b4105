"""It is a day in April 2027 for everybody here: pages ask the machine's clock what day it is."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
import time_machine
from django.core.cache import cache
from django.test import override_settings
from playwright.sync_api import Browser, sync_playwright
from pytest_django.live_server_helper import LiveServer

from tests.web.letters import Letter, a_letter
from tests.web.screens import chromium
from tests.workshop.spring import AT

NOW = AT + timedelta(hours=3)


@pytest.fixture(autouse=True)
def _in_spring() -> Iterator[None]:
    with time_machine.travel(NOW, tick=True):
        yield
    cache.clear()


@pytest.fixture
def letter(db: None) -> Letter:
    return a_letter()


@pytest.fixture(scope="session")
def live_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveServer]:
    """pytest-django's, started with a folder for static files, which its own is without before the first test."""
    with override_settings(STATIC_ROOT=str(tmp_path_factory.mktemp("static"))):
        server = LiveServer("127.0.0.1")
        yield server
        server.stop()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        opened = chromium(playwright)
        yield opened
        opened.close()
