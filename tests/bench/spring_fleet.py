"""A yard in the midst of its spring: boats at every stage of their way, laid straight into the tables."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from random import Random
from typing import Any

from inspections.models import (
    Assessment,
    Check,
    DueBack,
    Entry,
    EntryPhoto,
    Finding,
    OpeningStep,
    StepEntry,
)
from tests.factories import (
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    InspectionFactory,
    MemberFactory,
    TechnicianFactory,
    YardFactory,
)
from tests.factories.inspections import PhotoFactory, made_id, signs_of
from tests.factories.workshop import TreatmentFactory
from workshop.models import Decision, Hold, Job, Operation, Quote, QuoteLine, WorkLog
from yard.models import Boat, Member, Spot, Yard
from yard.tag_codes import tag_new

CHECKS, STEPS, FINDINGS, NOT_SEEN, JOBS = 120, 12, 12, 3, 4
ROWS_AT_ONCE = 2_000
PRIORITIES = ("before_launch", "this_season", "next_layup", "watch", "this_season")
# Ten boats, ten stages: how many checks have an answer, whether it is closed, the states of the jobs, the quote's.
ALONG: tuple[tuple[int, bool, tuple[str, ...], str], ...] = (
    (0, False, (), ""),
    (40, False, (), ""),
    (CHECKS, False, (), ""),
    (CHECKS, True, ("proposed",) * JOBS, ""),
    (CHECKS, True, ("proposed",) * JOBS, "draft"),
    (CHECKS, True, ("quoted",) * JOBS, "sent"),
    (CHECKS, True, ("approved", "quoted", "quoted", "declined"), "sent"),
    (CHECKS, True, ("approved", "approved", "in_work", "declined"), "decided"),
    (CHECKS, True, ("verified", "done", "in_work", "stopped"), "decided"),
    (CHECKS, True, ("verified",) * JOBS, "decided"),
)
DIGEST = "0" * 64


@dataclass
class SpringFleet:
    """Boats are added; each has 120 checks, and those that are looked at 12 findings and three places not seen.

    Args:
        at: the moment up to which everything was recorded; it lies in the weeks in which the boats go in.
    """

    at: datetime
    yard: Yard = field(default_factory=YardFactory.create)
    boats: int = 0
    entries: int = 0
    findings: int = 0

    def __post_init__(self) -> None:
        signs_of(self.yard)
        self.yard.hours_per_week = Decimal(900)
        self.yard.save()
        self.manager: Member = MemberFactory.create(yard=self.yard)
        self.technicians: list[Member] = [TechnicianFactory.create(yard=self.yard) for _ in range(4)]
        self.kind = ComponentClassFactory.create(yard=self.yard)
        self.treatment = TreatmentFactory.create(yard=self.yard)
        self._random = Random(1)
        self._made = self.yard.pk * 10_000_000
        self._rows: dict[type[Any], list[Any]] = {}

    def grow(self, boats: int) -> None:
        """Lay boats until there are so many."""
        while self.boats < boats:
            self._boat(self.boats)
            self.boats += 1
        for model, rows in self._rows.items():
            model._default_manager.bulk_create(rows, batch_size=ROWS_AT_ONCE)
        self._rows = {}

    def _add(self, row: Any) -> Any:
        self._rows.setdefault(type(row), []).append(row)
        return row

    def _key(self) -> Any:
        self._made += 1
        return made_id(self._made)

    def _boat(self, number: int) -> None:
        answered, closed, states, quote = ALONG[number % len(ALONG)]
        boat = BoatFactory.create(yard=self.yard)
        component = ComponentFactory.create(boat=boat, component_class=self.kind)
        opened_at = self.at - timedelta(days=40)
        inspection = InspectionFactory.create(
            boat=boat,
            season_year=self.at.year,
            launch_on=self.at.date() + timedelta(days=number * 7 % 75 - 10),
            opened_at=opened_at,
            closed_at=self.at - timedelta(days=5) if closed else None,
        )
        own: dict[str, Any] = {"yard": self.yard, "inspection": inspection, "component": component}
        seen_at = self.at - timedelta(days=20) if closed else self.at - timedelta(minutes=number * 37 % 2_880)
        author = self.technicians[number % len(self.technicians)]
        first = self._first_check(inspection)
        for position in range(STEPS):
            step = self._add(
                OpeningStep(
                    pk=first + position,
                    **own,
                    key=f"step {position}",
                    kind="take_off",
                    text="Take it down.",
                    position=position,
                )
            )
            if answered:
                said = {"author": author, "observed_at": seen_at, "received_at": seen_at, "digest": DIGEST}
                self._add(
                    StepEntry(
                        id=self._key(), yard=self.yard, inspection=inspection, step=step, outcome="done", **said
                    )
                )
        found: list[Finding] = []
        for position in range(CHECKS):
            check = self._add(
                Check(pk=first + position, **own, key=f"check {position}", position=position, prompt="Is it whole?",
                      answer_kind="signs")
            )  # fmt: skip
            if position < answered:
                self._answer(own, check, position, author, seen_at, found, boat)
        if states:
            self._jobs(boat, inspection, states, quote, found)

    def _first_check(self, inspection: Any) -> int:
        """Keys for what is laid at once and points to each other."""
        return int(inspection.pk) * 1_000 + 1_000_000

    def _answer(
        self,
        own: dict[str, Any],
        check: Check,
        position: int,
        author: Member,
        seen_at: datetime,
        found: list[Finding],
        boat: Boat,
    ) -> None:
        key = self._key()
        what = "finding" if position < FINDINGS else "not_seen" if position < FINDINGS + NOT_SEEN else "sound"
        spot = None
        if what == "finding":
            spot = self._add(
                Spot(
                    id=key,
                    yard=self.yard,
                    component=own["component"],
                    name=f"frame {position}",
                    tag=tag_new(self._random),
                    created_at=seen_at,
                )
            )
        entry = self._add(
            Entry(
                id=key,
                **own,
                answers=check,
                spot=spot,
                answer=what,
                not_seen_reason="the sole stayed down" if what == "not_seen" else "",
                signs=["CRACK_WOOD"] if what == "finding" else [],
                author=author,
                observed_at=seen_at,
                received_at=seen_at,
                digest=hashlib.sha256(key.bytes).hexdigest(),
            )
        )
        self.entries += 1
        if what == "sound":
            return
        finding = None
        about = {"yard": self.yard, "boat": boat, "entry": entry}
        due_on = own["inspection"].launch_on + timedelta(days=40 * (position % 3 - 1))
        if what == "finding":
            self.findings += 1
            finding = self._add(Finding(id=key, **own, boat=boat, spot=spot, entry=entry, found_at=seen_at))
            found.append(finding)
            name = hashlib.sha256(key.bytes + b"photo").hexdigest()
            self._add(EntryPhoto(yard=self.yard, entry=entry, sha256=name, position=0))
            if position:
                self._add(PhotoFactory.build(yard=self.yard, sha256=name))
        if own["inspection"].closed_at is not None or position % 2:
            self._add(
                Assessment(**about, finding=finding, condition="water_in", severity=3, probability_level="C",
                           risk="medium", priority=PRIORITIES[position % len(PRIORITIES)], due_back_on=due_on,
                           due_back_kind="put_right", reasons=["Water is in."], document={}, rules_version="1",
                           inputs_digest="", made_at=seen_at)
            )  # fmt: skip
        self._add(
            DueBack(
                yard=self.yard,
                boat=boat,
                component=own["component"],
                spot=spot,
                finding=finding,
                entry=entry if finding is None else None,
                due_on=due_on,
                kind="put_right",
                reason="Water is in.",
                set_at=seen_at,
            )
        )

    def _jobs(self, boat: Boat, inspection: Any, states: tuple[str, ...], state: str, found: list[Finding]) -> None:
        first = self._first_check(inspection)
        sent_at = self.at - timedelta(days=1 + self.boats % 9)
        quote = None
        if state:
            sent = state != "draft"
            quote = self._add(
                Quote(
                    pk=first,
                    yard=self.yard,
                    boat=boat,
                    inspection=inspection,
                    number=self.boats + 1,
                    state=state,
                    currency="EUR",
                    valid_until=sent_at.date() + timedelta(days=21),
                    created_at=sent_at,
                    sent_at=sent_at if sent else None,
                    ended_at=self.at if state == "decided" else None,
                    content="{}" if sent else "",
                    digest=DIGEST if sent else "",
                )
            )
        for number, job_state in enumerate(states):
            pk = first + number
            job = self._add(
                Job(pk=pk, yard=self.yard, boat=boat, inspection=inspection, title=f"Job {number}",
                    key=f"component:{number}", state=job_state, created_at=sent_at, changed_at=sent_at)
            )  # fmt: skip
            for position in range(2):
                self._add(
                    Operation(
                        yard=self.yard,
                        job=job,
                        treatment=self.treatment,
                        finding=found[number * 2 + position],
                        hours_low=2,
                        hours_likely=4,
                        hours_high=9,
                        position=position,
                    )
                )
            if quote is not None:
                self._line(quote, job, pk, number, boat)
            if job_state in ("in_work", "done", "verified"):
                self._add(
                    WorkLog(yard=self.yard, job=job, member=self.technicians[0], worked_on=self.at.date(),
                            hours=Decimal("3.5"), booked_at=self.at)
                )  # fmt: skip
            if job_state == "stopped":
                self._add(
                    Hold(yard=self.yard, job=job, kind="part", what="a pane", meanwhile="taped", made_at=self.at,
                         expected_on=self.at.date() + timedelta(days=6))
                )  # fmt: skip

    def _line(self, quote: Quote, job: Job, pk: int, number: int, boat: Boat) -> None:
        sent = quote.sent_at is not None
        line = self._add(
            QuoteLine(
                pk=pk,
                yard=self.yard,
                quote=quote,
                job=job,
                position=number,
                hours_likely=Decimal(9),
                hours_ceiling=Decimal(12),
                net_labour=500,
                net_materials=100,
                vat_rate_pct=25,
                frozen_at=quote.sent_at,
            )
        )
        if sent and job.state not in ("quoted", "proposed"):
            self._add(
                Decision(
                    yard=self.yard,
                    line=line,
                    verdict="decline" if job.state == "declined" else "approve",
                    digest=DIGEST,
                    owner=boat.decider_owner,
                    decided_at=self.at,
                )
            )


__all__ = ["SpringFleet"]
