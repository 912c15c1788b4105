"""HEIC, as some telephones take it: decoded once and kept as JPEG, which everything can show."""

from __future__ import annotations

import io
from typing import Final

import pillow_heif

from inspections.pictures.parts import broken
from inspections.pictures.pixels import flat, too_large
from yard.refusals import Refused

BRANDS: Final = frozenset({b"heic", b"heix", b"heim", b"heis", b"mif1"})
MOVING: Final = frozenset({b"hevc", b"hevx", b"msf1"})
# High enough that nobody sees the second compression of a picture that was compressed harder before.
QUALITY: Final = 92


def brand_of(data: bytes) -> bytes:
    """The major brand of an ISO base media file (ISO/IEC 14496-12), or nothing."""
    return data[8:12] if data[4:8] == b"ftyp" else b""


def decoded(data: bytes, *, max_pixels: int) -> tuple[bytes, bytes]:
    """The upright picture as JPEG, and the TIFF block of its EXIF data.

    Raises:
        Refused: it moves, is too large, or can't be decoded.
    """
    if brand_of(data) in MOVING:
        raise Refused("photo", "is a moving picture", "send a single picture")
    try:
        opened = pillow_heif.open_heif(data, convert_hdr_to_8bit=True)
        primary = opened[opened.primary_index]
        width, height = primary.size
        if width * height > max_pixels:
            raise too_large(width, height, max_pixels)
        # The decoder turns the picture upright itself: what EXIF says of turning has been done by then.
        picture = primary.to_pillow()
        exif, profile = primary.info.get("exif"), primary.info.get("icc_profile")
    except Refused:
        raise
    except Exception as error:  # the decoder raises many kinds for what it can't read
        raise broken("can't be read as HEIC") from error
    kept = io.BytesIO()
    flat(picture).save(kept, "JPEG", quality=QUALITY, icc_profile=profile, optimize=True)
    return kept.getvalue(), exif.removeprefix(b"Exif\x00\x00") if isinstance(exif, bytes) else b""


__all__ = ["BRANDS", "MOVING", "brand_of", "decoded"]
