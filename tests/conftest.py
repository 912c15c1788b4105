"""Fixtures that every room shares."""

import os
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pytest_django import Settings

# Playwright's synchronous face leaves a running event loop behind; Django would refuse the database beside it.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")

# A fixed spring day, so that no test depends on the day it runs.
SPRING = datetime(2027, 4, 1, 8, 0, tzinfo=UTC)


@pytest.fixture
def spring() -> datetime:
    return SPRING


@pytest.fixture(autouse=True)
def own_folders(settings: Settings, tmp_path: Path) -> Iterator[None]:
    """No test writes into the embedded set-up's var folder, and no cached count outlives its test."""
    from django.core.cache import cache

    settings.MEDIA_ROOT = str(tmp_path / "media")
    # Static files come from the packages themselves here; the folder they are collected in is only to be there.
    settings.STATIC_ROOT = str(tmp_path / "static")
    (tmp_path / "static").mkdir()
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    }
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    yield
    cache.clear()
