"""The photos of a report, read from the storage in the size they are printed at."""

from __future__ import annotations

from collections.abc import Iterable
from io import BytesIO
from typing import Final

import structlog
from django.core.files.storage import default_storage
from PIL import Image, UnidentifiedImageError

from inspections.models import Photo
from inspections.pictures.sizes import smaller
from yard.models import Yard

log = structlog.get_logger(__name__)

# A picture of 75 mm width at 300 dots an inch has 886 pixels across.
PRINT_PX: Final = 1000


def report_pictures(yard: Yard, digests: Iterable[str]) -> dict[str, bytes]:
    """JPEG files by digest. One that is missing or broken is left out; the report marks its place."""
    wanted = set(digests)
    pictures = {}
    for photo in Photo.objects.of_yard(yard).filter(sha256__in=wanted):
        picture = _picture(photo)
        if picture is not None:
            pictures[photo.sha256] = picture
    missing = sorted(wanted - set(pictures))
    if missing:
        log.warning("report_photos_missing", yard=yard.pk, photos=missing)
    return pictures


def _picture(photo: Photo) -> bytes | None:
    # The prepared size where the worker has made it, the picture itself where it has not yet.
    for file in (photo.report_size, photo.file):
        if not file.name:
            continue
        try:
            with default_storage.open(file.name) as opened:
                return _printed(opened.read())
        except (OSError, ValueError, UnidentifiedImageError, Image.DecompressionBombError) as error:
            log.warning("report_photo_unreadable", photo=photo.pk, file=file.name, error=str(error))
    return None


def _printed(data: bytes) -> bytes:
    with Image.open(BytesIO(data)) as picture:
        fits = picture.format == "JPEG" and max(picture.size) <= PRINT_PX
        if fits:
            picture.load()  # a file cut short shows here, and not as an error of the whole report
    return data if fits else smaller(data, PRINT_PX)


__all__ = ["PRINT_PX", "report_pictures"]
