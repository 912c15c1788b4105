"""What the containers have in common: the pieces that are kept, and where the orientation goes between them."""

from __future__ import annotations

import io
import re
import struct
import warnings
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Protocol

from PIL import ExifTags, Image, ImageCms

from yard.refusals import Refused

REMEDY = "send it again, or save it anew with a photo program"
UPRIGHT: Final = 1
PADDING: Final = b"\x00\r\n \t\xff"
# Beginnings and marks of other kinds of file (from memory). What has one of them is more than a picture.
OTHER_KINDS: Final = re.compile(
    rb"PK\x03\x04|PK\x05\x06|Rar!\x1a\x07|7z\xbc\xaf\x27\x1c|\x7fELF|<\?php|<script|<html|<svg|<!doctype",
    re.IGNORECASE,
)
# What cameras hang on to a picture, after some padding: more JPEG pictures, a short film, a trailer (from memory).
FURTHER_PICTURES: Final = re.compile(rb"[\x00\r\n \t\xff]*?(?:\xff\xd8\xff|.{4}ftyp)", re.DOTALL)
TELEPHONES_TRAILER: Final = b"SEFT"
PDF_MARK: Final = b"%PDF-"
PDF_LOOKED_FOR_IN: Final = 1024


class Container(Protocol):
    """A picture file taken apart."""

    @property
    def exif(self) -> bytes:
        """The TIFF block of its EXIF data; empty where it has none."""

    def blanked(self, orientation: int) -> bytes:
        """The picture put together again, with nothing beside it but how it is to be turned."""


@dataclass(frozen=True, slots=True)
class ExifFacts:
    """The two things of EXIF that are kept.

    Args:
        orientation: 1 (upright) to 8, as EXIF counts them.
        taken_at: the camera's clock; with an offset only where the camera wrote one.
    """

    orientation: int = UPRIGHT
    taken_at: datetime | None = None


def broken(what: str) -> Refused:
    return Refused("photo", what, REMEDY)


def refuse_other_kinds(data: bytes, after: bytes) -> None:
    """Refuse a file that is a picture and something else besides.

    Args:
        data: the whole file.
        after: what follows the end of the picture.

    Raises:
        Refused: it can be read as another kind of file, or something that is no picture hangs on to it.
    """
    if PDF_MARK in data[:PDF_LOOKED_FOR_IN] or OTHER_KINDS.search(after) or PDF_MARK in after:
        raise Refused("photo", "is a picture and another kind of file at once", "save it anew with a photo program")
    if after.strip(PADDING) and not _camera_made(after):
        raise Refused("photo", f"{len(after)} bytes of something else follow the picture", REMEDY)


def _camera_made(after: bytes) -> bool:
    """Whether a camera hung this on. It is cut off in any case."""
    return after.endswith(TELEPHONES_TRAILER) or FURTHER_PICTURES.match(after) is not None


def exif_facts(tiff: bytes) -> ExifFacts:
    """Read how the picture is turned and when it was taken; EXIF that can't be read counts as none."""
    if not tiff:
        return ExifFacts()
    exif = Image.Exif()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            exif.load(b"Exif\x00\x00" + tiff)
            turned = exif.get(ExifTags.Base.Orientation, UPRIGHT)
            inner = exif.get_ifd(ExifTags.IFD.Exif)
            taken = inner.get(ExifTags.Base.DateTimeOriginal) or exif.get(ExifTags.Base.DateTime)
            offset = inner.get(ExifTags.Base.OffsetTimeOriginal)
    except Exception:  # the library raises whatever a crooked block leads it to
        return ExifFacts()
    orientation = turned if isinstance(turned, int) and 1 <= turned <= 8 else UPRIGHT
    return ExifFacts(orientation, _moment(taken, offset))


def _moment(taken: object, offset: object) -> datetime | None:
    if not isinstance(taken, str):
        return None
    written = taken.strip("\x00 ")
    zone = offset.strip("\x00 ") if isinstance(offset, str) else ""
    for text, form in ((written + zone, "%Y:%m:%d %H:%M:%S%z"), (written, "%Y:%m:%d %H:%M:%S")):
        try:
            return datetime.strptime(text, form)  # noqa: DTZ007 - the caller knows the zone of a camera without one
        except ValueError:
            continue
    return None


def tiff_with(orientation: int) -> bytes:
    """A TIFF block that says how the picture is turned, and nothing else (EXIF 2.3, tag 0x0112)."""
    entry = struct.pack(">HHIHH", ExifTags.Base.Orientation, 3, 1, orientation, 0)
    return b"MM\x00\x2a" + struct.pack(">IH", 8, 1) + entry + b"\x00\x00\x00\x00"


def is_colour_profile(data: bytes) -> bool:
    """Whether these bytes are a colour profile and nothing else."""
    if len(data) < 128 or int.from_bytes(data[:4], "big") != len(data) or data[36:40] != b"acsp":
        return False
    try:
        ImageCms.getOpenProfile(io.BytesIO(data))
    except (ImageCms.PyCMSError, OSError):
        return False
    return True


__all__ = [
    "OTHER_KINDS",
    "UPRIGHT",
    "Container",
    "ExifFacts",
    "broken",
    "exif_facts",
    "is_colour_profile",
    "refuse_other_kinds",
    "tiff_with",
]
