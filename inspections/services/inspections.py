"""Opening and closing an inspection: which questions it asks, and when it may say that all of them are answered."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from inspections.judgement.vocabulary import Answer
from inspections.models import Check, Entry, Inspection, OpeningStep, TemplateVersion
from inspections.selectors.entries import missing_photos, standing_entries
from inspections.services import questions
from inspections.services.asking import ask_for_assessment
from inspections.services.looked_at import end_what_was_looked_at
from inspections.services.second_look_asks import asks_become_checks, asks_waiting
from inspections.services.taken_over import checks_taken_over, last_inspection
from yard.models import Boat, Component, Member, Season
from yard.refusals import Refused, RefusedMany
from yard.selectors import today_at


@transaction.atomic
def inspection_open(
    *, boat: Boat, season_year: int, at: datetime, by: Member | None, launch_on: date | None = None
) -> Inspection:
    """Open the inspection of a boat for a season.

    Its checks are made from the latest published templates of the boat's components. Spots that are somebody's
    business from earlier years, and places not seen at the last look, become checks of their own. What a manager
    has asked for since is told with them.

    Args:
        launch_on: when she is to go in; the season's day unless given.

    Raises:
        Refused: she has left the yard or has no components, the season is not known, or she is inspected already.
        RefusedMany: classes without a published template.
    """
    held = Boat.objects.select_for_update(no_key=True).get(pk=boat.pk)
    if held.left_on is not None:
        raise Refused("boat", f"{held.name} left the yard on {held.left_on}", "choose a boat that is here")
    season = _season(held.yard_id, season_year)
    if Inspection.objects.filter(boat=held, season_year=season_year).exists():
        raise Refused(
            "season_year", f"{held.name} has an inspection of {season_year} already", "go on with that one"
        )
    components = questions.in_order_of_concern(
        Component.objects.of_yard(held.yard_id)
        .filter(boat=held, removed_on__isnull=True)
        .select_related("component_class")
    )
    versions = _published_versions(held, components)
    inspection: Inspection = Inspection.objects.create(
        yard_id=held.yard_id,
        boat=held,
        season_year=season_year,
        launch_on=_launch_day(launch_on or season.launch_on, season),
        opened_at=at,
        opened_by=by,
    )
    OpeningStep.objects.bulk_create(questions.opening_steps(inspection, components, versions))
    asked = questions.template_checks(inspection, components, versions)
    covered = {(check.component_id, check.key) for check in asked}
    asks = asks_waiting(held)
    taken_over = checks_taken_over(inspection, last_inspection(held, season_year), covered, asks)
    Check.objects.bulk_create(questions.in_the_order_of_the_round(components, [*taken_over, *asked]))
    asks_become_checks(inspection, asks)
    return inspection


@transaction.atomic
def inspection_launch_set(*, inspection: Inspection, launch_on: date, at: datetime) -> Inspection:
    """Change the day on which the boat is to go in; what was found is judged again.

    Raises:
        Refused: a day outside the season.
    """
    held: Inspection = Inspection.objects.select_for_update(no_key=True).get(pk=inspection.pk)
    day = _launch_day(launch_on, _season(held.yard_id, held.season_year))
    if day != held.launch_on:
        held.launch_on = day
        held.save(update_fields=["launch_on"])
        judged = standing_entries(held).filter(answer__in=[Answer.FINDING, Answer.NOT_SEEN])
        ask_for_assessment(judged.values_list("pk", flat=True), yard=held.yard, at=at)
    return held


@transaction.atomic
def inspection_afloat_set(*, inspection: Inspection, afloat_on: date | None, at: datetime) -> Inspection:
    """Write down the day on which she went in, or take it back. What is left open does not stand in its way.

    Raises:
        Refused: a day that has not come, or one of another year than her season.
    """
    held: Inspection = (
        Inspection.objects.select_related("yard").select_for_update(of=("self",), no_key=True).get(pk=inspection.pk)
    )
    if afloat_on is not None:
        if afloat_on > today_at(held.yard, at):
            raise Refused(
                "afloat_on", f"{afloat_on.isoformat()} has not come yet", "say it once she is in the water"
            )
        if afloat_on.year != held.season_year:
            raise Refused(
                "afloat_on",
                f"{afloat_on.isoformat()} is not in {held.season_year}, her season",
                f"give a day of {held.season_year}",
            )
    held.afloat_on = afloat_on
    held.save(update_fields=["afloat_on"])
    return held


@transaction.atomic
def inspection_close(*, inspection: Inspection, at: datetime, by: Member | None) -> Inspection:
    """Close an inspection: every check has an answer, every photo that is named is here. Closed twice is closed.

    Earlier years' findings at spots that were looked at now are ended as seen again, with their lines in the
    due-back book. Those that wait for the workshop (held, repaired and found sound) stay the workshop's.

    Raises:
        RefusedMany: checks without an answer (`checks.<id>`) and photos that are missing (`photos.<digest>`).
    """
    held: Inspection = Inspection.objects.select_for_update(no_key=True).get(pk=inspection.pk)
    if held.closed_at is not None:
        return held
    entries = list(standing_entries(held))
    refusals = [*_unanswered(held, entries), *_photos_not_here(held)]
    if refusals:
        raise RefusedMany(refusals)
    held.closed_at = at
    held.closed_by = by
    held.save(update_fields=["closed_at", "closed_by"])
    end_what_was_looked_at(held, entries, at)
    return held


def _season(yard_id: int, year: int) -> Season:
    season: Season | None = Season.objects.of_yard(yard_id).filter(year=year).first()
    if season is None:
        raise Refused("season_year", f"the yard has no season {year}", "enter its launch and lay-up first")
    return season


def _launch_day(launch_on: date, season: Season) -> date:
    if launch_on.year != season.year or launch_on >= season.layup_on:
        raise Refused(
            "launch_on",
            f"{launch_on.isoformat()} is not in the season of {season.year}",
            f"give a day of {season.year} before the lay-up on {season.layup_on.isoformat()}",
        )
    return launch_on


def _published_versions(boat: Boat, components: list[Component]) -> dict[int, TemplateVersion]:
    """The latest published version for each class of the boat's components."""
    if not components:
        raise Refused("boat", f"{boat.name} has no components", "enter what she is made of first")
    classes = {component.component_class_id: component.component_class for component in components}
    latest: dict[int, TemplateVersion] = {}
    for version in (
        TemplateVersion.objects.of_yard(boat.yard_id)
        .filter(template__component_class__in=classes, published_at__isnull=False)
        .select_related("template")
        .order_by("number")
    ):
        latest[version.template.component_class_id] = version
    refusals = [
        Refused(
            "boat",
            f"nothing is asked of {component_class.name}: its template is not published",
            "publish a template for this class, or take the component out",
        )
        for key, component_class in classes.items()
        if key not in latest
    ]
    if refusals:
        raise RefusedMany(refusals)
    return latest


def _unanswered(inspection: Inspection, entries: list[Entry]) -> list[Refused]:
    answered = {entry.answers_id for entry in entries}
    return [
        Refused(
            f"checks.{check.pk}",
            f"nobody has answered “{check.prompt}” at {check.component}",
            "answer it; where the place can't be seen, answer not_seen and say what hides it",
        )
        for check in inspection.checks.select_related("component")
        if check.pk not in answered
    ]


def _photos_not_here(inspection: Inspection) -> list[Refused]:
    return [
        Refused(
            f"photos.{named.sha256}",
            f"the photo has not arrived, and the entry {named.entry_id} names it",
            "send it; if it is lost, send a new entry in that one's place without it",
        )
        for named in missing_photos(inspection)
    ]


__all__ = ["inspection_close", "inspection_launch_set", "inspection_open"]
