"""A technician's whole day against the real service: offline, killed, answered late, twice and by strangers.

Afterwards the yard's rows are held one by one against what was typed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from shutil import copytree

import pytest
from django.utils import timezone
from PIL import Image
from playwright.sync_api import Browser, expect

from inspections.models import Assessment, Entry, EntryPhoto, Finding, Photo, StepEntry
from tests.processes import PROJECT, Fleet, Started, fleet, free_port, own_broker, wait_until
from tests.tablet.boat import Moored, Saying, day_of, moored
from tests.tablet.hands import Hands
from tests.tablet.weather import Weather, weather_before
from yard.services.device_codes import device_code_make

pytestmark = [
    pytest.mark.serial,
    pytest.mark.browser,
    pytest.mark.needs_postgres,
    pytest.mark.needs_redis,
    pytest.mark.django_db(transaction=True),
]

A_DAY_MS = 86_400_000
FAR = 60.0


@pytest.fixture
def processes(transactional_db: None, tmp_path: Path) -> Iterator[Fleet]:
    with own_broker(tmp_path) as broker, fleet(tmp_path, broker_url=broker.url) as one:
        # What `serve` would collect: the page's files are all that is asked for here.
        copytree(PROJECT / "web/static/web", tmp_path / "var/static/web")
        yield one


@pytest.mark.timeout(900)  # sixty checks and twenty photos by hand
def test_a_day_on_board_loses_nothing_and_doubles_nothing(
    processes: Fleet, browser: Browser, tmp_path: Path
) -> None:
    boat = moored(timezone.now())
    port = free_port()
    web = processes.serve(port=port)
    said = day_of(boat.checks)
    with weather_before(port) as weather:
        tablet = Hands(browser, weather.site, tmp_path / "tablet")
        begin_ashore(tablet, boat)
        work_offline_and_be_killed(tablet, said)
        colleague = Hands(browser, weather.site, tmp_path / "other", clock_off_ms=A_DAY_MS)
        others = two_at_once(colleague, boat, said)
        kept = tablet.photos_kept()
        come_ashore(tablet, weather, processes, web, port)
        hold_against_the_yard(boat, said, others)
        hold_the_photos(boat, said, kept, tmp_path / "var/media")
        assert max(weather.entries.values()) > 1  # a delivery was repeated,
        assert [begun.split()[0] for begun in weather.lost] == ["POST", "PUT"]  # and a photo's answer lost
        close(tablet, boat)
        for one in (tablet, colleague):
            one.context.close()
            assert one.complaints == []


def begin_ashore(tablet: Hands, boat: Moored) -> None:
    code = device_code_make(by=boat.manager, device_name="", at=timezone.now())[1]
    tablet.switch_on()
    tablet.sign_in_by_code(code.lower(), boat.technician.name)
    tablet.fetch("Oda Marie")
    tablet.wait_for_worker()


def work_offline_and_be_killed(tablet: Hands, said: dict[int, Saying]) -> None:
    """The round without a network, in an order that the page gives; in the middle the battery goes."""
    tablet.context.set_offline(True)
    tablet.page.reload()  # the page starts from the tablet
    tablet.page.get_by_role("link", name="Go aboard: Oda Marie").click()
    tablet.open_up()
    tablet.page.get_by_role("link", name="On to the round").click()
    tablet.page.locator("#next").click()
    done: list[int] = []
    killed, found, findings = False, 0, sum(one.answer == "finding" for one in said.values())
    while (check := tablet.check_shown()) is not None:
        assert check not in done
        found += said[check].answer == "finding"
        if not killed and found > findings // 2:
            tablet.find(said[check])
            killed = True
            # A draft is written at each press; the last one has half a second to reach the disk.
            tablet.page.wait_for_timeout(500)
            tablet.kill()
            tablet.switch_on(offline=True)
            expect(tablet.status).to_contain_text(f"{len(done) + 1} kept on this tablet")  # the opening up is one
            tablet.page.get_by_role("link", name="Go aboard: Oda Marie").click()
            tablet.page.locator("#next").click()
            assert tablet.check_shown() == check
            tablet.page.locator("#finding").click()
            expect(tablet.page.get_by_text("You had begun this finding.")).to_be_visible()
            shown = tablet.page.url
            tablet.page.locator("#keep").click()
            tablet.page.wait_for_function("shown => location.href !== shown", arg=shown)
        else:
            tablet.say(said[check])
        done.append(check)
    assert killed
    assert sorted(done) == sorted(said)
    photos = sum(len(one.photos) for one in said.values())
    expect(tablet.status).to_contain_text(
        f"{len(said) + 1} kept on this tablet, 0 at the yard, {photos} photos waiting"
    )


def two_at_once(colleague: Hands, boat: Moored, said: dict[int, Saying]) -> dict[int, Saying]:
    """A colleague with a tablet whose clock is a day fast answers three of the same checks meanwhile."""
    code = device_code_make(by=boat.manager, device_name="", at=timezone.now())[1]
    colleague.switch_on()
    colleague.sign_in_by_code(code, boat.colleague.name)
    expect(colleague.page.get_by_text("The tablet's clock is 1440 minutes off.")).to_be_visible()
    colleague.fetch("Oda Marie")
    others = {check: Saying("not_seen", reason=f"too dark {check}") for check in list(said)[:3]}
    for check, saying in others.items():
        colleague.go(f"/boat/{boat.inspection.pk}/check/{check}")
        expect(colleague.page.locator("#not-seen")).to_be_visible()
        colleague.say(saying)
    expect(colleague.status).to_contain_text("0 kept on this tablet, 3 at the yard")
    return others


def come_ashore(tablet: Hands, weather: Weather, processes: Fleet, web: Started, port: int) -> None:
    """First a stranger's network, then answers get lost, then the service goes in the middle; then it is fair."""
    before = Entry.objects.count()
    weather.kind = "portal"
    tablet.context.set_offline(False)
    tablet.go("/kept")
    tablet.page.locator("#try").click()
    expect(tablet.page.locator(".warnings")).to_contain_text("This network answers in the yard's place.")
    assert Entry.objects.count() == before
    weather.lose = ["POST /api/v1/inspections/", "PUT /api/v1/photos/"]
    weather.at_photo = (5, web.kill_tree)
    weather.kind = "fair"
    tablet.page.locator("#try").click()
    wait_until(lambda: Entry.objects.count() > before, seconds=FAR, what="the first batch")
    while web.process.poll() is None:
        tablet.page.locator("#try").click()
        tablet.page.wait_for_timeout(200)
    assert Photo.objects.count() < 20
    expect(tablet.page.locator(".warnings")).to_contain_text("does not answer properly")
    processes.serve(port=port)
    tablet.page.locator("#try").click()
    expect(tablet.status).to_contain_text("0 kept on this tablet, 61 at the yard, last contact", timeout=60_000)


def hold_against_the_yard(boat: Moored, said: dict[int, Saying], others: dict[int, Saying]) -> None:
    """Row by row: nothing lost, nothing twice, every word and figure as it was typed."""
    rows = list(Entry.objects.filter(inspection=boat.inspection).prefetch_related("readings", "photo_names"))
    mine = {row.answers_id: row for row in rows if row.author_id == boat.technician.pk}
    theirs = {row.answers_id: row for row in rows if row.author_id == boat.colleague.pk}
    assert (len(rows), set(mine), set(theirs)) == (len(said) + len(others), set(said), set(others))
    for check, saying in said.items():
        assert told(mine[check], saying) == typed(saying), check
    for check, saying in others.items():
        assert told(theirs[check], saying) == typed(saying)
        assert theirs[check].observed_at < timezone.now() + timedelta(minutes=1)  # not the wrong clock's tomorrow
        by_the_device = theirs[check].device_clock_at
        assert by_the_device is not None
        assert by_the_device > timezone.now() + timedelta(hours=23)
        assert not mine[check].superseded_by.exists()  # both records are kept
    sequence = [row.sequence or 0 for row in sorted(mine.values(), key=lambda row: row.observed_at)]
    assert sequence == sorted(sequence)
    assert [deed.author for deed in StepEntry.objects.all()] == [boat.technician]  # one deed for all the linings
    assert Finding.objects.filter(inspection=boat.inspection).count() == 12
    wait_until(lambda: Assessment.objects.count() >= 12, seconds=FAR, what="the worker judges what was found")


def hold_the_photos(boat: Moored, said: dict[int, Saying], kept: dict[str, str], media: Path) -> None:
    """Every photo is at the yard to the byte, named by its entry, upright, without the place it was taken at."""
    photos = {photo.sha256: photo for photo in Photo.objects.of_yard(boat.yard)}
    named = EntryPhoto.objects.filter(entry__inspection=boat.inspection).values_list("sha256", flat=True)
    assert all(noted == read_again for noted, read_again in kept.items())
    assert len(kept) == 20
    assert sorted(named) == sorted(photos) == sorted(kept)
    for sha256, photo in photos.items():
        file = media / str(photo.file.name)
        assert hashlib.sha256(file.read_bytes()).hexdigest() == sha256
        with Image.open(file) as image:
            assert not image.getexif()
    check = next(check for check, saying in said.items() if saying.turned)
    first = EntryPhoto.objects.get(entry__answers=check, entry__author=boat.technician, position=0)
    # Of 3200 × 2400 on its side: upright, and as long as is needed.
    assert (photos[first.sha256].width_px, photos[first.sha256].height_px) == (1920, 2560)


def told(row: Entry, saying: Saying) -> dict[str, object]:
    spot = row.spot
    return {
        "answer": row.answer,
        "reason": row.not_seen_reason,
        "signs": sorted(row.signs),
        "size": row.size_mm,
        "sides": row.sides,
        "note": row.note,
        "readings": [(one.quantity, one.value, one.unit, one.wood_temperature_c) for one in row.readings.all()],
        "photos": row.photo_names.count(),
        "tag": spot.tag if spot and saying.tag else "",  # without a sticker the yard makes one
        "spot": spot.name if spot and row.answer == "finding" else "",
        "on_plan": (spot.plan_x, spot.plan_y) if spot and row.answer == "finding" else (None, None),
    }


def typed(saying: Saying) -> dict[str, object]:
    warm = Decimal(saying.warm) if saying.warm else None
    return {
        "answer": saying.answer,
        "reason": saying.reason,
        "signs": sorted(saying.signs),
        "size": Decimal(saying.size) if saying.size else None,
        "sides": saying.sides,
        "note": saying.note,
        "readings": [("moisture_pct", Decimal(saying.reading), "pct", warm)] if saying.reading else [],
        "photos": len(saying.photos),
        "tag": saying.tag,
        "spot": saying.spot_name or ("midships, centre line" if saying.on_plan else ""),
        "on_plan": (475, 475) if saying.on_plan else (None, None),
    }


def close(tablet: Hands, boat: Moored) -> None:
    tablet.go(f"/boat/{boat.inspection.pk}/finish")
    expect(tablet.page.get_by_text("Every check has its answer.")).to_be_visible()
    tablet.page.locator("#close").click()
    expect(tablet.page.get_by_text("The inspection of Oda Marie is closed.")).to_be_visible()
    boat.inspection.refresh_from_db()
    assert boat.inspection.closed_at is not None
    assert boat.inspection.closed_by == boat.technician
