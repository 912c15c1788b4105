"""A quote whose report has some twenty pages and forty photos, laid in the tables as the worker finds it."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from io import BytesIO

from PIL import Image, ImageDraw

from inspections.services.photos import photo_prepare, photo_receive
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import Quote

FINDINGS, PHOTOS_EACH, UNSEEN = 20, 2, 4
PRIORITIES = ("before_launch", "this_season", "next_layup", "watch")
PARTS = (
    "Window frame", "Laid deck", "Boom", "Mast step", "Garboard",
    "Transom", "Rail", "Hatch", "Bitts", "Rudder stock",
)  # fmt: skip


def the_quote(*, prepared: bool, findings: int = FINDINGS, width: int = 3000) -> Quote:
    """Findings with two photos each, jobs for three quarters of them, four places not seen; sent.

    Args:
        prepared: whether the worker has made the photos small already, as it does when they arrive.
        findings: how many.
        width: of a photo as it came [pixels].
    """
    spring = a_spring()
    for number in range(findings):
        side = ("port side", "starboard side")[number // len(PARTS) % 2]
        bay = number // (2 * len(PARTS))
        part = spring.component(PARTS[number % len(PARTS)], f"{side}, bay {bay}" if bay else side)
        if number % 2:
            spring.opening(part, f"lining {number}", "Take down the lining under the side deck.")
        priority = PRIORITIES[number % len(PRIORITIES)]
        treatments = () if priority == "watch" else (("REBED_SEALANT", "SEAM")[number % 2],)
        photos = [
            _photo(spring, picture(number * PHOTOS_EACH + each, width), prepared) for each in range(PHOTOS_EACH)
        ]
        spring.finding(part, *treatments, priority=priority, photos=photos, severity=1 + number % 4)
    for number in range(UNSEEN):
        spring.not_seen(spring.component("Cabin sole", f"bay {number + 1}"))
    return spring.sent()


def _photo(spring: Spring, data: bytes, prepared: bool) -> str:
    """A photo as a tablet sends it, taken in."""
    sha256 = hashlib.sha256(data).hexdigest()
    photo, _ = photo_receive(yard=spring.yard, sha256=sha256, data=data, by=spring.technician, at=AT)
    if prepared:
        finish = photo_prepare(photo.pk)
        assert finish is not None
        finish(AT)
    return sha256


@lru_cache
def picture(number: int, width: int) -> bytes:
    """A photo with grain, so that its file is as large as a camera's."""
    height = width * 3 // 4
    grain = Image.effect_noise((width // 3, height // 3), 42 + number % 7).resize((width, height))
    wood = Image.merge(
        "RGB", [grain.point([level * part // 100 for level in range(256)]) for part in (100, 74, 50)]
    )
    draw = ImageDraw.Draw(wood)
    for line in range(-height, height, 90):
        draw.line((0, line + 11 * number, width, line + 240), fill=(96, 62, 34), width=5)
    draw.ellipse((width // 3, height // 3, width // 3 + 300 + 9 * number, height // 2), fill=(44, 34, 26))
    file = BytesIO()
    wood.save(file, "JPEG", quality=85)
    return file.getvalue()


__all__ = ["FINDINGS", "PHOTOS_EACH", "the_quote"]
