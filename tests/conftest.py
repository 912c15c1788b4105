"""Fixtures that every room shares."""

import faulthandler
import os
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import pytest
from django.core.management import call_command
from django.test import override_settings
from playwright.sync_api import Browser, sync_playwright
from pytest_django import DjangoDbBlocker, Settings
from pytest_django.live_server_helper import LiveServer

# Playwright's synchronous face leaves a running event loop behind; Django would refuse the database beside it.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")

# A fixed spring day, so that no test depends on the day it runs.
SPRING = datetime(2027, 4, 1, 8, 0, tzinfo=UTC)
_numbers = count(1)
# A worker that is through waits for the others before it ends.
SECONDS_TO_END = 300


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish() -> None:
    """A process that does not end after its last test (a thread still stands) says where it hangs, and is ended."""
    faulthandler.dump_traceback_later(SECONDS_TO_END, exit=True, file=2)


@pytest.fixture
def spring() -> datetime:
    return SPRING


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix: None) -> None:
    """On PostgreSQL, begin as a copy of the migrated database that tests/run made, where it made one."""
    from django.conf import settings

    database, ready = settings.DATABASES["default"], os.environ.get("FAYING_TEST_READY_POSTGRES")
    if ready and database["ENGINE"].endswith("postgresql"):
        database.setdefault("TEST", {})["TEMPLATE"] = ready


@pytest.fixture(scope="session")
def django_db_keepdb(request: pytest.FixtureRequest, django_db_modify_db_settings: None) -> bool:
    """On SQLite, find a copy of the migrated file that tests/run made, where it made one."""
    from django.conf import settings

    database, ready = settings.DATABASES["default"], os.environ.get("FAYING_TEST_READY_SQLITE")
    if request.config.getoption("reuse_db"):
        return True
    if not ready or not database["ENGINE"].endswith("sqlite3"):
        return False
    file = Path(database["TEST"]["NAME"])
    for ending in ("", "-wal", "-shm"):  # what another round left
        file.with_name(file.name + ending).unlink(missing_ok=True)
    shutil.copyfile(ready, file)
    return True


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """End what still holds a session when the database is dropped: a live server's thread may be closing it."""
    with django_db_blocker.unblock():
        # For the processes that some tests start; the tests themselves cache in their own memory.
        call_command("createcachetable", "yard_cache", verbosity=0)
    yield
    from django.db import connection

    if connection.vendor == "postgresql":
        with django_db_blocker.unblock(), connection.cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )


@pytest.fixture(scope="session", autouse=True)
def folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """No test writes into the embedded set-up's var folder; what all share is set once, to save time."""
    from django.conf import settings

    laid = tmp_path_factory.mktemp("folders")
    # Static files come from the packages themselves here; the folder they are collected in is only to be there.
    (laid / "static").mkdir()
    with override_settings(
        STATIC_ROOT=str(laid / "static"),
        CACHES={"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}},
        STORAGES={
            **settings.STORAGES,
            "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
        },
        PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"],
    ):
        yield laid


@pytest.fixture(autouse=True)
def own_media(folders: Path, settings: Settings) -> Iterator[None]:
    """Each test has its own folder for media, made when something is stored, and no cached count outlives it."""
    from django.core.cache import cache

    settings.MEDIA_ROOT = str(folders / f"media-{next(_numbers)}")
    yield
    cache.clear()


@pytest.fixture(scope="session")
def live_server(folders: Path) -> Iterator[LiveServer]:
    """pytest-django's, started once there is a folder for static files."""
    server = LiveServer("127.0.0.1")
    yield server
    server.stop()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        from tests.web.screens import chromium  # it knows models, which are not ready while this file is read

        opened = chromium(playwright)
        yield opened
        opened.close()
