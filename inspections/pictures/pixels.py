"""The picture itself: how many points it may have, and what it looks like without transparency."""

from __future__ import annotations

from PIL import Image

from yard.refusals import Refused


def too_large(width: int, height: int, max_pixels: int) -> Refused:
    return Refused(
        "photo",
        f"has {width} × {height} pixels",
        f"send one with at most {max_pixels / 1_000_000:g} million pixels in all",
    )


def flat(picture: Image.Image) -> Image.Image:
    """The picture in red, green and blue, on white where it can be seen through."""
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        above = picture.convert("RGBA")
        ground = Image.new("RGB", picture.size, "white")
        ground.paste(above, mask=above.getchannel("A"))
        return ground
    if picture.mode.startswith("I;16"):
        return picture.point(lambda value: value / 256).convert("L").convert("RGB")
    return picture.convert("RGB")


__all__ = ["flat", "too_large"]
