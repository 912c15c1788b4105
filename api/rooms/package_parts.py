"""The parts of a boat's package as plain JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final
from zoneinfo import ZoneInfo

from django.urls import reverse

from api.rooms.entries import EntryOut
from api.rooms.tablet import TabletMemberOut
from inspections.judgement.vocabulary import (
    Answer,
    Condition,
    Moves,
    Priority,
    RiskLevel,
    Seal,
    Sides,
    Trend,
)
from inspections.models import OpeningStep, Sign
from inspections.models.inspections import CheckOrigin
from inspections.selectors.checks import CheckState
from inspections.selectors.opening import deed_of
from inspections.selectors.package import Package
from inspections.selectors.route import RouteStop
from workshop.report.plan import HALF_BREADTH, plan_drawing
from yard.models import Component, PlanLevel
from yard.tablet_contract import CONTRACT
from yard.vocabulary import Load, Water

VOCABULARY: Final[dict[str, Any]] = {
    "answer": Answer.choices(),
    "water": Water.choices(),
    "load": Load.choices(),
    "seal": Seal.choices(),
    "moves": Moves.choices(),
    "sides": Sides.choices(),
    "trend": Trend.choices(),
    "priority": Priority.choices(),
    "risk": RiskLevel.choices(),
    "origin": CheckOrigin.choices,
}


def told(package: Package) -> dict[str, Any]:
    """The whole package."""
    inspection, yard, boat = package.inspection, package.inspection.yard, package.inspection.boat
    checks, stops = package.in_the_order_of_the_round(), package.stops
    return {
        "contract": CONTRACT,
        "inspection": {
            "id": inspection.pk,
            "boat": boat.pk,
            "season_year": inspection.season_year,
            "launch_on": inspection.launch_on,
            "layup_on": None if package.season is None else package.season.layup_on,
            "opened_at": inspection.opened_at,
            "closed_at": inspection.closed_at,
            "checks_total": len(checks),
            "checks_answered": sum(bool(state.answers) for state in checks),
        },
        "yard": {"id": yard.pk, "name": yard.name, "time_zone": yard.time_zone, "locale": yard.locale},
        "boat": {
            name: getattr(boat, name) for name in ("id", "name", "build", "material", "loa_mm", "beam_mm", "year")
        },
        "plan": _plan(boat.loa_mm, boat.beam_mm),
        "levels": _pairs(PlanLevel.choices),
        "components": [_component(component, package.signs) for component in package.components],
        "spots": _spots(package),
        "steps": _steps(package),
        "checks": [_check(state, stops.get(state.check.pk), package) for state in checks],
        "areas": _areas(checks),
        "earlier": [_earlier(finding, yard.zone) for finding in package.earlier],
        "entries": EntryOut(
            [*(entry for state in checks for entry in state.answers), *package.beside], many=True
        ).data,
        "photos_missing": [{"sha256": named.sha256, "entry": str(named.entry_id)} for named in package.missing],
        "signs": [_sign(sign) for sign in package.signs],
        "conditions": _pairs(Condition.choices()),
        "vocabulary": {name: _pairs(words) for name, words in VOCABULARY.items()},
        "members": TabletMemberOut(package.members, many=True).data,
        "templates": _templates(checks, package),
        "first_reading": package.table,
    }


def _pairs(words: Iterable[Any]) -> list[list[str]]:
    return [[str(code), str(label)] for code, label in words]


def _plan(loa_mm: int, beam_mm: int) -> dict[str, Any]:
    drawing = plan_drawing(loa_mm=loa_mm, beam_mm=beam_mm, marks=(), label="")
    return {
        "width": drawing.width,
        "height": drawing.height,
        "outline": drawing.outline,
        "inner": drawing.inner,
        "centre": drawing.centre,
        "top": drawing.top,
        "bottom": drawing.bottom,
        "aft": drawing.aft,
        "forward": drawing.forward,
        "half": round((drawing.bottom - drawing.top) / 2, 2),
        "stations": [
            {name: getattr(station, name) for name in ("number", "x", "top", "bottom", "label_y")}
            for station in drawing.stations
        ],
        "half_breadth": [list(point) for point in HALF_BREADTH],
    }


def _component(component: Component, signs: Iterable[Sign]) -> dict[str, Any]:
    kind = component.component_class
    codes = [sign.code for sign in signs]
    usual = [code for code in kind.usual_signs if code in codes]
    return {
        "id": component.pk,
        "component_class": kind.code,
        "class_name": kind.name,
        "group": kind.group,
        "name": component.name,
        "position": component.position,
        "species": component.species,
        "finish": component.finish,
        "water": list(kind.water),
        "loaded": not kind.load or list(kind.load) != [Load.NONE.value],
        "signs": [*usual, *(code for code in codes if code not in usual)],
        "usual": len(usual),
    }


def _spots(package: Package) -> list[dict[str, Any]]:
    found: dict[Any, list[str]] = {}
    for finding in package.earlier:
        if finding.spot_id is not None:
            found.setdefault(finding.spot_id, []).append(str(finding.pk))
    return [
        {
            "id": str(spot.pk),
            "component": spot.component_id,
            "name": spot.name,
            "tag": spot.tag,
            "plan_x": spot.plan_x,
            "plan_y": spot.plan_y,
            "level": spot.level,
            "measured": package.was_measured(spot.pk),
            "findings": found.get(spot.pk, []),
        }
        for spot in package.spots
    ]


def _steps(package: Package) -> list[dict[str, Any]]:
    together: dict[object, list[OpeningStep]] = {}
    for step in package.steps:
        together.setdefault(deed_of(step), []).append(step)
    behind: dict[tuple[int, str], list[int]] = {}
    for state in package.in_the_order_of_the_round():
        for key in state.check.after:
            behind.setdefault((state.check.component_id, key), []).append(state.check.pk)
    return [
        {
            "id": step.pk,
            "component": step.component_id,
            "key": step.key,
            "kind": step.kind,
            "text": step.text,
            "shares": step.shares,
            "same": [other.pk for other in together[deed_of(step)]],
            "checks": behind.get((step.component_id, step.key), []),
            "said": _said(package, step),
        }
        for step in package.steps
    ]


def _said(package: Package, step: OpeningStep) -> dict[str, Any] | None:
    said = package.said.get(deed_of(step))
    if said is None:
        return None
    return {
        "id": str(said.pk),
        "outcome": said.outcome,
        "reason": said.reason,
        "author": {"id": said.author_id, "name": said.author.name},
        "observed_at": said.observed_at,
    }


def _check(state: CheckState, stop: RouteStop | None, package: Package) -> dict[str, Any]:
    check = state.check
    steps = {(step.component_id, step.key): step.pk for step in package.steps}
    at_place = [
        str(finding.pk)
        for finding in package.earlier
        if (finding.spot_id == check.spot_id if check.spot_id else finding.component_id == check.component_id)
    ]
    return {
        "id": check.pk,
        "component": check.component_id,
        "spot": None if check.spot_id is None else str(check.spot_id),
        "origin": check.origin,
        "key": check.key,
        "prompt": check.prompt,
        "look_for": check.look_for,
        "answer_kind": check.answer_kind,
        "reading": check.reading,
        "usual_signs": check.usual_signs,
        "after": [steps[check.component_id, key] for key in check.after if (check.component_id, key) in steps],
        "contact": check.contact,
        "both_sides": check.both_sides,
        "photo_wanted": check.photo_wanted,
        "template_version": None if check.template_version is None else check.template_version.number,
        "risk": None if stop is None else stop.stop.risk.value,
        "severity": None if stop is None else stop.stop.severity,
        "loaded": stop is not None and stop.stop.loaded,
        "reasons": [] if stop is None else list(stop.stop.reasons),
        "open_up_advised": stop is not None and stop.stop.open_up_advised,
        "open_up_because": "" if stop is None else stop.stop.open_up_because,
        "measured": package.was_measured(check.spot_id, check),
        "earlier": at_place,
        "answers": [str(entry.pk) for entry in state.answers],
    }


def _areas(checks: Iterable[CheckState]) -> list[dict[str, Any]]:
    areas: dict[str, list[int]] = {}
    for state in checks:
        areas.setdefault(state.check.component.component_class.group, []).append(state.check.pk)
    return [
        {"key": key, "name": key.replace("_", " ").capitalize(), "checks": those} for key, those in areas.items()
    ]


def _earlier(finding: Any, zone: ZoneInfo) -> dict[str, Any]:
    entry, judged = finding.entry, finding.standing_assessments
    return {
        "id": str(finding.pk),
        "season_year": finding.inspection.season_year,
        "component": finding.component_id,
        "spot": None if finding.spot_id is None else str(finding.spot_id),
        "elsewhere": entry.elsewhere,
        "found_on": entry.observed_at.astimezone(zone).date(),
        "state": finding.state,
        "condition": judged[0].condition if judged else None,
        "priority": finding.standing_priority,
        "due_back_on": finding.standing_due_back_on,
        "signs": entry.signs,
        "size_mm": None if entry.size_mm is None else str(entry.size_mm),
        "sides": entry.sides,
        "note": entry.note,
        "photos": [_photo(named.sha256) for named in entry.photo_names.all()],
    }


def _photo(sha256: str) -> dict[str, str]:
    address = reverse("api:photo-content", args=[sha256])
    return {"sha256": sha256, "thumbnail": f"{address}?size=thumbnail", "report": f"{address}?size=report"}


def _sign(sign: Sign) -> dict[str, Any]:
    names = ("code", "name", "record_as", "size_unit", "meaning", "confirm_by", "conditions")
    return {name: getattr(sign, name) for name in names}


def _templates(checks: Iterable[CheckState], package: Package) -> list[dict[str, Any]]:
    """By which edition each class is asked, and the newest there is."""
    asked: dict[str, tuple[int, int]] = {}
    for state in checks:
        version = state.check.template_version
        if version is not None:
            newest = package.versions.get(version.template_id, version.number)
            asked[state.check.component.component_class.code] = version.number, newest
    return [
        {"component_class": code, "number": number, "newest": newest}
        for code, (number, newest) in sorted(asked.items())
    ]


__all__ = ["told"]
