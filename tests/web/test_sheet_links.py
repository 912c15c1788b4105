"""Where the office leads to the sheets that are printed, and where a sticker's code leads back to."""

from __future__ import annotations

import pytest

from tests.web.visitor import Visitor
from tests.workshop.spring import Spring, a_spring
from yard.models import Spot

pytestmark = pytest.mark.django_db


@pytest.fixture
def spring() -> Spring:
    made = a_spring()
    made.finding(made.component("Window frame"), "REBED_SEALANT")
    made.propose()
    return made


def test_the_boats_page_leads_to_the_sheets_of_her_jobs_and_a_managers_to_the_stickers(spring: Spring) -> None:
    address = f"/boats/{spring.boat.pk}/"
    (job,) = spring.boat.jobs.all()
    sheet, stickers = f'href="/api/v1/jobs/{job.pk}/sheet/"', f'href="/api/v1/boats/{spring.boat.pk}/tags/"'
    seen = Visitor(spring.technician).page(address)
    assert sheet in seen
    assert stickers not in seen
    manager = Visitor(spring.manager)
    page = manager.page(address)
    assert sheet in page
    assert stickers in page
    assert 'href="/api/v1/tags/unused/"' in page
    # signed in by the pages, the manager gets the PDF from the same address
    assert manager.get(f"/api/v1/boats/{spring.boat.pk}/tags/")["Content-Type"] == "application/pdf"


def test_a_tag_leads_to_its_spot_and_one_on_no_spot_of_the_yard_to_the_boats(spring: Spring) -> None:
    spot = Spot.objects.get()
    visitor = Visitor(spring.technician)
    assert visitor.get(f"/t/{spot.tag}/")["Location"] == f"/spots/{spot.pk}/"
    assert visitor.get(f"/t/{spot.tag[:4]}-{spot.tag[4:].lower()}/")["Location"] == f"/spots/{spot.pk}/"
    stranger = Visitor(a_spring().technician)
    assert stranger.get(f"/t/{spot.tag}/")["Location"] == "/boats/"
    assert "is on no spot yet" in stranger.page("/boats/")
    assert visitor.get("/t/2345/")["Location"] == "/boats/"
    assert "That is no tag." in visitor.page("/boats/")
    assert Visitor().get(f"/t/{spot.tag}/")["Location"].startswith("/sign-in/?next=")
