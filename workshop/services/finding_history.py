"""What a quote freezes of a finding beyond today's look: the rest of its judgement, and what earlier years saw."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from inspections.judgement.facts import MOISTURE, MOISTURE_BESIDE
from inspections.judgement.vocabulary import Answer, ReasonGroup
from inspections.models import Entry, Finding, Inspection
from inspections.selectors.entries import standing
from inspections.services.earlier_looks import seen_on_at
from workshop.quoting.finding_parts import DryingPart, EarlierPart, HoldPart, JudgedPart
from yard.languages import FIRST, Language
from yard.models import Yard


def judged_part(said: Mapping[str, Any], language: Language = FIRST) -> JudgedPart | None:
    """The rest of a judgement from its document; None where the rules of that time said no more."""
    if "do_not" not in said:
        return None
    hold, drying, do_not = said.get("hold"), said.get("drying"), said["do_not"]
    if language != FIRST:
        do_not = [reason[language] for reason in said["told"] if reason["group"] == ReasonGroup.DO_NOT]
        for reason in said["told"]:
            if hold is not None and reason["group"] == ReasonGroup.MEANWHILE:
                hold = {**hold, "say": reason[language]}
    return JudgedPart(
        due_on=date.fromisoformat(said["due_by_rules_on"] if said.get("overdue") else said["due_back_on"]),
        do_not=tuple(do_not),
        hold=None if hold is None else HoldPart(hold["say"], date.fromisoformat(hold["until"])),
        drying=None if drying is None else _drying_part(drying),
    )


def _drying_part(said: Mapping[str, Any]) -> DryingPart:
    return DryingPart(
        target_pct=Decimal(f"{said['target_pct']:g}"),
        likely_on=_day(said["likely_on"]),
        cautious_on=_day(said["cautious_on"]),
        shed_likely_on=_day(said["shed_likely_on"]),
        wash_first=said["wash_first"],
        too_late=said["too_late"],
    )


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


def seen_on(yard: Yard, entry: Entry) -> date:
    """The day of a look, at the yard."""
    return seen_on_at(yard, entry.observed_at, entry.received_at)


def earlier_at_spots(inspection: Inspection, findings: Sequence[Finding]) -> Mapping[UUID, tuple[EarlierPart, ...]]:
    """What earlier inspections saw at the spots of these findings, by finding, oldest first.

    The last look of a year speaks for it. Queries do not grow with the findings.
    """
    spots = {finding.spot_id for finding in findings if finding.spot_id is not None}
    if not spots:
        return {}
    looks = standing(
        Entry.objects.of_yard(inspection.yard_id).filter(
            spot__in=spots,
            answer__in=[Answer.SOUND, Answer.FINDING],
            inspection__season_year__lt=inspection.season_year,
        )
    ).prefetch_related("readings", "photo_names")
    by_year: dict[UUID, dict[int, EarlierPart]] = {}
    for entry in looks.select_related("inspection"):
        assert entry.spot_id is not None  # filtered by spots
        by_year.setdefault(entry.spot_id, {})[entry.inspection.season_year] = EarlierPart(
            on=seen_on(inspection.yard, entry),
            size_mm=entry.size_mm,
            moisture_pct=moisture_of((reading.quantity, reading.value) for reading in entry.readings.all()),
            photo=next((name.sha256 for name in entry.photo_names.all()), ""),
        )
    return {
        finding.pk: tuple(years[year] for year in sorted(years))
        for finding in findings
        if finding.spot_id is not None and (years := by_year.get(finding.spot_id))
    }


def moisture_of(readings: Iterable[tuple[str, Decimal]]) -> Decimal | None:
    """The highest moisture reading at the spot itself, % of dry mass."""
    return max(
        (
            value
            for quantity, value in readings
            if quantity.startswith(MOISTURE) and not quantity.startswith(MOISTURE_BESIDE)
        ),
        default=None,
    )


__all__ = ["earlier_at_spots", "judged_part", "moisture_of", "seen_on"]
