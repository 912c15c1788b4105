"""What a report may draw on: its own photos, drawing, fonts and shapes. From here no way leads to net or disk."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from workshop.report.engine import URLFetcher, URLFetcherResponse

FONTS: Final = {
    name: Path(__file__).resolve().parent.parent / "static/workshop/fonts" / name
    for name in (
        "GentiumBookPlus-Regular.ttf",
        "GentiumBookPlus-Bold.ttf",
        "GentiumBookPlus-Italic.ttf",
        "routed-gothic.ttf",
    )
}

# One shape per priority, told apart without colour: filled where it can't wait, hollow where it can.
SHAPES: Final = {
    "before_launch": '<path d="M8,1.6L15,14H1Z" fill="#16324a"/>',
    "this_season": '<path d="M8,1L15,8L8,15L1,8Z" fill="#16324a"/>',
    "next_layup": '<path d="M2.2,2.2H13.8V13.8H2.2Z" fill="none" stroke="#16324a" stroke-width="1.8"/>',
    "watch": '<circle cx="8" cy="8" r="6.1" fill="none" stroke="#16324a" stroke-width="1.8"/>',
}
_SVG: Final = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16" width="16" height="16">{}</svg>'


class ReportFetcher(URLFetcher):  # type: ignore[misc]  # WeasyPrint comes without types
    """Answers photo:, drawing:, font:, shape: and code:; all else is refused, unknown names like strange ones."""

    def __init__(
        self,
        photos: Mapping[str, bytes],
        codes: Mapping[str, bytes] | None = None,
        drawings: Mapping[str, tuple[bytes, str]] | None = None,
    ) -> None:
        super().__init__(allowed_protocols={"photo", "drawing", "font", "shape", "code"}, allow_redirects=False)
        self._photos = photos
        self._codes = codes or {}
        self._drawings = drawings or {}

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
        """Hand out one of our own.

        Raises:
            ValueError: anything else; WeasyPrint leaves the resource out and logs it.
        """
        scheme, _, name = url.partition(":")
        if scheme == "photo" and name in self._photos:
            return URLFetcherResponse(url, self._photos[name], {"Content-Type": "image/jpeg"})
        if scheme == "drawing" and name in self._drawings:
            data, media_type = self._drawings[name]
            return URLFetcherResponse(url, data, {"Content-Type": media_type})
        if scheme == "font" and name in FONTS:
            return URLFetcherResponse(url, FONTS[name].read_bytes(), {"Content-Type": "font/ttf"})
        if scheme == "shape" and name in SHAPES:
            return URLFetcherResponse(url, _SVG.format(SHAPES[name]).encode(), {"Content-Type": "image/svg+xml"})
        if scheme == "code" and name in self._codes:
            return URLFetcherResponse(url, self._codes[name], {"Content-Type": "image/svg+xml"})
        raise ValueError(f"a report draws on nothing but its own: {url[:80]!r}")


__all__ = ["FONTS", "SHAPES", "ReportFetcher"]
