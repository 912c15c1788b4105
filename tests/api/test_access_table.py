"""Every address of the service, asked by everybody, held against the table of who may do what."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from http.cookies import SimpleCookie
from itertools import groupby
from operator import attrgetter
from typing import Any
from urllib.parse import quote, unquote

import pytest
import time_machine
from django.conf import settings
from django.db import transaction
from django.test import Client, override_settings
from django.urls import URLPattern, URLResolver, get_resolver
from pytest_django import DjangoDbBlocker, Settings

from tests.access_table import API, ROLES, TABLE, Row
from tests.api.worlds import NOW
from tests.whole_worlds import World, whole_world
from yard.models import Member

pytestmark = pytest.mark.django_db

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")
REFUSED = {401, 403, 404, 405}
# Of those who are signed in nobody may more than the manager, and of the others nobody more than a link's holder.
UTMOST = ("manager", "link")
by_route = attrgetter("route")
PLACEHOLDER = re.compile(r"<(?:\w+:)?(\w+)>")
OURS, THEIRS = "Heron7Q", "Plover3Z"


@dataclass
class Walk:
    """Two yards, and what the five who go round carry. Ours is the yard that is asked for."""

    ours: World
    theirs: World
    clients: dict[str, Client]
    cookies: dict[str, dict[str, str]]
    media: str

    def address(self, row: Row, role: str) -> str:
        """The address of the row's route with what is ours in it; an owner's link is what its holder has."""

        def value(found: re.Match[str]) -> str:
            name = found[1]
            if name == "token":
                world = self.theirs if role == "stranger" else self.ours
                key = str(world.keys[row.at[name]]) if name in row.at else world.link
                return key if role != "nobody" else f"{key[:-1]}~"
            return str(self.ours.keys[row.at[name]])

        path = PLACEHOLDER.sub(value, row.route.replace(r"^[\s\S]*$", "no/such/address/"))
        return f"/{path}{'?' if row.query else ''}{row.query}"

    def ask(self, role: str, method: str, address: str, body: Any, *, api: bool) -> Any:
        """Ask, read the answer out, and take back whatever it did."""
        client = self.clients[role]
        client.cookies = SimpleCookie(self.cookies.get(role, {}))  # as before the last answer changed them
        data: Any = body
        media_type = "application/x-www-form-urlencoded"
        if api:
            data, media_type = (b"", "") if body is None else (json.dumps(body).encode(), "application/json")
        with transaction.atomic():
            answer: Any = client.generic(method, address, data or b"", media_type if data else "")
            if answer.streaming:
                answer.body = b"".join(answer.streaming_content)
                for close in answer._resource_closers:
                    close()
            else:
                answer.body = answer.content
            transaction.set_rollback(True)
        return answer


@pytest.fixture(scope="module")
def walk(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Walk]:
    """Both yards, laid once for all rows; every request is taken back."""
    folder = str(tmp_path_factory.mktemp("media"))
    storages = {**settings.STORAGES, "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"}}
    with django_db_blocker.unblock(), transaction.atomic():
        with time_machine.travel(NOW, tick=True), override_settings(MEDIA_ROOT=folder, STORAGES=storages):
            ours, theirs = whole_world(OURS), whole_world(THEIRS)
            cookies = {
                "manager": _signed_in(ours.manager),
                "technician": _signed_in(ours.technician),
                "stranger": _signed_in(theirs.manager),
            }
        clients = {role: Client() for role in ROLES}
        # Whoever holds an owner's link may try it as a key.
        clients["link"] = Client(headers={"Authorization": f"Bearer {ours.link}"})
        yield Walk(ours, theirs, clients, cookies, folder)
        transaction.set_rollback(True)


@pytest.fixture
def asked(walk: Walk, db: None, settings: Settings) -> Walk:
    settings.MEDIA_ROOT = walk.media
    return walk


ROUTES = {route: list(rows) for route, rows in groupby(sorted(TABLE, key=by_route), key=by_route)}


@pytest.mark.parametrize("route", ROUTES)
def test_everybody_is_answered_as_the_table_says(asked: Walk, route: str) -> None:
    for row in ROUTES[route]:
        hold(asked, row)


def hold(asked: Walk, row: Row) -> None:
    for role, status in zip(ROLES, row.answers, strict=True):
        address = asked.address(row, role)
        answer = asked.ask(role, row.method, address, row.body, api=row.route.startswith(API))
        assert answer.status_code == status, (
            f"{row.method} by {role}: {answer.status_code}, not {status} ({row.why})"
        )
        told = answer.body.decode("utf-8", errors="replace").lower()
        hidden = [THEIRS] if role in ("manager", "technician") else [OURS] if role == "stranger" else [OURS, THEIRS]
        if "<str:token>" in row.route:  # the link opens its own yard's page, and is asked for as such
            hidden = [OURS if role == "stranger" else THEIRS]
        for mark in hidden:
            # What the caller wrote into the address themselves may be said back to them.
            spoken = told
            for written in (address, quote(address), unquote(address)):
                spoken = spoken.replace(written.lower(), "")
            assert mark.lower() not in spoken, f"{row.method} by {role}: they are told of {mark}"
        if answer.status_code == 302 and role in ("link", "nobody"):
            assert answer["Location"].startswith(("/sign-in/", "/season/", "/o/")), answer["Location"]


@pytest.mark.parametrize("route", ROUTES)
def test_what_the_table_does_not_name_is_refused_to_everybody(asked: Walk, route: str) -> None:
    rows = ROUTES[route]
    for method in METHODS:
        if method in {row.method for row in rows}:
            continue
        for role in UTMOST:
            answer = asked.ask(role, method, asked.address(rows[0], role), {}, api=route.startswith(API))
            assert answer.status_code in REFUSED, f"{method} by {role}: {answer.status_code}; add a row"


def test_every_route_has_its_rows() -> None:
    routes = {route for route in all_routes() if not route.startswith("admin/")}
    named = {row.route for row in TABLE}
    assert routes - named == set(), "routes without a row in tests/access_table.py"
    assert named - routes == set(), "rows without a route"


def test_the_back_room_needs_staff(asked: Walk) -> None:
    routes = [route for route in all_routes() if route.startswith("admin/")]
    assert len(routes) > 50
    for route in routes:
        address = f"/{_filled(route)}"
        for role in UTMOST:
            answer = asked.ask(role, "GET", address, None, api=False)
            if answer.status_code == 302:
                door = "/sign-in/?next=/admin/" if route == "admin/login/" else "/admin/"
                assert answer["Location"].startswith(door), (address, role, answer["Location"])
            else:
                assert (route, answer.status_code) in {("admin/login/", 403), ("admin/logout/", 405)}, (
                    address,
                    role,
                )
            assert OURS.lower() not in answer.body.decode().lower()


def _signed_in(member: Member) -> dict[str, str]:
    """The cookies of somebody who is signed in."""
    client = Client()
    client.force_login(member.user)
    return {name: cookie.value for name, cookie in client.cookies.items()}


def all_routes() -> list[str]:
    """Every route of the URL configuration, as it is written there."""
    return list(_routes(get_resolver().url_patterns, ""))


def _routes(patterns: list[URLPattern | URLResolver], before: str) -> Iterator[str]:
    for pattern in patterns:
        here = f"{before}{pattern.pattern}"
        if isinstance(pattern, URLResolver):
            yield from _routes(pattern.url_patterns, here)
        else:
            yield here


def _filled(route: str) -> str:
    """An address of a route of the back room; whether there is such a row does not matter."""
    plain = re.sub(r"\(\?P<\w+>([^()]*)\)", lambda found: found[1].split("|")[0], route)
    return PLACEHOLDER.sub("1", plain).replace("^", "").replace("$", "").replace(".*", "x/")
