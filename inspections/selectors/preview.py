"""What a tablet would be given of one part, were it inspected by a version now. Nothing of it is stored."""

from __future__ import annotations

from datetime import datetime

from inspections.documents import LARGEST_KEY
from inspections.models import Inspection, Sign, TemplateVersion
from inspections.selectors.checks import CheckState
from inspections.selectors.package import Package
from inspections.services.earlier_looks import Looks
from inspections.services.first_readings import first_readings_of
from inspections.services.questions import in_the_order_of_the_round, opening_steps, template_checks
from yard.models import Boat, Component, Season
from yard.selectors import today_at

# Of a boat that is none: keys that no row has, and a size for her plan.
_KEY = LARGEST_KEY
_LOA_MM, _BEAM_MM = 9_000, 2_600


def preview_package(version: TemplateVersion, at: datetime) -> Package:
    """A package of one imagined boat with one part of the template's class, asked by this version.

    Args:
        version: with its yard, template and class; a draft too.

    Raises:
        RefusedMany: the text makes no sense yet.
    """
    yard, component_class = version.yard, version.template.component_class
    today = today_at(yard, at)
    season = Season.objects.of_yard(yard).filter(layup_on__gte=today).order_by("layup_on").first()
    boat = Boat(pk=_KEY, yard=yard, name=component_class.name, build="carvel", loa_mm=_LOA_MM, beam_mm=_BEAM_MM)
    inspection = Inspection(
        pk=_KEY,
        yard=yard,
        boat=boat,
        season_year=today.year if season is None else season.year,
        launch_on=today if season is None else season.launch_on,
        opened_at=at,
    )
    part = Component(pk=_KEY, yard=yard, boat=boat, component_class=component_class, name=component_class.name)
    versions = {component_class.pk: version}
    steps = opening_steps(inspection, [part], versions)
    checks = in_the_order_of_the_round([part], template_checks(inspection, [part], versions))
    for turn, row in enumerate([*steps, *checks], start=1):
        row.pk = turn
    signs = list(Sign.objects.of_yard(yard).order_by("code"))
    return Package(
        inspection=inspection,
        season=season,
        components=[part],
        spots=[],
        steps=steps,
        said={},
        states={check.pk: CheckState(check, ()) for check in checks},
        legs=(),
        beside=[],
        missing=[],
        earlier=[],
        looks=Looks({}, {}),
        signs=signs,
        members=[],
        versions={},
        table=first_readings_of(inspection, [part], signs, at),
    )


__all__ = ["preview_package"]
