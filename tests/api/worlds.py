"""Whole scenes behind the API: what has been laid by the services before somebody asks."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from inspections.models import Finding, Photo
from inspections.services.photos import photo_receive
from tests.api.callers import Caller
from tests.conftest import SPRING
from tests.factories.inspections import picture
from tests.inspections.scenes import Scene, scene
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import Job, Quote, QuoteLine
from yard.outbox import drain

# After all that the scenes lay, so that nothing in them lies ahead.
NOW = AT + timedelta(hours=3)


def worked() -> int:
    """Let the worker do what was asked for; the number of pieces of work."""
    return drain(now=NOW + timedelta(minutes=10))


@dataclass
class Aboard:
    """A boat under inspection, and who calls about her."""

    scene: Scene
    manager: Caller
    technician: Caller

    @property
    def address(self) -> str:
        return f"inspections/{self.scene.inspection.pk}/"

    def send(self, *sheets: Any, by: Caller | None = None) -> list[dict[str, Any]]:
        """Send a batch and be sure that it was taken as a whole; its results."""
        answer = (by or self.technician).post(f"{self.address}entries/", {"entries": list(sheets)})
        assert answer.status_code == 200, answer.content
        results: list[dict[str, Any]] = answer.json()["results"]
        return results

    def found(self, **more: Any) -> Finding:
        """A finding of this inspection, judged."""
        sheet = self.scene.finding(**more)
        self.scene.store(sheet)
        worked()
        return Finding.objects.get(pk=sheet["id"])


def aboard() -> Aboard:
    laid = scene(SPRING)
    return Aboard(scene=laid, manager=Caller(laid.manager), technician=Caller(laid.technician))


@dataclass
class Bench:
    """A boat with judged findings, and who calls about the work on her."""

    spring: Spring
    manager: Caller
    technician: Caller

    def proposed(self) -> Job:
        return self.spring.propose()[0]

    def sent(self) -> Quote:
        return self.spring.sent()

    def line(self) -> QuoteLine:
        return self.sent().lines.get()


def bench(**boat: Any) -> Bench:
    laid = a_spring(**boat)
    laid.finding(laid.component("Window frame"), "REBED_SEALANT", severity=3)
    return Bench(spring=laid, manager=Caller(laid.manager), technician=Caller(laid.technician))


def photo_of(laid: Scene, colour: str = "sienna") -> Photo:
    """A photo that is here, with its small sizes made."""
    data = picture(width=1600, height=1200, colour=colour)
    sha256 = hashlib.sha256(data).hexdigest()
    photo_receive(yard=laid.yard, sha256=sha256, data=data, by=laid.technician, at=SPRING)
    worked()
    return Photo.objects.of_yard(laid.yard).get(sha256=sha256)


__all__ = ["NOW", "Aboard", "Bench", "aboard", "bench", "photo_of", "worked"]
