"""The small sizes of a picture: for lists, for screens, and for the printed report."""

from __future__ import annotations

import io
from typing import Final

from PIL import Image, ImageCms, ImageOps

from inspections.pictures.pixels import flat

THUMBNAIL_PX: Final = 320
REPORT_PX: Final = 1600
# A picture of 75 mm width at 300 dots an inch has 886 pixels across.
PRINT_PX: Final = 1000
QUALITY: Final = 82
SRGB: Final = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))


def smaller(data: bytes, longest_px: int) -> bytes:
    """A copy that is at most so long, upright, in sRGB, as progressive JPEG with nothing beside the picture.

    A picture that is smaller already is not enlarged.

    Args:
        data: a JPEG, PNG or WebP.
        longest_px: of the longer side.

    Raises:
        OSError: the data can't be decoded.
    """
    with Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP")) as opened:
        profile = opened.info.get("icc_profile")
        # Decodes a JPEG at a fraction of its size where that is enough.
        opened.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS, reducing_gap=3.0)
        upright = ImageOps.exif_transpose(opened)
        picture = flat(_in_srgb(upright, profile))
    kept = io.BytesIO()
    picture.save(kept, "JPEG", quality=QUALITY, progressive=True, optimize=True)
    return kept.getvalue()


def _in_srgb(picture: Image.Image, profile: bytes | None) -> Image.Image:
    if not profile or picture.mode not in ("RGB", "CMYK"):
        return picture
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        converted = ImageCms.profileToProfile(picture, source, SRGB, outputMode="RGB")
    except (ImageCms.PyCMSError, OSError):
        return picture  # a profile for other colours than the picture has
    return picture if converted is None else converted


__all__ = ["PRINT_PX", "QUALITY", "REPORT_PX", "THUMBNAIL_PX", "smaller"]
