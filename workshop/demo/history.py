"""Lays the demo yard and three springs of history, by the services a yard uses and with an explicit clock."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from functools import partial
from typing import Any

from django.utils import timezone

from inspections.models import Check, Entry, Finding, Inspection
from inspections.services.entries import entries_submit
from inspections.services.findings import finding_set_state
from inspections.services.inspections import inspection_close, inspection_open
from inspections.services.overruling import finding_overrule
from inspections.services.photos import photo_receive
from workshop.demo import scenario
from workshop.demo.scenario import Calendar, Document, Names, Place
from workshop.models import Job, Material, QuoteLine
from workshop.services.decisions import decision_make
from workshop.services.jobs import hold_add
from workshop.services.materials import material_change
from workshop.services.new_yard import catalogue_load
from workshop.services.quotes import quote_draft, quote_send, quotes_lapse
from workshop.services.verifying import Measured, finding_verify, second_look_give
from workshop.services.work import job_done, job_start, work_book
from yard import outbox
from yard.models import Boat, ComponentClass, Member, Owner, VatClass, Yard
from yard.services.boats import boat_create, component_add, component_remove, spot_create
from yard.services.people import member_create, owner_create
from yard.services.vat import vat_class_set
from yard.services.yards import MonthNormal, climate_set, hourly_rate_set, season_set, yard_create

Say = Callable[[str], None]
# What the yard writes down in the evening: after the events of the day, before those of the next.
EVENING = timedelta(minutes=1)


@dataclass(slots=True)
class DemoYard:
    """The yard as it was laid, and what the files' keys stand for."""

    yard: Yard
    calendar: Calendar
    files: Document
    members: dict[str, Member] = field(default_factory=dict)
    owners: dict[str, Owner] = field(default_factory=dict)
    boats: dict[str, Boat] = field(default_factory=dict)
    names: Names = field(default_factory=Names)

    def season_year(self, season: int) -> int:
        launch = next(row["launch_on"] for row in self.files["seasons"] if row["season"] == season)
        return self.calendar.day(launch, season).year


def yard_lay(*, password: str) -> DemoYard:
    """The yard, its people and boats, and what the stock catalogue gives it, before its first spring."""
    files = scenario.read("yard.json")
    said = dict(files["yard"])
    for name in ("vat_rate_pct", "latitude", "longitude", "hours_per_week"):
        said[name] = Decimal(said[name])
    yard = yard_create(**said)
    calendar = Calendar(today=timezone.now().astimezone(yard.zone).date(), zone=yard.zone)
    demo = DemoYard(yard=yard, calendar=calendar, files=files)
    founded = calendar.moment("03-01T08:00", -3)
    _yard_figures(demo, founded)
    catalogue_load(yard=yard, at=founded)
    _price_list(demo, founded)
    _people(demo, password)
    for boat in files["boats"]:
        _boat(demo, boat, founded)
    return demo


def _yard_figures(demo: DemoYard, founded: datetime) -> None:
    for row in demo.files["seasons"]:
        launch_on = demo.calendar.day(row["launch_on"], row["season"])
        layup_on = demo.calendar.day(row["layup_on"], row["season"])
        season_set(yard=demo.yard, year=launch_on.year, launch_on=launch_on, layup_on=layup_on, at=founded)
    normals = {
        demo.calendar.month(row["month"]): MonthNormal(
            month=demo.calendar.month(row["month"]),
            **{name: Decimal(row[name]) for name in ("air_temperature_c", "relative_humidity_pct", "rain_days")},
        )
        for row in demo.files["climate"]
    }
    climate_set(yard=demo.yard, normals=[normals[month] for month in sorted(normals)], at=founded)
    for row in demo.files["hourly_rates"]:
        hourly_rate_set(yard=demo.yard, trade=row["trade"], amount=Decimal(row["amount"]), at=founded)


def _price_list(demo: DemoYard, founded: datetime) -> None:
    """Each material in a class of VAT: those that none names in that of the yard's work."""
    materials = {row.code: row for row in Material.objects.of_yard(demo.yard)}
    of_work: VatClass | None = None
    named: list[tuple[Material, VatClass]] = []
    for row in demo.files["vat_classes"]:
        said = {name: row[name] for name in ("code", "name", "category", "for_work")}
        rate = Decimal(row["rate_pct"])
        vat_class = vat_class_set(yard=demo.yard, rate_pct=rate, valid_from=founded.date(), at=founded, **said)
        of_work = vat_class if row["for_work"] else of_work
        named += [(materials.pop(code), vat_class) for code in row["materials"]]
    for material, its_class in [*named, *((material, of_work) for material in materials.values())]:
        material_change(material=material, changes={"vat_class": its_class}, at=founded)


def _people(demo: DemoYard, password: str) -> None:
    for row in demo.files["members"]:
        demo.members[row["username"]] = member_create(
            yard=demo.yard, password=password, email=f"{row['username']}@example.org", **row
        )
    for row in demo.files["owners"]:
        demo.owners[row["key"]] = owner_create(
            yard=demo.yard, **{name: value for name, value in row.items() if name != "key"}
        )


def _boat(demo: DemoYard, said: Document, founded: datetime) -> None:
    decider: Owner | Member = (
        demo.owners[said["decider"]["owner"]]
        if "owner" in said["decider"]
        else demo.members[said["decider"]["member"]]
    )
    boat = boat_create(
        yard=demo.yard,
        decider=decider,
        owners=[demo.owners[key] for key in said["owners"]],
        **{name: said[name] for name in ("name", "build", "material", "loa_mm", "beam_mm", "year")},
    )
    demo.boats[said["key"]] = boat
    classes = {row.code: row for row in ComponentClass.objects.of_yard(demo.yard)}
    components = {}
    for row in said["components"]:
        components[row["key"]] = component_add(
            boat=boat,
            component_class=classes[row["class_code"]],
            **{name: row.get(name, "") for name in ("name", "position", "species", "finish")},
        )
        demo.names.components[said["key"], row["key"]] = components[row["key"]].pk
    for row in said["spots"]:
        spot = spot_create(
            component=components[row["component"]],
            at=founded,
            **{name: row[name] for name in ("name", "plan_x", "plan_y", "level")},
        )
        demo.names.spots[row["key"]] = spot.pk


def parts_gone_remove(demo: DemoYard) -> int:
    """Take out of the list what left a boat this spring, while a tablet still had it."""
    gone = 0
    for boat in demo.files["boats"]:
        for row in boat["components"]:
            if "removed_on" in row:
                component = demo.boats[boat["key"]].components.get(
                    pk=demo.names.components[boat["key"], row["key"]]
                )
                component_remove(component=component, at=demo.calendar.moment(f"{row['removed_on']}T08:00", 0))
                gone += 1
    return gone


def history_lay(demo: DemoYard, *, say: Say) -> int:
    """Three springs, inspection by inspection, each followed by what the yard made of it. Gives their number."""
    laid = 0
    for row in scenario.read("history.json")["seasons"]:
        season: int = row["season"]
        for said in row["inspections"]:
            _Spring(demo, season, said).lay()
            laid += 1
        say(f"spring of {demo.season_year(season)}: {len(row['inspections'])} inspections")
        outbox.drain(now=demo.calendar.moment("10-01T08:00", season))
        quotes_lapse(yard=demo.yard, at=demo.calendar.moment("10-01T08:00", season))
    return laid


def checks_of(inspection: Inspection) -> list[Place]:
    return [
        Place(
            id=check.pk,
            component=check.component_id,
            key=check.key,
            answer_kind=check.answer_kind,
            quantity=(check.reading or {}).get("quantity", ""),
            unit=(check.reading or {}).get("unit", ""),
            spot=str(check.spot_id) if check.spot_id else None,
        )
        for check in Check.objects.filter(inspection=inspection)
    ]


@dataclass(slots=True)
class _Spring:
    """One boat's inspection of an earlier spring, and what followed from it, in the order of its days."""

    demo: DemoYard
    season: int
    said: Mapping[str, Any]
    findings: dict[str, Finding] = field(default_factory=dict)

    def lay(self) -> None:
        inspection = self._inspect()
        acts: tuple[tuple[str, str, Callable[[Document], None]], ...] = (
            ("overrulings", "at", self._overrule),
            ("states", "at", self._state),
            ("holds", "at", self._hold),
            ("quotes", "sent_at", partial(self._quote, inspection)),
            ("work", "started_at", self._start),
            ("work", "done_at", self._work),
            ("verifications", "at", self._verify),
        )
        steps = [
            (self._at(row[when]), partial(act, row)) for name, when, act in acts for row in self.said.get(name, ())
        ]
        for row in self.said.get("quotes", ()):
            steps += [(self._at(decision["at"]), partial(self._decide, decision)) for decision in row["decisions"]]
        for at, step in sorted(steps, key=lambda pair: pair[0]):
            step()
            outbox.drain(now=at + EVENING)

    def _at(self, said: str) -> datetime:
        return self.demo.calendar.moment(said, self.season)

    def _inspect(self) -> Inspection:
        boat = self.demo.boats[self.said["boat"]]
        technician = self.demo.members[self.said["technician"]]
        inspection = inspection_open(
            boat=boat,
            season_year=self.demo.season_year(self.season),
            at=self._at(self.said["opened_at"]),
            by=technician,
        )
        closed_at = self._at(self.said["closed_at"])
        for name in sorted({name for item in self.said["entries"] for name in item.get("photos", ())}):
            photo_receive(
                yard=self.demo.yard,
                sha256=scenario.photo_digest(name),
                data=scenario.photo(name),
                by=technician,
                at=closed_at - EVENING,
            )
        documents = scenario.written_out(
            self.said["entries"],
            boat=self.said["boat"],
            season=self.season,
            calendar=self.demo.calendar,
            checks=checks_of(inspection),
            names=self.demo.names,
            usual_readings=self.demo.files["usual_readings"],
        )
        results = entries_submit(
            inspection=inspection, author=technician, device=None, sheets=documents, at=closed_at - EVENING
        )
        if refused := [result for result in results if result.outcome != "stored"]:
            raise RuntimeError(f"{boat.name}, {self.season}: {refused[:3]}")
        outbox.drain(now=closed_at)
        inspection_close(inspection=inspection, at=closed_at, by=technician)
        outbox.drain(now=closed_at + EVENING)
        entries = {item["key"] for item in self.said["entries"] if item.get("answer") == "finding"}
        for key in entries:
            entry = Entry.objects.get(pk=self.demo.names.entries[key])
            self.findings[key] = Finding.objects.get(entry=entry)
        return inspection

    def _job(self, key: str) -> Job:
        """The job that the worker proposed for the finding of an entry."""
        job: Job = (
            Job.objects.exclude(state=Job.State.DROPPED)
            .filter(operations__finding=self.findings[key])
            .distinct()
            .get()
        )
        return job

    def _overrule(self, row: Document) -> None:
        finding_overrule(
            finding=self.findings[row["entry"]],
            by=self.demo.members[row["by"]],
            priority=row["priority"],
            due_back_on=self.demo.calendar.day(row["due_back_on"], self.season),
            reason=row["reason"],
            at=self._at(row["at"]),
        )

    def _state(self, row: Document) -> None:
        finding = self.findings[row["entry"]]
        finding.refresh_from_db()
        finding_set_state(finding=finding, state=row["state"], at=self._at(row["at"]))

    def _quote(self, inspection: Inspection, row: Document) -> None:
        at, by = self._at(row["sent_at"]), self.demo.members[row["sent_by"]]
        jobs = list({job.pk: job for job in map(self._job, row["entries"])}.values())
        quote_send(quote=quote_draft(inspection=inspection, jobs=jobs, by=by, at=at), by=by, at=at)

    def _decide(self, row: Document) -> None:
        line = QuoteLine.objects.filter(job=self._job(row["entry"])).order_by("-pk")[0]
        boat = self.demo.boats[self.said["boat"]]
        decision_make(
            line=line,
            verdict=row["verdict"],
            digest=line.quote.digest,
            question=row.get("question", ""),
            read=True,
            owner=boat.decider_owner,
            member=boat.decider_member,
            at=self._at(row["at"]),
        )

    def _hold(self, row: Document) -> None:
        hold_add(
            job=self._job(row["entry"]),
            kind=row["kind"],
            what=row["what"],
            who=self.demo.members[row["who"]],
            expected_on=self.demo.calendar.day(row["expected_on"], self.season),
            meanwhile=row["meanwhile"],
            at=self._at(row["at"]),
        )

    def _start(self, row: Document) -> None:
        by = self.demo.members[row["hours"][0]["by"]]
        job_start(job=self._job(row["entry"]), by=by, at=self._at(row["started_at"]))

    def _work(self, row: Document) -> None:
        job, done_at = self._job(row["entry"]), self._at(row["done_at"])
        for line in row["hours"]:
            work_book(
                job=job,
                member=self.demo.members[line["by"]],
                worked_on=self.demo.calendar.day(line["on"], self.season),
                hours=Decimal(line["hours"]),
                note=line["note"],
                past_ceiling=line["note"],
                at=done_at,
            )
        job_done(job=job, by=self.demo.members[row["hours"][0]["by"]], at=done_at)

    def _verify(self, row: Document) -> None:
        at, photo_sha256 = self._at(row["at"]), ""
        if "photo" in row:
            photo, _ = photo_receive(
                yard=self.demo.yard,
                sha256=scenario.photo_digest(row["photo"]),
                data=scenario.photo(row["photo"]),
                by=self.demo.members[row["by"]],
                at=at,
            )
            photo_sha256 = photo.sha256
        finding = self.findings[row["entry"]]
        finding.refresh_from_db()
        verification = finding_verify(
            finding=finding,
            by=self.demo.members[row["by"]],
            photo_sha256=photo_sha256,
            readings=[Measured(quantity, Decimal(value)) for quantity, value in row.get("readings", {}).items()],
            note=row["note"],
            at=at,
        )
        if verification.needs_second_look:
            other = self.demo.members[row["second_look_by"]]
            second_look_give(verification=verification, by=other, holds=True, at=at)
