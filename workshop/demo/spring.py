"""This spring, as the people of the yard live it: every step goes through the running service's own doors."""

from __future__ import annotations

import mimetypes
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from workshop.demo import scenario
from workshop.demo.doors import Device, DoorClosed, Json, mails_in, wait_for
from workshop.demo.history import DemoYard
from workshop.demo.opening_up import steps_said
from workshop.demo.scenario import Document, Place

Say = Callable[[str], None]
BATCH = 60


@dataclass(slots=True)
class Told:
    """What came of it, counted from the service's answers."""

    inspections: int = 0
    entries: Counter[str] = field(default_factory=Counter)
    photos: int = 0
    by_priority: Counter[str] = field(default_factory=Counter)
    jobs: int = 0
    hours_likely: float = 0.0
    quotes: int = 0
    jobs_of_several_findings: int = 0
    decisions: Counter[str] = field(default_factory=Counter)
    unsafe_declined: int = 0
    addenda: int = 0
    verifications: int = 0
    hours_moved: dict[str, float] = field(default_factory=dict)
    reports: list[str] = field(default_factory=list)
    mails: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Spring:
    """The yard's people at their devices, and the folder where mails arrive."""

    site: str
    demo: DemoYard
    password: str
    mail_folder: Path
    report_folder: Path
    say: Say
    devices: dict[str, Device] = field(default_factory=dict)
    inspections: dict[str, int] = field(default_factory=dict)
    told: Told = field(default_factory=Told)
    mails_before: frozenset[Path] = frozenset()

    @property
    def manager(self) -> Device:
        name = next(row["username"] for row in self.demo.files["members"] if row["role"] == "manager")
        return self.devices[name]

    def sign_in(self) -> None:
        self.mails_before = frozenset(mails_in(self.mail_folder))
        for row in self.demo.files["members"]:
            device_name = "office" if row["role"] == "manager" else f"{row['name'].split()[0]}'s tablet"
            self.devices[row["username"]] = Device(
                self.site, username=row["username"], password=self.password, device_name=device_name
            )
        self.say(f"{len(self.devices)} people signed in; each device has a key of its own")

    def open_inspections(self) -> None:
        year = self.demo.season_year(0)
        for boat in self.demo.files["boats"]:
            opened = self.manager.post(
                "inspections/",
                {
                    "boat": self.demo.boats[boat["key"]].pk,
                    "season_year": year,
                    "launch_on": self.demo.calendar.day(boat["launch_on"], 0).isoformat(),
                },
                expect=201,
            )
            self.inspections[boat["key"]] = opened["id"]
        self.told.inspections = len(self.inspections)
        self.say(f"{len(self.inspections)} inspections opened from the published templates")

    def send_sheets(self) -> None:
        sheets = scenario.sheets()
        for sheet in sheets:
            elsewhere = [item for other in sheets if other["boat"] == sheet["boat"] for item in other["entries"]]
            self._send(sheet, elsewhere)
        wait_for("assess every finding", self._all_assessed)
        self.say("the worker has judged every finding")

    def _send(self, sheet: Document, elsewhere: list[Document]) -> None:
        tablet, boat = self.devices[sheet["technician"]], sheet["boat"]
        before_going_aboard = tablet.get(f"inspections/{self.inspections[boat]}/")
        checks = [_place(check) for check in before_going_aboard["checks"]]
        answered = scenario.named_checks(elsewhere, boat, checks, self.demo.names)
        documents = scenario.written_out(
            sheet["entries"],
            boat=boat,
            season=0,
            calendar=self.demo.calendar,
            checks=checks,
            names=self.demo.names,
            usual_readings=self.demo.files["usual_readings"],
            answered=answered,
        )
        steps = steps_said(before_going_aboard["opening_steps"], before_going_aboard["checks"], documents)
        if steps:
            results = tablet.post(f"inspections/{self.inspections[boat]}/entries/", {"entries": steps})["results"]
            if wrong := [result for result in results if result["outcome"] not in {"stored", "already_there"}]:
                raise DoorClosed(f"{boat}, opening up: {wrong[:2]}")
        outcomes: Counter[str] = Counter()
        for start in range(0, len(documents), BATCH):
            batch = {"entries": documents[start : start + BATCH]}
            results = tablet.post(f"inspections/{self.inspections[boat]}/entries/", batch)["results"]
            outcomes.update(result["outcome"] for result in results)
            if refused := [result for result in results if result["outcome"] == "refused"]:
                raise DoorClosed(f"{boat}: {refused[:2]}")
        # The answer got lost on the way, so the tablet sends the first batch once more.
        again = tablet.post(f"inspections/{self.inspections[boat]}/entries/", {"entries": documents[:BATCH]})
        if {result["outcome"] for result in again["results"]} - {"already_there", "set_aside"}:
            raise DoorClosed(f"{boat}: the same entries were taken twice")
        self.told.entries.update(outcomes)
        names = sorted({name for item in sheet["entries"] for name in item.get("photos", ())})
        for name in names:
            media_type = mimetypes.guess_type(name)[0] or "image/jpeg"
            self.told.photos += tablet.put_photo(scenario.photo_digest(name), scenario.photo(name), media_type)
        boat_name = self.demo.boats[boat].name
        said = ", ".join(f"{count} {outcome.replace('_', ' ')}" for outcome, count in sorted(outcomes.items()))
        opened = sum(step["outcome"] == "done" for step in steps)
        self.say(f"{boat_name}: {opened} of {len(steps)} steps of opening up done; {said}; {len(names)} photos")

    def _all_assessed(self) -> bool:
        findings = list(self.manager.every("findings/", season=self.demo.season_year(0), page_size=200))
        return all(finding["assessment"] is not None for finding in findings)

    def close_inspections(self) -> None:
        done = sorted({(sheet["boat"], sheet["technician"]) for sheet in scenario.sheets()})
        for boat, technician in done:
            self.devices[technician].post(f"inspections/{self.inspections[boat]}/close/")
        for finding in self.manager.every("findings/", season=self.demo.season_year(0), page_size=200):
            self.told.by_priority[finding["priority"]] += 1
        said = ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in self.told.by_priority.items())
        self.say(f"{len(done)} inspections closed with nothing left open; findings: {said}")

    def send(self, draft: Json) -> Json:
        """Freeze a draft as it was looked over and put it to the decider."""
        preview = self.manager.get(f"quotes/{draft['id']}/preview/")
        sent = self.manager.post(f"quotes/{draft['id']}/send/", {"seen_digest": preview["digest"]})
        count = len(sent["lines"])
        self.told.quotes += 1
        self.told.jobs += count
        self.told.hours_likely += sum(float(line["hours_likely"]) for line in sent["lines"])
        jobs = "1 job" if count == 1 else f"{count} jobs"
        self.say(f"quote {sent['number']} for {sent['boat_name']}: {jobs}, frozen and sent")
        return sent

    def wait_for_reports(self) -> None:
        """Wait for the worker, then print what the owners were sent."""
        wait_for("write a report and a mail for every quote", lambda: len(self.new_mails()) >= self.told.quotes)
        self.told.mails = [str(path) for path in self.new_mails()]
        self._download_reports(self.demo.season_year(0))

    def new_mails(self) -> list[Path]:
        return sorted(set(mails_in(self.mail_folder)) - self.mails_before)

    def _download_reports(self, year: int) -> None:
        self.report_folder.mkdir(parents=True, exist_ok=True)
        for report in self.manager.every("reports/", season=year, page_size=200):
            path = self.report_folder / f"{report['boat_name'].lower().replace(' ', '-')}.pdf"
            path.write_bytes(self.manager.download(f"reports/{report['id']}/content/"))
            self.told.reports.append(str(path))
        self.say(f"{len(self.told.reports)} reports printed, {len(self.told.mails)} mails sent")


def _place(check: Json) -> Place:
    reading = check["reading"] or {}
    return Place(
        id=check["id"],
        component=check["component"],
        key=check["key"],
        answer_kind=check["answer_kind"],
        quantity=reading.get("quantity", ""),
        unit=reading.get("unit", ""),
        spot=check["spot"],
    )
