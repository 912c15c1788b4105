"""Handing out a picture to somebody who may see it. Who may is for the caller to know."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from django.http import FileResponse, Http404

from inspections.models import Photo
from yard.models import Yard

SIZES: Final = ("thumbnail", "report", "full")
# What every browser shows; others are shown once the worker has made their small sizes.
SHOWN_BY_BROWSERS: Final = ("image/jpeg", "image/png", "image/webp")
ONE_YEAR: Final = 365 * 24 * 3600


def photos_of(yard: Yard | int, names: Iterable[str]) -> dict[str, Photo]:
    """The photos of these names that are here and can be shown, by their SHA-256."""
    rows = Photo.objects.of_yard(yard).filter(sha256__in=set(names)).exclude(state=Photo.State.BROKEN)
    return {photo.sha256: photo for photo in rows if _file(photo, "report") is not None}


def photo_response(photo: Photo, size: str, *, keep_seconds: int = ONE_YEAR) -> FileResponse:
    """The picture in a size. The name is a digest of it, so that what a browser kept is never out of date.

    Raises:
        Http404: no such size, or nothing to show.
    """
    found = _file(photo, size) if size in SIZES else None
    if found is None:
        raise Http404
    name, media_type = found
    try:
        content = photo.file.storage.open(name, "rb")
    except FileNotFoundError as error:
        raise Http404 from error
    response = FileResponse(content, content_type=media_type)
    response["Cache-Control"] = f"private, max-age={keep_seconds}, immutable"
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _file(photo: Photo, size: str) -> tuple[str, str] | None:
    made = {"thumbnail": photo.thumbnail, "report": photo.report_size}.get(size)
    if made and made.name:
        return made.name, "image/jpeg"
    if photo.state != Photo.State.BROKEN and photo.media_type in SHOWN_BY_BROWSERS and photo.file.name:
        return photo.file.name, photo.media_type
    return None


__all__ = ["SIZES", "photo_response", "photos_of"]
