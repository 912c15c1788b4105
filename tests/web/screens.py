"""Headless Chromium as somebody holds it: phone, tablet, desk; watched for what a strict policy forbids."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, Literal

import axe_playwright_python
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect

from tests.factories.yard import PASSWORD
from yard.models import Member

FLAGS: Final = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
]
# A machine that runs other tests beside may be slow to draw the docs; nothing is gained by giving up early.
PATIENCE_MS: Final = 60_000
expect.set_options(timeout=PATIENCE_MS)
AXE: Final = Path(axe_playwright_python.__file__).with_name("axe.min.js")
WCAG: Final = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SIZES: Final[dict[str, tuple[int, int]]] = {
    "phone": (390, 844),
    "narrow": (320, 640),
    "tablet": (800, 1100),
    "laptop": (1024, 768),
    "desk": (1280, 900),
}
# Links in running text are as large as their words, and the standard lets them be (WCAG 2.2, 2.5.8).
PRESSED: Final = "button, summary, select, nav a, .tick, input:not([type=hidden]):not(.tick input)"
Scheme = Literal["light", "dark"]


def chromium(playwright: Playwright) -> Browser:
    """The machine's Chromium; FAYING_CHROMIUM says where it is."""
    return playwright.chromium.launch(
        executable_path=os.environ.get("FAYING_CHROMIUM", "/usr/bin/chromium"), args=FLAGS
    )


def wait_for_worker(page: Page) -> None:
    """Until the page's service worker stands ready. One that never comes is given up by the page itself: a browser
    can be told no patience for what a page promises."""
    page.evaluate(
        "patience => Promise.race([navigator.serviceWorker.ready.then(() => null), new Promise("
        "(_, refuse) => setTimeout(() => refuse(new Error('no service worker came')), patience))])",
        PATIENCE_MS,
    )


class Screen:
    """A browser window. What it complains about, and where it goes, is kept."""

    def __init__(self, context: BrowserContext, site: str, *, policy: bool = True) -> None:
        self.policy = policy
        self.context = context
        self.site = site
        self.complaints: list[str] = []
        self.strangers: list[str] = []
        self.page: Page = context.new_page()
        self.page.on("console", lambda message: self._heard(message.type, message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("request", lambda request: self._asked(request.url))

    def open(self, address: str) -> Page:
        """Go to an address of the site; its status must be a good one."""
        answer = self.page.goto(address if address.startswith("http") else self.site + address)
        assert answer is not None
        assert answer.ok, (answer.status, address)
        return self.page

    def sign_in(self, member: Member) -> Page:
        self.open("/sign-in/")
        self.page.get_by_label("Name").fill(member.user.username)
        self.page.get_by_label("Password").fill(PASSWORD)
        self.page.get_by_role("button", name="Sign in", exact=True).click()
        self.page.wait_for_url(lambda url: "/sign-in/" not in url)
        return self.page

    def look(self, size: str, scheme: Scheme = "light") -> None:
        """Hold the page as it stands in a window of another size and scheme, without loading it again."""
        width, height = SIZES[size]
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.emulate_media(color_scheme=scheme)

    def open_all(self) -> None:
        """Open whatever is folded."""
        self.page.locator("details").evaluate_all("all => all.forEach(details => { details.open = true })")

    def overflows(self) -> bool:
        """Whether the page is wider than the window, so that reading it means scrolling both ways."""
        return bool(self.page.evaluate("document.documentElement.scrollWidth > window.innerWidth"))

    def violations(self) -> list[str]:
        """What axe-core objects to on the page as it stands."""
        if not self.page.evaluate("typeof window.axe !== 'undefined'"):
            if self.policy:  # by the browser's own door, which no policy shuts
                self.page.evaluate(AXE.read_text(encoding="utf-8"))
            else:  # as a tag, before which a page that draws itself is drawn
                self.page.add_script_tag(path=str(AXE))
        found: dict[str, Any] = self.page.evaluate(
            f"axe.run(document, {{runOnly: {json.dumps(WCAG)}, resultTypes: ['violations']}})"
        )
        return [
            f"{rule['id']}: {node['target']} {node['failureSummary']}"
            for rule in found["violations"]
            for node in rule["nodes"]
        ]

    def small_targets(self, least: float = 44.0) -> list[str]:
        """Things to press, links in running text apart, that are smaller than a finger."""
        small: list[str] = self.page.locator(PRESSED).evaluate_all(
            """(things, least) => things
                .map(thing => [thing, thing.getBoundingClientRect()])
                .filter(([thing, { width, height }]) => thing.checkVisibility({ visibilityProperty: true })
                    && width > 0 && height > 0 && (width < least || height < least))
                .map(([thing, { width, height }]) =>
                    `${(thing.textContent || thing.name || "").trim().slice(0, 40)} ${width} × ${height}`)""",
            least,
        )
        return small

    def _heard(self, kind: str, text: str) -> None:
        if kind in ("error", "warning") and not text.startswith("Failed to load resource"):
            self.complaints.append(text)

    def _asked(self, address: str) -> None:
        if not address.startswith((self.site, "data:", f"blob:{self.site}")):
            self.strangers.append(address)


@contextmanager
def screen(
    browser: Browser,
    site: str,
    size: str,
    *,
    scheme: Scheme = "light",
    scripts: bool = True,
    policy: bool = True,
    touch: bool = False,
) -> Iterator[Screen]:
    """A window of a size; when it closes it must have had nothing to complain about, and have gone nowhere else.

    Args:
        policy: keep to the content security policy; only a checker that brings its own script may go without.
    """
    width, height = SIZES[size]
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme=scheme,
        java_script_enabled=scripts,
        bypass_csp=not policy,
        has_touch=touch,
        is_mobile=touch,
        locale="en-GB",
        timezone_id="Europe/Copenhagen",
    )
    context.set_default_timeout(PATIENCE_MS)
    opened = Screen(context, site, policy=policy)
    try:
        yield opened
    finally:
        context.close()
    assert opened.complaints == []
    assert opened.strangers == []


__all__ = ["AXE", "PATIENCE_MS", "SIZES", "Scheme", "Screen", "chromium", "screen"]
