"""A quote in the decider's hands: three jobs, the pictures that belong to them, and a browser without a log-in."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Any

from django.test import Client
from django.urls import reverse

from inspections.services.photos import photo_receive
from tests.factories.inspections import picture
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import Decision, OwnerLink, Quote, QuoteLine
from workshop.services.links import link_token
from workshop.services.quotes import quote_draft, quote_send
from yard.outbox import drain


@dataclass
class Letter:
    """What came of a sent quote."""

    spring: Spring
    quote: Quote
    link: OwnerLink
    photo: str
    strange_photo: str

    @property
    def token(self) -> str:
        return link_token(self.link)

    @property
    def address(self) -> str:
        return reverse("web:owner-quote", args=[self.token])

    def line(self, place: str) -> QuoteLine:
        """The line of the job that serves a component of that name."""
        line: QuoteLine = self.quote.lines.get(job__operations__finding__component__name=place)
        return line

    def answer(self, place: str, verdict: str, client: Client | None = None, **fields: str) -> Any:
        """Post what the page's form would post."""
        address = reverse("web:owner-answer", args=[self.token, self.line(place).pk])
        return (client or Client()).post(address, {"verdict": verdict, "digest": self.quote.digest, **fields})

    def decisions(self) -> list[str]:
        return list(Decision.objects.filter(line__quote=self.quote).values_list("verdict", flat=True))


def a_letter(*, locale: str = "en_GB", **boat: Any) -> Letter:
    """A sent quote of three jobs: the mast step that is unsafe to leave, a window frame, a toerail that can wait.

    The jobs are put in the opposite order, so that the page has something to put right.
    """
    laid = a_spring(name="Sea Pink", **boat)
    owner = laid.boat.decider_owner
    assert owner is not None
    owner.locale = locale
    owner.save()
    photo, strange = (_photo(laid, colour) for colour in ("sienna", "navy"))
    laid.finding(laid.component("Toerail"), "REBED_SEALANT", priority="next_layup", severity=4)
    laid.finding(laid.component("Window frame"), "REBED_SEALANT", photos=[photo])
    laid.finding(
        laid.component("Mast step"), "SEAM", priority="before_launch", severity=1, condition="split_in_load_path"
    )
    jobs = sorted(laid.propose(), key=lambda job: job.pk)
    quote = quote_send(
        quote=quote_draft(inspection=laid.inspection, jobs=jobs, by=laid.manager, at=AT), by=laid.manager, at=AT
    )
    return Letter(laid, quote, OwnerLink.objects.get(quote=quote), photo, strange)


def _photo(laid: Spring, colour: str) -> str:
    data = picture(width=800, height=600, colour=colour)
    sha256 = hashlib.sha256(data).hexdigest()
    photo_receive(yard=laid.yard, sha256=sha256, data=data, by=laid.technician, at=AT)
    drain(now=AT)
    return sha256


__all__ = ["Letter", "a_letter"]
