"""A boat with sixty places to look at, and what somebody is going to say of each."""

from __future__ import annotations

import io
import random
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from PIL import Image

from inspections.models import Check, Inspection
from inspections.services.inspections import inspection_open
from tests.factories import (
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    MemberFactory,
    TechnicianFactory,
    TemplateFactory,
    TemplateVersionFactory,
    YardFactory,
)
from tests.factories.inspections import signs_of
from yard.models import Member, Yard
from yard.tag_codes import tag_new

PARTS = 30
ORIENTATION, GPS = 0x0112, 0x8825
TURNED_RIGHT = 6


@dataclass
class Moored:
    """The yard, its people and the boat under inspection: thirty window frames, two checks each."""

    yard: Yard
    manager: Member
    technician: Member
    colleague: Member
    inspection: Inspection

    @property
    def checks(self) -> list[Check]:
        return list(Check.objects.filter(inspection=self.inspection).order_by("pk"))


def moored(at: datetime, parts: int = PARTS) -> Moored:
    yard = YardFactory.create()
    signs_of(yard)
    frame = ComponentClassFactory.create(yard=yard)
    TemplateVersionFactory.create(template=TemplateFactory.create(component_class=frame))
    boat = BoatFactory.create(yard=yard, name="Oda Marie")
    for number in range(1, parts + 1):
        ComponentFactory.create(boat=boat, component_class=frame, name=f"Window frame {number:02}", position="")
    season_year = at.year if at.month < 10 else at.year + 1
    return Moored(
        yard=yard,
        manager=MemberFactory.create(yard=yard, name="Karen Strand"),
        technician=TechnicianFactory.create(yard=yard, name="Jens Holm"),
        colleague=TechnicianFactory.create(yard=yard, name="Ane Lund"),
        inspection=inspection_open(boat=boat, season_year=season_year, at=at - timedelta(days=1), by=None),
    )


@dataclass
class Saying:
    """What is typed for one check.

    Args:
        first_sound: a slip of the thumb, taken back before this.
        turned: the first photo is large, lies on its side and says where it was taken.
    """

    answer: str
    reading: str = ""
    warm: str = ""
    reason: str = ""
    signs: tuple[str, ...] = ()
    size: str = ""
    sides: str = ""
    note: str = ""
    tag: str = ""
    spot_name: str = ""
    on_plan: bool = False
    photos: list[bytes] = field(default_factory=list)
    first_sound: bool = False
    turned: bool = False


def day_of(checks: list[Check], *, findings: int = 12, photos: int = 20) -> dict[int, Saying]:
    """What the technician will say of each check: 12 findings with 20 photos, some not seen, the rest sound."""
    chance = random.Random(1887)
    said: dict[int, Saying] = {}
    looked_at = [check for check in checks if check.answer_kind == "signs"]
    found = looked_at[:: max(1, len(looked_at) // findings)][:findings]
    left = photos
    for check in checks:
        number = len(said)
        if check in found:
            place = found.index(check)
            share = min(left, 2 if place < photos - findings else 1)
            left -= share
            said[check.pk] = Saying(
                "finding",
                signs=(("CRACK_WOOD",), ("GAP_JOINT", "SOFT_PROBE"), ("VARN_MATTE",))[place % 3],
                size=str(20 + 5 * place),
                sides=("one", "both", "")[place % 3],
                note=f"Slip {place}: dunkle Naht, åpen fuge – 100 %" if place % 2 else "",
                tag=tag_new(chance) if place % 4 == 0 else "",
                spot_name=f"lower corner {place}" if place % 3 else "",
                on_plan=place % 3 == 0,
                photos=[picture(left + one, turned=place == 0 and one == 0) for one in range(share)],
                first_sound=place == 1,
                turned=place == 0,
            )
        elif check.answer_kind == "reading":
            said[check.pk] = Saying("sound", reading=f"{9 + number / 10:.1f}", warm="7" if number % 3 else "")
        elif number % 14 == 2:
            said[check.pk] = Saying("not_seen", reason=f"locker full, shelf {number}")
        elif number % 14 == 6:
            said[check.pk] = Saying("not_fitted")
        else:
            said[check.pk] = Saying("sound")
    assert sum(len(one.photos) for one in said.values()) == photos
    return said


def picture(number: int, *, turned: bool) -> bytes:
    """A photo unlike any other; a turned one is large, on its side, and names a position."""
    size = (3200, 2400) if turned else (640, 480)
    image = Image.new("RGB", size, (60 + 8 * number, 90, 60))
    image.paste((250, 240, 200), (0, 0, size[0] // 4, size[1] // 4))  # upper left, as stored
    exif = Image.Exif()
    if turned:
        exif[ORIENTATION] = TURNED_RIGHT
        exif.get_ifd(GPS)[1], exif.get_ifd(GPS)[2] = "N", (55.0, 6.0, 0.0)
    file = io.BytesIO()
    image.save(file, "JPEG", quality=85, exif=exif)
    return file.getvalue()


def files(pictures: list[bytes]) -> list[Any]:
    """As a browser's file field takes them."""
    return [
        {"name": f"photo-{number}.jpg", "mimeType": "image/jpeg", "buffer": data}
        for number, data in enumerate(pictures)
    ]
