"""The rows that a batch of entries becomes: collected one by one, written together."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import models

from inspections.judgement.vocabulary import Answer
from inspections.models import (
    Assessment,
    DueBack,
    Entry,
    EntryPhoto,
    Finding,
    Inspection,
    OpeningStep,
    Reading,
    SecondLookAsk,
    SetAside,
    StepEntry,
)
from inspections.models.findings import FindingState
from inspections.selectors.entries import standing_entries
from inspections.services.asking import ask_for_assessment, ask_for_jobs
from inspections.services.entry_places import Place, Surroundings
from inspections.services.entry_sheet import EntrySheet, put_right
from inspections.services.joining import unjoin_from_withdrawn
from inspections.services.looked_at import end_what_was_looked_at
from inspections.services.step_sheet import StepSheet
from yard.models import DeviceToken, Member, Spot


@dataclass(slots=True)
class Batch:
    """What is to be written. `add` and `set_aside` collect, `write` writes."""

    inspection: Inspection
    device: DeviceToken | None
    around: Surroundings
    at: datetime
    entries: list[Entry] = field(default_factory=list)
    steps: list[StepEntry] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    photos: list[EntryPhoto] = field(default_factory=list)
    aside: list[SetAside] = field(default_factory=list)
    superseded: list[UUID] = field(default_factory=list)
    to_judge: list[UUID] = field(default_factory=list)
    new_findings: dict[UUID, Finding] = field(default_factory=dict)
    changed_findings: dict[UUID, Finding] = field(default_factory=dict)

    def set_aside(
        self, document: object, sheet: EntrySheet | StepSheet, digest: str, why: str, author: Member
    ) -> SetAside:
        row = SetAside(
            yard_id=self.inspection.yard_id,
            entry_id=sheet.id,
            boat=self.inspection.boat,
            sent=document,
            digest=digest,
            why=why[:300],
            author=author,
            device=self.device,
            received_at=self.at,
        )
        self.aside.append(row)
        return row

    def add_step(self, sheet: StepSheet, digest: str, step: OpeningStep, author: Member) -> None:
        self.steps.append(
            StepEntry(
                id=sheet.id,
                yard_id=self.inspection.yard_id,
                inspection_id=self.inspection.pk,
                step=step,
                outcome=sheet.outcome,
                reason=sheet.reason,
                digest=digest,
                **self._who_and_when(sheet, author),
            )
        )

    def _who_and_when(self, sheet: EntrySheet | StepSheet, author: Member) -> dict[str, Any]:
        return {
            "author_id": author.pk,
            "device_id": _key(self.device),
            "sequence": sheet.sequence,
            "observed_at": put_right(sheet.observed_at, sheet.clock_offset_ms),
            "device_clock_at": sheet.observed_at,
            "clock_offset_ms": sheet.clock_offset_ms,
            "received_at": self.at,
        }

    def add(self, sheet: EntrySheet, digest: str, place: Place, author: Member) -> None:
        yard_id = self.inspection.yard_id
        entry = Entry(
            id=sheet.id,
            yard_id=yard_id,
            inspection_id=self.inspection.pk,
            answers_id=_key(place.check),
            component_id=_key(place.component),
            elsewhere=sheet.elsewhere,
            spot_id=_key(place.spot),
            answer=sheet.answer.value,
            not_seen_reason=sheet.not_seen_reason,
            signs=list(sheet.signs),
            size_mm=sheet.size_mm,
            water=sheet.water or "",
            load=sheet.load or "",
            seal=sheet.seal or "",
            moves=sheet.moves or "",
            sides=sheet.sides or "",
            trend=sheet.trend or "",
            in_load_path=sheet.in_load_path,
            note=sheet.note,
            supersedes_id=sheet.supersedes,
            digest=digest,
            **self._who_and_when(sheet, author),
        )
        self.entries.append(entry)
        self.readings += [
            Reading(
                yard_id=yard_id,
                entry_id=entry.pk,
                quantity=reading.quantity,
                value=reading.value,
                unit=reading.unit,
                wood_temperature_c=reading.wood_temperature_c,
            )
            for reading in sheet.readings
        ]
        self.photos += [
            EntryPhoto(yard_id=yard_id, entry_id=entry.pk, sha256=sha256, position=position)
            for position, sha256 in enumerate(sheet.photos)
        ]
        if sheet.supersedes is not None:
            self.superseded.append(sheet.supersedes)
        self._mind_finding(entry, place)
        if sheet.answer in (Answer.FINDING, Answer.NOT_SEEN):
            self.to_judge.append(sheet.id)

    def _mind_finding(self, entry: Entry, place: Place) -> None:
        """Make, change or withdraw the finding that this answer stands for.

        A finding has the id of the entry that first recorded it, so that the tablet knows it before it is sent.
        """
        finding = self.around.findings.pop(entry.supersedes_id, None) if entry.supersedes_id else None
        ask = self.around.doubted.get(entry.answers_id) if entry.answers_id else None
        if ask is not None and entry.answer == Answer.NOT_SEEN:
            self._keep_what_was_doubted(finding, ask)
            return
        if finding is None and ask is not None and ask.finding.entry.answers_id != entry.answers_id:
            # The first answer to a second look tells anew what was doubted; further ones are findings of their own.
            finding = ask.finding
        if finding is not None and finding.state in (FindingState.VERIFIED, FindingState.SEEN_AGAIN):
            finding = None  # that one is over; what is seen now is something new
        if entry.answer == Answer.FINDING:
            if finding is None:
                finding = Finding(
                    id=entry.pk,
                    yard_id=self.inspection.yard_id,
                    boat=self.inspection.boat,
                    inspection=self.inspection,
                    found_at=min(entry.observed_at, self.at),
                )
                self.new_findings[finding.pk] = finding
            elif finding.state == FindingState.WITHDRAWN:
                finding.state = FindingState.OPEN
                finding.ended_at = None
            finding.component = place.component
            finding.spot = place.spot
        elif finding is not None and finding.state != FindingState.WITHDRAWN:
            finding.state = FindingState.WITHDRAWN
            finding.ended_at = self.at
        if finding is not None:
            finding.entry = entry
            self.around.findings[entry.pk] = finding
            if finding.pk not in self.new_findings:
                self.changed_findings[finding.pk] = finding

    def _keep_what_was_doubted(self, finding: Finding | None, ask: SecondLookAsk) -> None:
        """Nobody saw it again: what was told first holds, also after an answer that is taken back."""
        if finding is None or finding.pk != ask.finding_id:
            return
        if finding.state == FindingState.WITHDRAWN:
            finding.state, finding.ended_at = FindingState.OPEN, None
        finding.entry_id = ask.entry_id
        self.changed_findings[finding.pk] = finding
        self.to_judge.append(ask.entry_id)

    def write(self) -> None:
        Spot.objects.bulk_create(self.around.new_spots)
        Entry.objects.bulk_create(self.entries)
        Reading.objects.bulk_create(self.readings)
        EntryPhoto.objects.bulk_create(self.photos)
        Finding.objects.bulk_create(list(self.new_findings.values()))
        SetAside.objects.bulk_create(self.aside)
        StepEntry.objects.bulk_create(self.steps)
        if self.superseded or self.changed_findings:
            self._write_what_superseding_changes()
        if self.inspection.closed_at is not None and self.entries:
            # What was mended afterwards ends what it would have ended at the closing.
            end_what_was_looked_at(self.inspection, list(standing_entries(self.inspection)), self.at)
        ask_for_assessment(self._still_standing(), yard=self.inspection.yard, at=self.at)

    def _write_what_superseding_changes(self) -> None:
        changed = list(self.changed_findings.values())
        if changed:
            Finding.objects.bulk_update(changed, ["state", "ended_at", "entry", "component", "spot"])
        withdrawn = [finding.pk for finding in changed if finding.state == FindingState.WITHDRAWN]
        # A finding that goes on keeps its line and its judgement until the worker has made new ones.
        lines = DueBack.objects.filter(ended_at__isnull=True)
        judged = Assessment.objects.filter(superseded_at__isnull=True)
        lines.filter(entry__in=self.superseded, finding__isnull=True).update(ended_at=self.at)
        judged.filter(entry__in=self.superseded, finding__isnull=True).update(superseded_at=self.at)
        if withdrawn:
            lines.filter(finding__in=withdrawn).update(ended_at=self.at)
            judged.filter(finding__in=withdrawn).update(superseded_at=self.at)
            unjoin_from_withdrawn(withdrawn, self.at)
            ask_for_jobs([self.inspection.pk], yard=self.inspection.yard, at=self.at)

    def _still_standing(self) -> list[UUID]:
        """Entries to judge, without those that a later one of the same batch has taken the place of."""
        superseded = set(self.superseded)
        return [entry_id for entry_id in self.to_judge if entry_id not in superseded]


def _key(row: models.Model | None) -> Any:
    # Naming rows by their keys saves Django looking through each of them before it writes.
    return None if row is None else row.pk


__all__ = ["Batch"]
