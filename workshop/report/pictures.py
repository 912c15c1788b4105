"""The photos of a report, read from the storage in the size they are printed at."""

from __future__ import annotations

from collections.abc import Iterable
from io import BytesIO

import structlog
from django.core.files.storage import default_storage
from PIL import Image, UnidentifiedImageError

from inspections.models import Photo
from inspections.pictures.sizes import PRINT_PX, smaller
from inspections.services.photo_files import name_in_print
from yard.models import Yard

log = structlog.get_logger(__name__)


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
    # The sizes that the worker has made, the one for print first; the picture itself where it has not come to it.
    prepared = photo.state == Photo.State.READY
    names = [name_in_print(photo) if prepared else "", photo.report_size.name, photo.file.name]
    for name in filter(None, names):
        try:
            with default_storage.open(name) as opened:
                return _printed(opened.read())
        except (OSError, ValueError, UnidentifiedImageError, Image.DecompressionBombError) as error:
            log.warning("report_photo_unreadable", photo=photo.pk, file=name, error=str(error))
    return None


def _printed(data: bytes) -> bytes:
    with Image.open(BytesIO(data)) as picture:
        fits = picture.format == "JPEG" and max(picture.size) <= PRINT_PX
        if fits:
            picture.load()  # a file cut short shows here, and not as an error of the whole report
    return data if fits else smaller(data, PRINT_PX)


__all__ = ["PRINT_PX", "report_pictures"]
