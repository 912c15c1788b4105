"""A technician's hands on the tablet's page: what is pressed and typed, in the order of the day."""

from __future__ import annotations

import contextlib
import os
import re
import signal
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.factories.yard import PASSWORD
from tests.processes import command_of, wait_until
from tests.tablet.boat import Saying, files
from tests.web.screens import FLAGS, PATIENCE_MS, wait_for_worker
from yard.models import Member

TABLET: Final = {"width": 800, "height": 1100}
WRONG_CLOCK = """(() => {
  const real = Date, off = %d;
  class Wrong extends real {
    constructor(...given) { given.length ? super(...given) : super(real.now() + off); }
    static now() { return real.now() + off; }
  }
  globalThis.Date = Wrong;
})()"""
KEPT_PHOTOS = """async () => {
  const base = await new Promise((done) => {
    const asked = indexedDB.open("faying-tablet");
    asked.onsuccess = () => done(asked.result);
  });
  const all = await new Promise((done) => {
    const asked = base.transaction("photos").objectStore("photos").getAll();
    asked.onsuccess = () => done(asked.result);
  });
  base.close();
  const hex = (bytes) => Array.from(new Uint8Array(bytes), (byte) => byte.toString(16).padStart(2, "0")).join("");
  const digest = async (blob) => hex(await crypto.subtle.digest("SHA-256", await blob.arrayBuffer()));
  return Promise.all(all.map(async ({ sha256, blob }) => [sha256, await digest(blob)]));
}"""


@dataclass
class Hands:
    """One tablet in somebody's hands.

    Args:
        folder: of the browser's own, so that the tablet is the same when it is started again.
        complaints: what the page could not do.
    """

    browser: Browser
    site: str
    folder: Path
    clock_off_ms: int = 0
    complaints: list[str] = field(default_factory=list)
    context: BrowserContext = field(init=False)
    page: Page = field(init=False)

    def switch_on(self, *, offline: bool = False) -> None:
        """Start the browser on this tablet and open the page."""
        self.context = self.browser.browser_type.launch_persistent_context(
            self.folder,
            executable_path=os.environ.get("FAYING_CHROMIUM", "/usr/bin/chromium"),
            args=FLAGS,
            viewport=TABLET,  # type: ignore[arg-type]
            has_touch=True,
            locale="en-GB",
            timezone_id="Europe/Copenhagen",
        )
        self.context.set_default_timeout(PATIENCE_MS)
        if self.clock_off_ms:
            self.context.add_init_script(WRONG_CLOCK % self.clock_off_ms)
        self.context.set_offline(offline)
        self.page = self.context.pages[0]
        self.page.on("console", lambda message: self._heard(message.type, message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.goto(f"{self.site}/tablet/")
        expect(self.heading).to_be_visible()

    def kill(self) -> None:
        """The battery goes: kill -9 of every process of this browser."""
        mine = [int(entry.name) for entry in Path("/proc").iterdir() if entry.name.isdigit()]
        mine = [process_id for process_id in mine if str(self.folder) in command_of(process_id)]
        assert mine
        for process_id in mine:
            with contextlib.suppress(ProcessLookupError):
                os.kill(process_id, signal.SIGKILL)
        wait_until(lambda: not any(command_of(one) for one in mine), seconds=20, what="the browser is gone")
        with contextlib.suppress(Exception):
            self.context.close()
        for lock in self.folder.glob("Singleton*"):
            lock.unlink(missing_ok=True)

    def _heard(self, kind: str, text: str) -> None:
        if kind in ("error", "warning") and not text.startswith("Failed to load resource"):
            self.complaints.append(text)

    # --- ashore ---------------------------------------------------------------------------------------------------

    def sign_in_by_code(self, code: str, name: str) -> None:
        self.page.get_by_label("Code from the office").fill(code)
        self.page.get_by_label("What the tablet is called").fill("Tablet 1")
        self.page.get_by_role("button", name="Sign in").click()
        self.page.get_by_role("button", name=name).click()
        expect(self.heading).to_have_text("Today")

    def sign_in_by_password(self, member: Member) -> None:
        self.page.get_by_role("link", name="Sign in with name and password").click()
        self.page.get_by_label("Name", exact=True).fill(member.user.username)
        self.page.get_by_label("Password").fill(PASSWORD)
        self.page.get_by_label("What the tablet is called").fill("Tablet 2")
        self.page.get_by_role("button", name="Sign in").click()
        expect(self.heading).to_have_text("Today")

    def fetch(self, boat: str) -> None:
        self.page.get_by_role("button", name=f"Fetch this boat: {boat}").click()
        expect(self.page.get_by_text(f"{boat} is on this tablet.")).to_be_visible()

    def wait_for_worker(self) -> None:
        """The page is on the tablet, to start without a network."""
        wait_for_worker(self.page)

    # --- aboard ---------------------------------------------------------------------------------------------------

    @property
    def heading(self) -> Any:
        return self.page.get_by_role("heading", level=1)

    @property
    def status(self) -> Any:
        return self.page.locator("a.status")

    def go(self, address: str) -> None:
        self.page.evaluate("address => { location.hash = address }", address)

    def open_up(self) -> None:
        """Do the one thing there is to do: the linings come off."""
        self.page.get_by_role("button", name="Done").first.click()
        expect(self.page.get_by_text("Everything is said.")).to_be_visible()

    def check_shown(self) -> int | None:
        """Id of the check that the page asks about now; None at the end of the round."""
        found = re.search(r"/check/(\d+)", self.page.url)
        return int(found[1]) if found else None

    def say(self, saying: Saying) -> None:
        """Answer the check that is shown, and wait until the page says that it is kept."""
        asked = self.page.url
        if saying.first_sound:
            self.page.locator("#sound").click()
            self.page.get_by_role("button", name="Undo").click()
            expect(self.page.get_by_text("Taken back:")).to_be_visible()
        if saying.answer == "finding":
            self.find(saying)
            self.page.locator("#keep").click()
        elif saying.answer == "not_seen":
            self.page.locator("#not-seen").click()
            self.page.get_by_label("What hid it?").fill(saying.reason)
            self.page.locator("#keep").click()
        elif saying.answer == "not_fitted":
            self.page.locator("#not-fitted").click()
        else:
            if saying.reading:
                self.page.locator("#reading").fill(saying.reading)
            if saying.warm:
                self.page.locator("#warm").fill(saying.warm)
            self.page.locator("#sound").click()
        self.page.wait_for_function(
            "asked => location.href !== asked && !location.hash.includes('finding')"
            " && document.querySelector('.said').textContent.startsWith('Kept: ')"
            " && !document.querySelector('.foot').inert",
            arg=asked,
        )

    def find(self, saying: Saying) -> None:
        """Fill the page of a finding, without keeping it yet."""
        page = self.page
        page.locator("#finding").click()
        for sign in saying.signs:
            key = page.locator(f"input[name=sign][value={sign}]")
            expect(key).to_be_attached()
            if not key.is_visible():
                page.get_by_text(re.compile(r"^\d+ more signs?$")).click()
            key.check()
        page.locator("#size").fill(saying.size)
        if saying.sides:
            page.locator(f"input[name=sides][value={saying.sides}]").check()
        if saying.photos:
            page.locator("#library").set_input_files(files(saying.photos))
            expect(page.locator(".taken li")).to_have_count(len(saying.photos))
        if saying.tag:
            page.locator("#tag").fill(f"{saying.tag[:4]}-{saying.tag[4:]}".lower())
            expect(page.get_by_text("is good.")).to_be_visible()
        if saying.spot_name:
            page.locator("#spot-name").fill(saying.spot_name)
        if saying.on_plan:
            page.get_by_text("Place it on the plan").click()
            page.get_by_role("button", name="To port").click()
            page.get_by_role("button", name="Forward").click()
        if saying.note:
            page.get_by_label("Note").fill(saying.note)

    def photos_kept(self) -> dict[str, str]:
        """Digest of each photo on the tablet as it was noted, and as it is when its bytes are read again."""
        return dict(self.page.evaluate(KEPT_PHOTOS))


__all__ = ["Hands"]
