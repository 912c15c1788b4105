"""The way round a boat on the page of her inspection."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inspections.services.inspections import inspection_close
from tests.factories import ComponentClassFactory, ComponentFactory, TemplateVersionFactory
from tests.factories.inspections import CheckFactory, OpeningStepFactory
from tests.inspections.scenes import Scene, scene
from tests.web.conftest import NOW
from tests.web.visitor import Visitor
from yard.models import Season

pytestmark = pytest.mark.django_db


@pytest.fixture
def made() -> Scene:
    return scene(NOW - timedelta(days=1))


def way(made: Scene) -> str:
    page = Visitor(made.technician).page(f"/inspections/{made.inspection.pk}/")
    return page.split("The way round")[1].split("<h2>")[0]


def test_what_is_left_stands_in_order_with_its_reasons(made: Scene) -> None:
    told = way(made)
    assert "0 of 2 places are seen." in told
    assert "Lining off below the window:" in told
    assert "Are the lower corners tight?" in told
    assert "No look at it is on record." in told
    assert "opening up is advised</strong> because" in told


def test_what_lies_behind_one_opening_stands_under_it(made: Scene) -> None:
    rudder = ComponentClassFactory.create(yard=made.yard, safety_role="steering", load=["cyclic"])
    TemplateVersionFactory.create(template__component_class=rudder)
    head = ComponentFactory.create(boat=made.boat, component_class=rudder, name="rudder head")
    OpeningStepFactory.create(inspection=made.inspection, component=head)
    CheckFactory.create(inspection=made.inspection, component=head, prompt="Is the head sound?", after=["lining"])
    told = way(made)
    assert told.count("Lining off below the window:") == 1
    assert told.index("Is the head sound?") < told.index("Are the lower corners tight?")
    assert told.index("Are the lower corners tight?") < told.index("How wet is the lower rail?")


def test_what_was_seen_leaves_the_way(made: Scene) -> None:
    made.store(made.sound(), made.not_seen(made.moisture))
    told = way(made)
    assert "1 of 2 places are seen." in told
    assert "Are the lower corners tight?" not in told
    assert "Not seen this time: lining screwed down." in told


def test_when_all_was_seen_it_says_so_and_a_closed_inspection_has_no_way(made: Scene) -> None:
    made.store(made.sound(), made.wet())
    assert "Every place was seen." in way(made)
    inspection_close(inspection=made.inspection, at=NOW, by=None)
    assert "The way round" not in Visitor(made.technician).page(f"/inspections/{made.inspection.pk}/")


def test_without_a_season_it_says_what_is_missing(made: Scene) -> None:
    Season.objects.filter(yard=made.yard).delete()
    assert "the yard has no season 2027" in way(made)
