"""Photos: taken in by the digest of their file, kept without the place where they were taken."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import structlog
from django.conf import settings
from django.db import IntegrityError, transaction

from inspections.models import Photo
from inspections.pictures.receiving import Picture, received
from inspections.pictures.sizes import PRINT_PX, REPORT_PX, THUMBNAIL_PX, smaller
from inspections.services import photo_files
from inspections.services.asking import ask_for_photo
from yard.models import Member, Yard
from yard.refusals import Refused

log = structlog.get_logger(__name__)

_DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)
EARLIEST_TAKEN = datetime(1990, 1, 1, tzinfo=UTC)
CLOCK_AHEAD = timedelta(days=2)


def photo_receive(*, yard: Yard, sha256: str, data: bytes, by: Member | None, at: datetime) -> tuple[Photo, bool]:
    """Take in a photo. Sent again it is the same photo, and nothing changes.

    The stored copy has nothing beside the picture but how it is turned: no position, no name, no camera. For JPEG,
    PNG and WebP the compressed picture is carried over byte for byte; HEIC is kept as JPEG.

    Args:
        sha256: of the file, as the entries name it.
        data: the file.

    Returns:
        The photo, and whether it is new.

    Raises:
        Refused: the digest is none or of another file, or the file is too large, no picture, damaged, cut short,
            moving, too many pixels, or something else besides.
    """
    digest = _checked(sha256, data)
    there = _photo(yard, digest)
    if there is not None and photo_files.is_there(there.file):
        return there, False
    picture = received(data, max_pixels=settings.PHOTO_MAX_PIXELS)
    name = photo_files.keep(photo_files.name_of(yard.pk, digest, extension=picture.extension), picture.data)
    if there is not None:
        return _found_again(there, name, yard, at), False
    try:
        with transaction.atomic():
            photo = _stored(yard, digest, picture, name, by, at)
            ask_for_photo(photo.pk, yard=yard, at=at)
    except IntegrityError:
        # Two tablets sent it at the same moment; the other one was first.
        there = _photo(yard, digest)
        if there is None:
            raise
        return there, False
    return photo, True


def photo_prepare(photo_id: int) -> Callable[[datetime], None] | None:
    """Make the small sizes of a photo; gives what is to be written when they are there.

    Raises:
        FileNotFoundError: the storage has lost the photo; it can be sent again.
    """
    photo: Photo = Photo.objects.get(pk=photo_id)
    if photo.state == Photo.State.READY and photo_files.is_prepared(photo):
        return None
    data = photo_files.read(photo)
    changes: dict[str, str]
    try:
        large = smaller(data, REPORT_PX)
        photo_files.keep(photo_files.name_in_print(photo), smaller(large, PRINT_PX))
        changes = {
            "thumbnail": _small_file(photo, smaller(large, THUMBNAIL_PX), THUMBNAIL_PX),
            "report_size": _small_file(photo, large, REPORT_PX),
            "state": Photo.State.READY,
        }
    except (OSError, ValueError) as error:
        if isinstance(error, FileNotFoundError | PermissionError):
            raise  # that is the storage's trouble, and may pass
        log.warning("photo_not_prepared", photo=photo_id, error=f"{type(error).__name__}: {error}")
        changes = {"state": Photo.State.BROKEN}

    def finish(_: datetime) -> None:
        Photo.objects.filter(pk=photo_id).update(**changes)

    return finish


def _checked(sha256: str, data: bytes) -> str:
    digest = sha256.strip().lower()
    if not _DIGEST.fullmatch(digest):
        raise Refused("sha256", "is no SHA-256 digest", "give the 64 hexadecimal digits of the file's SHA-256")
    if not data:
        raise Refused("photo", "is empty", "send the file itself as the body")
    if len(data) > settings.PHOTO_MAX_BYTES:
        limit = settings.PHOTO_MAX_BYTES / 1024 / 1024
        raise Refused("photo", f"has {len(data)} bytes", f"send at most {limit:g} MiB; a smaller copy would do")
    if hashlib.sha256(data).hexdigest() != digest:
        raise Refused(
            "sha256",
            "is the digest of another file, or the file was damaged on its way",
            "send the file again under its own digest",
        )
    return digest


def _photo(yard: Yard, digest: str) -> Photo | None:
    photo: Photo | None = Photo.objects.of_yard(yard).filter(sha256=digest).first()
    return photo


def _stored(yard: Yard, digest: str, picture: Picture, name: str, by: Member | None, at: datetime) -> Photo:
    photo: Photo = Photo.objects.create(
        yard=yard,
        sha256=digest,
        stored_sha256=hashlib.sha256(picture.data).hexdigest(),
        media_type=picture.media_type,
        width_px=picture.width_px,
        height_px=picture.height_px,
        size_bytes=len(picture.data),
        file=name,
        taken_at=_taken_at(picture.taken_at, yard, at),
        received_at=at,
        received_from=by,
    )
    return photo


@transaction.atomic
def _found_again(photo: Photo, name: str, yard: Yard, at: datetime) -> Photo:
    """The storage had lost the file, and now it has come again."""
    photo.file = name
    photo.state = Photo.State.RECEIVED
    photo.save(update_fields=["file", "state"])
    ask_for_photo(photo.pk, yard=yard, at=at)
    return photo


def _taken_at(taken: datetime | None, yard: Yard, at: datetime) -> datetime | None:
    """When it was taken: the camera's clock at the yard, if it says anything that can be."""
    if taken is None:
        return None
    moment = taken if taken.tzinfo is not None else taken.replace(tzinfo=yard.zone)
    return moment if EARLIEST_TAKEN <= moment <= at + CLOCK_AHEAD else None


def _small_file(photo: Photo, data: bytes, longest_px: int) -> str:
    name = photo_files.name_of(photo.yard_id, photo.sha256, extension="jpg", size=f"-{longest_px}")
    return photo_files.keep(name, data)


__all__ = ["photo_prepare", "photo_receive"]
