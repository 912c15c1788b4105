"""The yard's own drawing as the ground of the plan on a report's cover.

The quote document does not carry it: what is decided on are words and figures, and the report that was sent is
stored as a file and stays as it was sent. A report that is made later takes the drawing as it is then. A drawing
that can't be read or drawn is left out, and the plan is drawn by us: a report never fails for it.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import structlog

from inspections.services.drawings import drawing_read
from workshop.report.engine import HTML
from workshop.report.fetcher import ReportFetcher
from workshop.report.plan import Ground
from yard.models import BoatDrawing
from yard.refusals import Refused

log = structlog.get_logger(__name__)


@dataclass(frozen=True, slots=True)
class ReportDrawing:
    """A drawing that was tried: its file, and what the plan has to know of it."""

    data: bytes
    media_type: str
    ground: Ground

    @property
    def files(self) -> dict[str, tuple[bytes, str]]:
        """What the fetcher hands out for the address of the ground."""
        return {self.ground.address.removeprefix("drawing:"): (self.data, self.media_type)}


def report_drawing(boat_id: int) -> ReportDrawing | None:
    """The drawing of a boat, if she has one that can be drawn."""
    drawing = BoatDrawing.objects.filter(boat=boat_id).first()
    if drawing is None:
        return None
    try:
        clean = drawing_read(drawing)
    except (OSError, ValueError, Refused) as error:
        log.warning("report_drawing_unreadable", boat=boat_id, error=str(error))
        return None
    ground = Ground(f"drawing:{drawing.sha256}", clean.width, clean.height)
    found = ReportDrawing(clean.data, clean.media_type, ground)
    return found if _can_be_drawn(found) else None


def _can_be_drawn(drawing: ReportDrawing) -> bool:
    """Draw it once by itself: WeasyPrint leaves out what it can't draw and only says so in its log."""
    image = f'<image href="{drawing.ground.address}" width="9" height="9"/>'
    page = f'<svg viewBox="0 0 9 9" width="9" height="9">{image}</svg>'
    with _errors() as errors:
        try:
            HTML(string=page, url_fetcher=ReportFetcher({}, drawings=drawing.files)).write_pdf()
        except Exception as error:  # whatever it is, the report is made without the drawing
            errors.append(f"{type(error).__name__}: {error}")
    if errors:
        log.warning("report_drawing_not_drawn", drawing=drawing.ground.address, errors=errors[:3])
    return not errors


@contextmanager
def _errors() -> Iterator[list[str]]:
    said: list[str] = []
    mine = threading.get_ident()

    class Listener(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            if record.thread == mine:
                said.append(record.getMessage())

    listener, logger = Listener(logging.ERROR), logging.getLogger("weasyprint")
    logger.addHandler(listener)
    try:
        yield said
    finally:
        logger.removeHandler(listener)


__all__ = ["ReportDrawing", "report_drawing"]
