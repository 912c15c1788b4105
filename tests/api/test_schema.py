"""The OpenAPI document: sound, whole, and kept by the application when a machine tries everything it says."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
import time_machine
from django.conf import settings
from django.core.management import call_command
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections, transaction
from django.test import override_settings
from hypothesis import HealthCheck
from hypothesis import settings as hypothesis_settings
from pytest_django import DjangoDbBlocker, Settings
from schemathesis.specs.openapi.checks import positive_data_acceptance

from api.pages import openapi_document
from api.rooms.photos import MEDIA_TYPES
from tests.api.callers import Caller
from tests.api.test_access_table import all_routes
from tests.api.worlds import NOW
from tests.whole_worlds import World, whole_world

OWN_PAPERS = {"", "schema/", "docs/", "problems/", r"^[\s\S]*$"}

# The world that a path is about (what the machine makes up itself would hardly ever be there), and who answers.
_here: dict[str, Any] = {}


def application(environ: Any, start_response: Any) -> list[bytes]:
    """Our application, read out and closed as a server does."""
    answer = _here["application"](environ, start_response)
    try:
        return [b"".join(answer)]
    finally:
        answer.close()


def _asked_of_us(*, thoroughly: bool) -> schemathesis.BaseSchema:
    """The document, to be tried on our application.

    Thoroughly: with each boundary that it draws as well, which for the parameters of lists would be the same few
    boundaries thousands of times.
    """
    schema = schemathesis.openapi.from_dict(openapi_document())
    schema.app = application
    schema.config.generation.update(with_security_parameters=False)  # the key is given by the test
    schema.config.phases.coverage.enabled = thoroughly
    # A method that is not taken is held by the access table.
    schema.config.phases.coverage.unexpected_methods = set()
    # Nonsense is also refused where the version (412), the size (413) or the key itself decides first.
    schema.config.checks.negative_data_rejection.expected_statuses += ["412", "413"]
    schema.hook("map_path_parameters")(_rows_that_are_there)
    return schema


@schemathesis.serializer(*MEDIA_TYPES, "image/svg+xml")
def as_it_is(context: Any, value: Any) -> bytes:
    """A picture is sent as its bytes."""
    return bytes(getattr(value, "data", None) or str(value).encode())


KEYS = {
    "devices": "device",
    "members": "member",
    "owners": "owner",
    "seasons": "season",
    "hourly-rates": "trade",
    "boats": "boat",
    "components": "component",
    "surfaces": "surface",
    "spots": "spot",
    "component-classes": "class",
    "signs": "sign",
    "treatments": "treatment",
    "materials": "material",
    "cautions": "caution",
    "templates": "template",
    "inspections": "inspection",
    "entries": "entry",
    "set-aside": "set_aside",
    "photos": "photo",
    "findings": "finding",
    "jobs": "job",
    "holds": "hold",
    "quotes": "quote",
    "decisions": "decision",
    "replies": "reply",
    "reports": "report",
    "work-logs": "work_log",
    "verifications": "verification",
    "outbox": "outbox",
}


@pytest.fixture(scope="module")
def world(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[World, str]]:
    folder = str(tmp_path_factory.mktemp("media"))
    storages = {**settings.STORAGES, "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"}}
    with django_db_blocker.unblock(), transaction.atomic():
        with time_machine.travel(NOW, tick=True), override_settings(MEDIA_ROOT=folder, STORAGES=storages):
            laid = whole_world("Heron7Q")
        yield laid, folder
        transaction.set_rollback(True)


@pytest.fixture
def manager_key(world: tuple[World, str], db: None, settings: Settings) -> Iterator[str]:
    """The key of a manager; requests do not close the connection that the test's transaction lives on."""
    laid, settings.MEDIA_ROOT = world
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    _here.update(world=laid, application=get_wsgi_application())
    yield Caller(laid.manager).headers["Authorization"]
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


def _rows_that_are_there(context: Any, path_parameters: dict[str, Any] | None) -> dict[str, Any] | None:
    """Ask for a row that is there, half of the time, where what was made up could be the key of one."""
    path = context.operation.path.removeprefix("/api/v1/")
    kind = KEYS.get(path.split("/")[0])
    if not path_parameters or kind is None or "world" not in _here:
        return path_parameters
    for name, value in path_parameters.items():
        known = _here["world"].keys["version" if name == "number" else kind]
        if type(value) is type(known) and zlib.crc32(repr(value).encode()) % 2 and _could_be(value, known):
            path_parameters[name] = known
    return path_parameters


def _could_be(value: Any, known: Any) -> bool:
    if not isinstance(value, str) or len(known) not in (36, 64):
        return True
    return len(value) == len(known) and set(value) <= set("0123456789abcdef-")


reading = _asked_of_us(thoroughly=False).include(method="GET")
writing = _asked_of_us(thoroughly=True).exclude(method="GET")
few = hypothesis_settings(
    max_examples=6, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True, database=None
)
fewer = hypothesis_settings(few, max_examples=2)  # beside the boundaries, of which there are dozens


@pytest.mark.django_db
@reading.parametrize()
@few
def test_what_is_read_is_as_the_document_says(case: schemathesis.Case[Any], manager_key: str) -> None:
    _hold(case, manager_key)


@pytest.mark.django_db
@writing.parametrize()
@fewer
def test_what_is_sent_is_taken_or_refused_as_the_document_says(
    case: schemathesis.Case[Any], manager_key: str
) -> None:
    _hold(case, manager_key)


def _hold(case: schemathesis.Case[Any], manager_key: str) -> None:
    with transaction.atomic():  # one example leaves the next what it found
        case.call_and_validate(
            headers={"Authorization": manager_key},
            # A document can't say that an id must be one of the yard's own, or that a day must lie ahead.
            excluded_checks=[positive_data_acceptance],
        )
        transaction.set_rollback(True)


def test_the_document_is_valid_openapi_3_1_and_drawn_without_a_warning(tmp_path: Path) -> None:
    call_command(
        "spectacular", validate=True, fail_on_warn=True, format="openapi-json", file=str(tmp_path / "schema.json")
    )
    assert openapi_document()["openapi"].startswith("3.1")


def test_every_address_is_in_the_document() -> None:
    routes = {route.removeprefix("api/v1/") for route in all_routes() if route.startswith("api/v1/")} - OWN_PAPERS
    named = {path.removeprefix("/api/v1/") for path in openapi_document()["paths"]}
    assert {re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", route) for route in routes} == {
        re.sub(r"\{id\}", "{pk}", path) for path in named
    }


def test_every_operation_says_in_a_line_what_it_does() -> None:
    for path, operations in openapi_document()["paths"].items():
        for method, operation in operations.items():
            assert operation.get("summary"), f"{method} {path}"
            assert "GET of" not in operation.get("description", ""), f"{method} {path}"


def test_every_post_of_a_member_may_carry_a_key() -> None:
    for path, operations in openapi_document()["paths"].items():
        if "post" in operations:
            names = [parameter["name"] for parameter in operations["post"].get("parameters", [])]
            assert "Idempotency-Key" in names, path
