"""An entry that was set aside, in words: what a tablet sent, read again for people."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.utils.dateparse import parse_datetime

from inspections.judgement.vocabulary import Answer
from inspections.models import Check, OpeningStep, SetAside
from inspections.services.step_sheet import is_about_step
from web.office.entry_views import sign_names
from web.templatetags.faying import VOCABULARIES, code_word, moment, words
from workshop.report.context import reading_name, unit_text
from workshop.services.quote_words import part_of
from yard.models import Component, Spot, Yard

PLAIN = ("water", "load", "seal", "moves", "sides", "trend")


@dataclass(frozen=True, slots=True)
class Told:
    """A row with what it says.

    Args:
        place: where it was meant to stand, as far as the yard still knows it.
        what: the answer with its signs.
        facts: everything else, each with its name.
        check: that it answered, in whatever inspection; None where the yard has none.
        component: that it is about; None where the yard knows none.
        about_step: it tells of opening up, and of no place.
    """

    row: SetAside
    place: str
    what: str
    facts: tuple[tuple[str, str], ...]
    check: Check | None
    component: Component | None
    about_step: bool


def told_of(yard: Yard, rows: Iterable[SetAside]) -> list[Told]:
    """The rows in words, in a fixed number of queries."""
    held = list(rows)
    names = sign_names(yard)
    checks = _by_key(Check.objects.of_yard(yard).select_related("component"), held, "check")
    steps = _by_key(OpeningStep.objects.of_yard(yard).select_related("component"), held, "step")
    components = _by_key(Component.objects.of_yard(yard), held, "component")
    spots = {str(spot.pk): spot.name for spot in Spot.objects.of_yard(yard).filter(pk__in=_spots(held))}
    return [_told(row, yard, names, checks, steps, components, spots) for row in held]


def _told(
    row: SetAside,
    yard: Yard,
    names: Mapping[str, str],
    checks: Mapping[object, Check],
    steps: Mapping[object, OpeningStep],
    components: Mapping[object, Component],
    spots: Mapping[str, str],
) -> Told:
    sent: Mapping[str, Any] = row.sent if isinstance(row.sent, Mapping) else {}
    about_step = is_about_step(sent)
    check, step = checks.get(_key(sent, "check")), steps.get(_key(sent, "step"))
    component = components.get(_key(sent, "component")) or (check.component if check is not None else None)
    part = component if component is not None else (step.component if step is not None else None)
    spot = sent.get("spot")
    spot = spot if isinstance(spot, Mapping) else {}
    spot_name = str(spot.get("name") or spots.get(str(spot.get("id")), ""))
    where = part_of(part, str(sent.get("elsewhere") or ""))
    signs = [names.get(str(code), str(code)) for code in _list(sent, "signs")]
    answer = str(sent.get("answer", ""))
    said = code_word(answer, "answer") if answer in {each.value for each in Answer} else answer
    if about_step:
        said = f"{step.text if step is not None else 'an opening-up step'}: {words(str(sent.get('outcome', '')))}"
    return Told(
        row=row,
        place=": ".join(part for part in (where, spot_name) if part),
        what=f"{said}: {', '.join(signs)}" if signs else said,
        facts=tuple((name, value) for name, value in _facts(sent, check, row, yard) if value),
        check=check,
        component=component,
        about_step=about_step,
    )


def _facts(sent: Mapping[str, Any], check: Check | None, row: SetAside, yard: Yard) -> Iterable[tuple[str, str]]:
    yield "In answer to", check.prompt if check is not None else ""
    size = sent.get("size_mm")
    yield "Size", f"{size} mm" if size not in (None, "") else ""
    for reading in _list(sent, "readings"):
        if isinstance(reading, Mapping):
            unit = str(reading.get("unit", ""))
            yield (
                reading_name(str(reading.get("quantity", "")), unit),
                f"{reading.get('value', '')} {unit_text(unit)}",
            )
    for name in PLAIN:
        if name in VOCABULARIES:
            yield name.capitalize(), code_word(sent[name], name) if sent.get(name) else ""
    yield "What hid it", str(sent.get("not_seen_reason") or "")
    yield "Reason", str(sent.get("reason") or "")
    yield "Note", str(sent.get("note") or "")
    photos = len(_list(sent, "photos"))
    yield "Photos", f"{photos} named" if photos else ""
    yield "Seen", _moment(str(sent.get("observed_at") or ""), yard)
    yield "Came in", moment(row.received_at, yard)


def _moment(text: str, yard: Yard) -> str:
    """By the yard's clock; what is no moment stays as it came."""
    try:
        seen = parse_datetime(text)
    except ValueError:
        seen = None
    return text if seen is None or seen.utcoffset() is None else moment(seen, yard)


def _list(sent: Mapping[str, Any], name: str) -> list[Any]:
    value = sent.get(name)
    return value if isinstance(value, list) else []


def _key(sent: Mapping[str, Any], name: str) -> int | None:
    value = sent.get(name)
    return value if isinstance(value, int) and not isinstance(value, bool) and 0 < value < 2**63 else None


def _by_key(rows: Any, held: Iterable[SetAside], name: str) -> dict[object, Any]:
    keys = {_key(row.sent, name) for row in held if isinstance(row.sent, Mapping)} - {None}
    return {row.pk: row for row in rows.filter(pk__in=keys)} if keys else {}


def _spots(held: Iterable[SetAside]) -> set[UUID]:
    found = set()
    for row in held:
        spot = row.sent.get("spot") if isinstance(row.sent, Mapping) else None
        try:
            found.add(UUID(str(spot["id"])) if isinstance(spot, Mapping) and "id" in spot else None)
        except ValueError:
            continue
    return {key for key in found if key is not None}


__all__ = ["Told", "told_of"]
