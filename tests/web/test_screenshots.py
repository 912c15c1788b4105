"""Draws the main pages with the demo yard in them: all of them into var/screenshots, small ones for the README.

`make screenshots` runs this. The day is a fixed one, so that the pictures change only when the pages do.
"""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Browser
from pytest_django.live_server_helper import LiveServer

from inspections.models import Finding, Template
from tests.web.conftest import NOW
from tests.web.demo_spring import DemoSpring, demo_spring
from tests.web.screens import Scheme, Screen, screen
from workshop.models import OwnerLink, Quote
from workshop.services.links import link_token

pytestmark = [pytest.mark.screenshots, pytest.mark.django_db(transaction=True)]

TREE = Path(__file__).resolve().parents[2]
FOLDER = TREE / "var" / "screenshots"
FOR_THE_README = TREE / "tests" / "screenshots"
LARGEST_BYTES = 200_000


@pytest.fixture
def laid() -> DemoSpring:
    FOLDER.mkdir(parents=True, exist_ok=True)
    FOR_THE_README.mkdir(parents=True, exist_ok=True)
    return demo_spring(NOW)


def ready(window: Screen, address: str) -> None:
    """Go there and wait until letters and pictures are drawn, those below the fold too."""
    window.page.goto(f"{window.site}{address}")
    window.page.evaluate(
        """async () => {
          for (const image of document.images) image.loading = "eager";
          await Promise.all([...document.images].map((image) => image.decode()));
          await document.fonts.ready;
        }"""
    )


def draw(window: Screen, address: str, name: str) -> None:
    ready(window, address)
    window.page.screenshot(path=FOLDER / f"{name}.png", full_page=True)


def draw_small(window: Screen, address: str, name: str, *, part: str, most: int) -> None:
    """A part of a page from its top, in few colours, for the README."""
    ready(window, address)
    box = window.page.locator(part).bounding_box()
    size = window.page.viewport_size
    assert box is not None
    assert size is not None
    clip = {"x": 0.0, "y": box["y"], "width": float(size["width"]), "height": min(box["height"], most)}
    seen = window.page.screenshot(full_page=True, clip=clip)  # type: ignore[arg-type]
    keep_small(seen, name)


def keep_small(seen: bytes, name: str) -> None:
    path = FOR_THE_README / f"{name}.png"
    Image.open(io.BytesIO(seen)).convert("RGB").quantize(colors=128).save(path, optimize=True)
    assert path.stat().st_size <= LARGEST_BYTES


def test_the_main_pages_are_drawn(browser: Browser, live_server: LiveServer, laid: DemoSpring) -> None:
    sent = [quote for quote in laid.quotes.values() if quote.state == Quote.State.SENT]
    most = max(sent, key=lambda quote: quote.lines.count())
    draft = next(quote for quote in laid.quotes.values() if quote.state == Quote.State.DRAFT)
    finding = Finding.objects.filter(inspection=most.inspection).order_by("pk")[0]
    old = Finding.objects.filter(state=Finding.State.SEEN_AGAIN).order_by("pk")[0]
    template = Template.objects.filter(yard=most.yard).order_by("title")[0]
    office = {
        "season": "/season/",
        "findings": "/findings/?show=all",
        "set-aside": "/findings/set-aside/",
        "due-back": "/due-back/",
        "calendars": "/due-back/calendars/",
        "picking-list": "/picking-list/",
        "boats": "/boats/",
        "boat": f"/boats/{most.boat_id}/",
        "boat-parts": f"/boats/{most.boat_id}/parts/",
        "fleet": "/boats/fleet/",
        "owners": "/owners/",
        "spot": f"/spots/{old.spot_id}/",
        "finding": f"/findings/{finding.pk}/",
        "inspection": f"/inspections/{most.inspection_id}/",
        "quotes": "/quotes/",
        "quote": f"/quotes/{most.pk}/",
        "quote-draft": f"/quotes/{draft.pk}/",
        "preview": f"/quotes/{draft.pk}/preview/",
        "job": f"/jobs/{most.lines.order_by('pk')[0].job_id}/",
        "templates": "/templates/",
        "template": f"/templates/{template.pk}/",
        "search": "/search/?q=salt",
        "people": "/people/",
        "owner-links": "/people/links/",
        "who-did-what": "/audit/",
        "tablets": "/tablets/",
        "log-in": "/log-in/",
        "settings": "/settings/",
        "settings-money": "/settings/money/",
        "settings-seasons": "/settings/seasons/",
        "settings-rules": "/settings/rules/",
        "outbox": "/outbox/",
    }
    letter = reverse("web:owner-quote", args=[link_token(OwnerLink.objects.get(quote=most))])
    looks: list[tuple[str, Scheme]] = [("desk", "light"), ("desk", "dark"), ("tablet", "light"), ("phone", "light")]
    for size, scheme in looks:
        with screen(browser, live_server.url, size, scheme=scheme) as window:
            window.open("/sign-in/")
            draw(window, "/sign-in/", f"sign-in-{size}-{scheme}")
            window.sign_in(laid.manager)
            for name, address in office.items():
                draw(window, address, f"{name}-{size}-{scheme}")
            if (size, scheme) == ("desk", "light"):
                draw_small(window, office["season"], "season", part="body", most=1900)
                window.page.emulate_media(media="print")
                for name in ("season", "due-back", "inspection"):
                    draw(window, office[name], f"{name}-print")
    for size, scheme in [*looks, ("phone", "dark")]:
        with screen(browser, live_server.url, size, scheme=scheme) as window:
            draw(window, letter, f"owner-{size}-{scheme}")
    with screen(browser, live_server.url, "phone") as phone:
        draw_small(phone, letter, "owner", part="#question-1", most=2400)
