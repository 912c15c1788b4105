"""The frame of the tablet's page: what the browser is told to keep, and when it is told anew."""

from __future__ import annotations

import json
import os
import posixpath
import re
from pathlib import Path

import pytest
from django.test import Client

from web.tablet import files
from yard.tablet_contract import CONTRACT, CONTRACT_HEADER

pytestmark = pytest.mark.django_db


def told_by_the_worker(client: Client) -> dict[str, object]:
    first_line = client.get("/tablet/sw.js").content.decode().partition("\n")[0]
    document: dict[str, object] = json.loads(first_line.removeprefix("self.FAYING = ").removesuffix(";"))
    return document


def test_the_page_has_a_strict_policy_of_its_own_and_nothing_inline(client: Client) -> None:
    for address in ("/tablet/", "/tablet/sw.js", "/tablet/manifest.webmanifest"):
        answer = client.get(address)
        policy = answer["Content-Security-Policy"]
        assert answer["Cache-Control"] == "no-cache"
        assert "default-src 'none'" in policy
        assert "script-src 'self'" in policy
        assert "worker-src 'self'" in policy
        assert "unsafe" not in policy
        assert "nonce" not in policy
    page = client.get("/tablet/").content.decode()
    assert "<style" not in page
    assert "style=" not in page
    assert page.count("<script") == page.count('<script type="module" src=') == 1


def test_the_worker_changes_with_any_byte_of_any_file(
    client: Client, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    static = tmp_path / "static"
    for name, text in {
        "web/tablet/app.js": "import './queue.js'",
        "web/tablet/parts/queue.js": "let a",
        "web/tablet/sw.js": "// the worker",
        "web/tablet/notes.txt": "not for the browser",
        **dict.fromkeys(files.SHARED, "letters"),
    }.items():
        (static / name).parent.mkdir(parents=True, exist_ok=True)
        (static / name).write_text(text)
    monkeypatch.setattr(files, "STATIC", static)
    before = told_by_the_worker(client)
    assert before == told_by_the_worker(client)
    addresses = [address for address, _ in before["files"]]  # type: ignore[attr-defined]
    assert addresses == [
        "/tablet/",
        "/static/web/tablet/app.js",
        "/static/web/tablet/parts/queue.js",
        *(f"/static/{name}" for name in files.SHARED),
    ]
    assert client.get("/tablet/sw.js").content.decode().endswith("\n// the worker")

    changed = static / "web/tablet/parts/queue.js"
    changed.write_text("let b")
    os.utime(changed, ns=(1, 1))
    after = told_by_the_worker(client)
    assert after["version"] != before["version"]
    assert dict(after["files"])["/static/web/tablet/app.js"] == dict(before["files"])["/static/web/tablet/app.js"]  # type: ignore[call-overload]
    assert f'data-version="{after["version"]}"' in client.get("/tablet/").content.decode()


def test_everything_the_page_shows_with_is_on_the_tablet(client: Client) -> None:
    """Sheets that the page links and letters that those name: one that is not would be missing in the boat."""
    there = {address for address, _ in told_by_the_worker(client)["files"]}  # type: ignore[attr-defined]
    page = client.get("/tablet/").content.decode()
    sheets = re.findall(r'<link rel="stylesheet" href="([^"]+)"', page)
    assert [Path(sheet).name for sheet in sheets] == ["paper.css", "app.css"]
    named = set(sheets)
    for sheet in sheets:
        text = (files.STATIC / sheet.removeprefix("/static/")).read_text()
        named |= {posixpath.normpath(posixpath.join(posixpath.dirname(sheet), url)) for url in _urls(text)}
    assert len(named) > len(sheets)
    assert named <= there


def _urls(sheet: str) -> list[str]:
    return [url for url in re.findall(r'url\("([^"]+)"\)', sheet) if not url.startswith("data:")]


def test_what_the_manifest_names_is_there(client: Client) -> None:
    document = client.get("/tablet/manifest.webmanifest").json()
    assert document["start_url"] == document["scope"] == "/tablet/"
    for icon in document["icons"]:
        assert (files.STATIC / icon["src"].removeprefix("/static/")).exists()


def test_the_server_can_be_told_from_a_captive_portal(client: Client) -> None:
    answer = client.get("/api/v1/tablet/")
    assert answer[CONTRACT_HEADER] == str(CONTRACT)
    assert answer.json()["contract"] == CONTRACT
    assert answer.json()["server_time"].startswith("2027-04")
    assert client.get("/api/v1/inspections/")[CONTRACT_HEADER] == str(CONTRACT), "a refusal says so too"
    assert CONTRACT_HEADER not in client.get("/season/").headers
