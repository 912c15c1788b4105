"""The yard's own drawing of a boat: under the pins of a plan, and handed out to somebody who may see it."""

from __future__ import annotations

from typing import Final

from django.http import FileResponse, Http404

from inspections.services.drawings import EXTENSIONS
from inspections.services.photo_files import is_there
from workshop.report.plan import Ground
from yard.models import Boat, BoatDrawing

# Opened by itself an SVG is a page: this one may do nothing at all.
NOTHING_ALLOWED: Final = "default-src 'none'; style-src 'none'; sandbox"


def drawing_of(boat: Boat | int) -> BoatDrawing | None:
    """Her drawing, if she has one that the storage has not lost; without it we draw the plan ourselves."""
    drawing: BoatDrawing | None = BoatDrawing.objects.filter(boat=boat).first()
    return drawing if drawing is not None and is_there(drawing.file) else None


def ground_at(address: str, drawing: BoatDrawing) -> Ground:
    """The drawing as the ground of a plan, fetched from that address."""
    return Ground(address, drawing.width, drawing.height)


def drawing_response(drawing: BoatDrawing, *, keep_seconds: int) -> FileResponse:
    """The drawing itself, where its address names it by its digest.

    Raises:
        Http404: the storage has lost it.
    """
    try:
        opened = drawing.file.open("rb")
    except FileNotFoundError as error:
        raise Http404 from error
    name = f"drawing-{drawing.boat_id}.{EXTENSIONS[drawing.media_type]}"
    response = FileResponse(opened, content_type=drawing.media_type, filename=name)
    response["Cache-Control"] = f"private, max-age={keep_seconds}, immutable"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = NOTHING_ALLOWED
    return response


__all__ = ["drawing_of", "drawing_response", "ground_at"]
