"""Draw the tablet's icons, two planks in a scarf joint: `python -m web.tablet.draw_icons`."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PIL import Image, ImageDraw

from web.tablet.files import OWN, STATIC

PAPER, INK = "#fbf9f3", "#16324a"
# In a square of 32, as in `web/mark.svg`.
PLANK: Final = ((3, 10), (23, 10), (9, 22), (3, 22))
OTHER: Final = ((29, 10), (25, 10), (11, 22), (29, 22))
SQUARE: Final = 32
FINER: Final = 4  # drawn so much larger, then made smaller, for smooth edges
# A mask may cut a fifth off: https://www.w3.org/TR/appmanifest/#icon-masks (safe zone: a circle of 40 % radius).
INSIDE_THE_MASK: Final = 0.62


def icon(size_px: int, *, scale: float = 1.0, rounded: bool = True) -> Image.Image:
    """The mark on paper.

    Args:
        size_px: of the side.
        scale: of the mark within the square.
        rounded: with round corners, and nothing behind them.
    """
    large = size_px * FINER
    picture = Image.new("RGBA", (large, large), (0, 0, 0, 0))
    draw = ImageDraw.Draw(picture)
    draw.rounded_rectangle((0, 0, large - 1, large - 1), radius=large // 8 if rounded else 0, fill=PAPER)

    def placed(points: tuple[tuple[int, int], ...]) -> list[tuple[float, float]]:
        half = SQUARE / 2
        return [tuple(((value - half) * scale + half) * large / SQUARE for value in point) for point in points]  # type: ignore[misc]

    width = round(2 * scale * large / SQUARE)
    draw.polygon(placed(OTHER), fill=INK)
    outline = placed(PLANK)
    draw.line([*outline, outline[0], outline[1]], fill=INK, width=width, joint="curve")
    return picture.resize((size_px, size_px), Image.Resampling.LANCZOS)


def main() -> None:
    folder: Path = STATIC / OWN
    for size_px in (192, 512):
        icon(size_px).save(folder / f"icon-{size_px}.png", optimize=True)
    icon(512, scale=INSIDE_THE_MASK, rounded=False).save(folder / "icon-maskable-512.png", optimize=True)


if __name__ == "__main__":
    main()
