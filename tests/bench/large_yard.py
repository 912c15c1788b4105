"""A yard with hundreds of boats under inspection, laid straight into the tables, and looks of the years before."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from random import Random

from inspections.models import Assessment, Entry, Finding, Inspection
from tests.factories import (
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    InspectionFactory,
    MemberFactory,
    YardFactory,
)
from tests.factories.inspections import SIGNS, made_id, signs_of
from tests.factories.yard import CREATED
from yard.models import Component, Member, Spot, Yard
from yard.tag_codes import tag_new

SEASON = 2027
FINDINGS_A_BOAT = 100
# One boat in so many was looked over at the same spots in the two years before, which makes rechecks.
KNOWN_ONE_IN = 10
ROWS_AT_ONCE = 2_000
FOUND = [code for code in SIGNS if code != "NOT_SEEN"]


@dataclass
class LargeYard:
    """Boats are added; each has one component with a hundred spots, and something was found at every one."""

    yard: Yard = field(default_factory=YardFactory.create)
    boats: int = 0

    def __post_init__(self) -> None:
        signs_of(self.yard)
        self.manager: Member = MemberFactory.create(yard=self.yard)
        self.kind = ComponentClassFactory.create(yard=self.yard)
        self._random = Random(1)
        self._made = self.yard.pk * 10_000_000

    @property
    def findings(self) -> int:
        return self.boats * FINDINGS_A_BOAT

    def grow(self, boats: int) -> None:
        """Lay boats until there are so many."""
        spots: list[Spot] = []
        entries: list[Entry] = []
        findings: list[Finding] = []
        assessments: list[Assessment] = []
        while self.boats < boats:
            self.boats += 1
            boat = BoatFactory.create(yard=self.yard)
            component = ComponentFactory.create(boat=boat, component_class=self.kind)
            new = list(self._spots(component))
            spots += new
            years = [SEASON - 2, SEASON - 1, SEASON] if self.boats % KNOWN_ONE_IN == 0 else [SEASON]
            for year in years:
                closed_at = datetime(year, 4, 20, tzinfo=UTC) if year < SEASON else None
                inspection = InspectionFactory.create(boat=boat, season_year=year, closed_at=closed_at)
                for number, spot in enumerate(new):
                    entry = self._entry(inspection, spot, number)
                    entries.append(entry)
                    findings.append(_finding(entry, ended_at=closed_at))
                    if closed_at is not None:
                        assessments.append(_assessment(findings[-1]))
        Spot.objects.bulk_create(spots, batch_size=ROWS_AT_ONCE)
        Entry.objects.bulk_create(entries, batch_size=ROWS_AT_ONCE)
        Finding.objects.bulk_create(findings, batch_size=ROWS_AT_ONCE)
        Assessment.objects.bulk_create(assessments, batch_size=ROWS_AT_ONCE)

    def _spots(self, component: Component) -> Iterator[Spot]:
        for number in range(FINDINGS_A_BOAT):
            self._made += 1
            yield Spot(
                id=made_id(self._made),
                yard=self.yard,
                component=component,
                name=f"frame {number + 1}",
                tag=tag_new(self._random),
                created_at=CREATED,
            )

    def _entry(self, inspection: Inspection, spot: Spot, number: int) -> Entry:
        self._made += 1
        seen_at = inspection.opened_at + timedelta(days=1, minutes=number)
        key = made_id(self._made)
        # Other figures at every spot: nothing is judged out of a memory of the one before.
        return Entry(
            id=key,
            yard=self.yard,
            inspection=inspection,
            component=spot.component,
            spot=spot,
            author=self.manager,
            answer="finding",
            signs=[FOUND[number % len(FOUND)]],
            size_mm=self._made % 900 + inspection.season_year % 7,
            water=["rain", "splash", "shielded", "standing"][number % 4],
            seal=["open", "intact", "partly"][number % 3],
            moves=["no", "suspected"][number % 2],
            load=["none", "static", "cyclic"][number % 3],
            observed_at=seen_at,
            received_at=seen_at,
            digest=hashlib.sha256(key.bytes).hexdigest(),
        )


def _finding(entry: Entry, *, ended_at: datetime | None) -> Finding:
    return Finding(
        id=entry.pk,
        yard_id=entry.yard_id,
        boat_id=entry.inspection.boat_id,
        inspection=entry.inspection,
        component=entry.component,
        spot=entry.spot,
        entry=entry,
        state=Finding.State.OPEN if ended_at is None else Finding.State.SEEN_AGAIN,
        found_at=entry.observed_at,
        ended_at=ended_at,
    )


def _assessment(finding: Finding) -> Assessment:
    return Assessment(
        yard_id=finding.yard_id,
        boat_id=finding.boat_id,
        entry=finding.entry,
        finding=finding,
        condition=SIGNS[finding.entry.signs[0]][1][0],
        severity=3,
        probability_level="C",
        risk="medium",
        priority="this_season",
        due_back_on=finding.inspection.launch_on,
        due_back_kind="put_right",
        reasons=["It is work for this season."],
        document={},
        rules_version="1",
        inputs_digest="",
        made_at=finding.found_at,
    )


__all__ = ["FINDINGS_A_BOAT", "LargeYard"]
