"""A file that somebody sends as a picture: whether it is one, and what of it is kept."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from PIL import Image

from inspections.pictures import heic, jpeg, png, webp
from inspections.pictures.parts import UPRIGHT, Container, broken, exif_facts
from inspections.pictures.pixels import too_large
from yard.refusals import Refused

KINDS: Final = "JPEG, PNG, WebP or HEIC"
# Turned by a quarter: the sides change places when it is shown.
ON_ITS_SIDE: Final = frozenset({5, 6, 7, 8})


@dataclass(frozen=True, slots=True)
class Picture:
    """What is kept of a file.

    Args:
        data: the picture with nothing beside it but how it is turned.
        media_type: of `data`.
        extension: for the file's name, without the dot.
        width_px, height_px: as it is shown, upright.
        taken_at: by the camera's clock; without a zone where the camera wrote none.
    """

    data: bytes
    media_type: str
    extension: str
    width_px: int
    height_px: int
    taken_at: datetime | None


def received(data: bytes, *, max_pixels: int) -> Picture:
    """Look at a file and keep the picture of it.

    Args:
        max_pixels: width times height, at most; asked before anything is unpacked.

    Raises:
        Refused: it is no JPEG, PNG, WebP or HEIC, is damaged or cut short, moves, has too many pixels, or is
            something else besides.
    """
    container: Container
    if data.startswith(b"\xff\xd8\xff"):
        container, kind = jpeg.take_apart(data), "JPEG"
    elif data.startswith(png.SIGNATURE):
        container, kind = png.take_apart(data), "PNG"
    elif data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        container, kind = webp.take_apart(data), "WEBP"
    elif heic.brand_of(data) in heic.BRANDS | heic.MOVING:
        return _from_heic(data, max_pixels)
    else:
        raise Refused("photo", f"is no {KINDS}", f"send a picture as {KINDS}")
    facts = exif_facts(container.exif)
    width, height = _decodes(container.blanked(UPRIGHT), kind, max_pixels)
    if facts.orientation in ON_ITS_SIDE:
        width, height = height, width
    return Picture(
        data=container.blanked(facts.orientation),
        media_type=f"image/{kind.lower()}",
        extension={"JPEG": "jpg", "PNG": "png", "WEBP": "webp"}[kind],
        width_px=width,
        height_px=height,
        taken_at=facts.taken_at,
    )


def _from_heic(data: bytes, max_pixels: int) -> Picture:
    kept, exif = heic.decoded(data, max_pixels=max_pixels)
    width, height = _decodes(kept, "JPEG", max_pixels)
    return Picture(kept, "image/jpeg", "jpg", width, height, exif_facts(exif).taken_at)


def _decodes(data: bytes, kind: str, max_pixels: int) -> tuple[int, int]:
    """Unpack the picture once, to be sure that it can be; gives its size."""
    try:
        with warnings.catch_warnings():
            # The library's own limit only warns up to twice its size; ours is below it and asked next.
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=(kind,)) as picture:
                width, height = picture.size
                if width * height > max_pixels:
                    raise too_large(width, height, max_pixels)
                if getattr(picture, "n_frames", 1) > 1:
                    raise Refused("photo", "is a moving picture", "send a single picture")
                # An eighth of the size is enough to see that every bit is there, and takes an eighth of the memory.
                picture.draft("RGB", (max(1, width // 8), max(1, height // 8)))
                picture.load()
    except Refused:
        raise
    except Image.DecompressionBombError as error:
        raise Refused(
            "photo",
            "has too many pixels",
            f"send one with at most {max_pixels / 1_000_000:g} million pixels in all",
        ) from error
    except Exception as error:  # decoders raise many kinds for what they can't read
        raise broken("is damaged or cut short") from error
    return width, height


__all__ = ["KINDS", "Picture", "received"]
