"""The yard's own drawing of a boat: taken in clean, one for each boat, and read again for the report."""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import transaction
from PIL import Image, ImageOps

from inspections.pictures import png
from inspections.pictures.pixels import flat
from inspections.pictures.receiving import received
from inspections.pictures.sizes import smaller
from inspections.pictures.svg import svg_clean
from inspections.services import photo_files
from yard.models import Boat, BoatDrawing, DeedKind, Member
from yard.refusals import Refused
from yard.services.deeds import deed_note, thing_of

# A sheet of 180 mm at 300 dots an inch has 2126 pixels across.
LONGEST_PX: Final = 2400
# An SVG has proportions and no pixels; they are kept as if its longer side had so many.
SVG_SIDE: Final = 10_000
LONGEST_FOR_HEIGHT: Final = 12
EXTENSIONS: Final = {"image/png": "png", "image/jpeg": "jpg", "image/svg+xml": "svg"}


@dataclass(frozen=True, slots=True)
class Clean:
    """What is kept of a drawing."""

    data: bytes
    media_type: str
    width: int
    height: int


@transaction.atomic
def drawing_put(*, boat: Boat, data: bytes, by: Member | None, at: datetime) -> tuple[BoatDrawing, bool]:
    """Take in the yard's drawing of a boat in the place of the one before. The same drawing again changes nothing.

    PNG and JPEG are unpacked and written anew with nothing beside the picture; SVG is written anew from what only
    draws. Files are never written over: a report that is just being made keeps what it has begun with.

    Returns:
        The drawing, and whether the boat had none before.

    Raises:
        Refused: it is empty, too large, no PNG, JPEG or SVG, damaged, stands upright, or holds what is not allowed.
    """
    clean = drawing_clean(data)
    sha256 = hashlib.sha256(clean.data).hexdigest()
    Boat.objects.select_for_update().get(pk=boat.pk)  # two who send at once are taken one after the other
    there: BoatDrawing | None = BoatDrawing.objects.filter(boat=boat).first()
    if there is not None and there.sha256 == sha256 and photo_files.is_there(there.file):
        return there, False
    name = photo_files.keep(_name_of(boat, sha256, clean.media_type), clean.data)
    drawing, created = BoatDrawing.objects.update_or_create(
        boat=boat,
        defaults={
            "yard_id": boat.yard_id,
            "file": name,
            "sha256": sha256,
            "media_type": clean.media_type,
            "width": clean.width,
            "height": clean.height,
            "received_at": at,
            "received_from": by,
        },
    )
    told = boat.name if created else f"{boat.name}, in the place of the one before"
    _note(DeedKind.DRAWING_PUT, boat, told, by, at)
    return drawing, created


@transaction.atomic
def drawing_remove(*, boat: Boat, at: datetime, by: Member | None = None) -> None:
    """The boat has no drawing of the yard's any more; where she has none, nothing changes. The file stays."""
    gone, _ = BoatDrawing.objects.filter(boat=boat).delete()
    if gone:
        _note(DeedKind.DRAWING_REMOVED, boat, boat.name, by, at)


def _note(kind: DeedKind, boat: Boat, told: str, by: Member | None, at: datetime) -> None:
    deed_note(yard=boat.yard_id, kind=kind, by=by, told=told, thing=thing_of(boat), at=at)


def drawing_read(drawing: BoatDrawing) -> Clean:
    """The stored drawing, looked at once more as if it had just been sent.

    Raises:
        OSError: the storage has lost it or can't be read.
        Refused: it is not what was stored.
    """
    with default_storage.open(str(drawing.file.name)) as file:
        data: bytes = file.read()
    if hashlib.sha256(data).hexdigest() != drawing.sha256:
        raise Refused("drawing", "is not the file that was stored", "send it again")
    return Clean(data, drawing.media_type, drawing.width, drawing.height)


def drawing_clean(data: bytes) -> Clean:
    """What would be kept of a file, by what it is and not by what it is called."""
    if not data:
        raise Refused("drawing", "is empty", "send the file itself as the body")
    if len(data) > settings.PHOTO_MAX_BYTES:
        limit = settings.PHOTO_MAX_BYTES / 1024 / 1024
        raise Refused("drawing", f"has {len(data)} bytes", f"send at most {limit:g} MiB; a smaller copy would do")
    if data.startswith((b"\xff\xd8\xff", png.SIGNATURE)):
        clean = _from_pixels(data)
    elif data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        clean = _from_svg(data)
    else:
        raise Refused("drawing", "is no PNG, JPEG or SVG", "send the drawing as PNG, JPEG or SVG")
    if clean.width <= clean.height:
        raise Refused("drawing", "is not longer than it is high", "turn it so that the bow points to the right")
    if clean.width > LONGEST_FOR_HEIGHT * clean.height:
        raise Refused(
            "drawing",
            f"is more than {LONGEST_FOR_HEIGHT} times as long as it is high",
            "cut it to the boat, bow to the right",
        )
    return clean


def _from_svg(data: bytes) -> Clean:
    svg = svg_clean(data)
    scale = SVG_SIDE / max(svg.width, svg.height)
    width, height = (max(1, round(side * scale)) for side in (svg.width, svg.height))
    return Clean(svg.text.encode(), "image/svg+xml", width, height)


def _from_pixels(data: bytes) -> Clean:
    try:
        kept = received(data, max_pixels=settings.PHOTO_MAX_PIXELS)
    except Refused as refused:
        raise Refused("drawing", refused.problem, refused.remedy) from refused
    try:
        written = smaller(data, LONGEST_PX) if kept.media_type == "image/jpeg" else _lines(kept.data)
        with Image.open(io.BytesIO(written)) as picture:
            width, height = picture.size
    except (OSError, ValueError) as error:
        raise Refused("drawing", "is damaged", "save it again and send the new file") from error
    return Clean(written, kept.media_type, width, height)


def _lines(data: bytes) -> bytes:
    """A PNG written anew, on white: lines stay sharp, which JPEG would blur."""
    with Image.open(io.BytesIO(data), formats=("PNG",)) as opened:
        picture = flat(ImageOps.exif_transpose(opened))
    picture.thumbnail((LONGEST_PX, LONGEST_PX), Image.Resampling.LANCZOS)
    picture.info.clear()
    file = io.BytesIO()
    picture.save(file, "PNG", optimize=True)
    return file.getvalue()


def _name_of(boat: Boat, sha256: str, media_type: str) -> str:
    return f"drawings/{boat.yard_id}/{sha256[:2]}/{sha256}.{EXTENSIONS[media_type]}"


__all__ = ["Clean", "drawing_clean", "drawing_put", "drawing_read", "drawing_remove"]
