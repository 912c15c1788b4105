"""This spring, as the people of the yard live it: every step goes through the running service's own doors."""

from __future__ import annotations

import mimetypes
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from workshop.demo import scenario
from workshop.demo.doors import Device, DoorClosed, Json, Phone, link_in, mails_in, wait_for
from workshop.demo.history import DemoYard
from workshop.demo.scenario import Document, Place

Say = Callable[[str], None]
BATCH = 60
QUESTION = "Would it hold until we are back in August, if we stay in sheltered water?"


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
    decisions: Counter[str] = field(default_factory=Counter)
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
        self.say(f"{boat_name}: {said}; {len(names)} photos")

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

    def quote(self) -> None:
        """Put the proposed jobs of each inspected boat to her decider."""
        year = self.demo.season_year(0)
        jobs: dict[int, list[Json]] = {}
        for job in self.manager.every("jobs/", season=year, state="proposed", page_size=200):
            jobs.setdefault(job["inspection"], []).append(job)
        for inspection, proposed in sorted(jobs.items()):
            ids = [job["id"] for job in sorted(proposed, key=lambda job: (not job["unsafe_to_leave"], job["id"]))]
            draft = self.manager.post("quotes/", {"inspection": inspection, "jobs": ids}, expect=201)
            preview = self.manager.get(f"quotes/{draft['id']}/preview/")
            sent = self.manager.post(f"quotes/{draft['id']}/send/", {"seen_digest": preview["digest"]})
            self.told.quotes += 1
            self.told.jobs += len(sent["lines"])
            self.told.hours_likely += sum(float(line["hours_likely"]) for line in sent["lines"])
            self.say(f"quote {sent['number']} for {sent['boat_name']}: {len(sent['lines'])} jobs, frozen and sent")
        wait_for("write a report and a mail for every quote", lambda: len(self._new_mails()) >= self.told.quotes)
        self.told.mails = [str(path) for path in self._new_mails()]
        self._download_reports(year)

    def _new_mails(self) -> list[Path]:
        return sorted(set(mails_in(self.mail_folder)) - self.mails_before)

    def _download_reports(self, year: int) -> None:
        self.report_folder.mkdir(parents=True, exist_ok=True)
        for report in self.manager.every("reports/", season=year, page_size=200):
            path = self.report_folder / f"{report['boat_name'].lower().replace(' ', '-')}.pdf"
            path.write_bytes(self.manager.download(f"reports/{report['id']}/content/"))
            self.told.reports.append(str(path))
        self.say(f"{len(self.told.reports)} reports printed, {len(self.told.mails)} mails sent")

    def decide(self) -> None:
        """The deciders open their mail and answer; one of them asks first and declines one job."""
        for turn, path in enumerate(self._new_mails()):
            mail = mails_in(self.mail_folder)[path]
            phone = Phone(link_in(mail))
            questions = phone.questions()
            doubtful = list(questions)[-1] if turn == 1 and len(questions) > 1 else None
            for action, forms in questions.items():
                if action == doubtful:
                    phone.answer(action, forms["ask"] | {"question": QUESTION})
                    phone.answer(action, forms["decline"])
                    self.told.decisions.update(["ask", "decline"])
                else:
                    phone.answer(action, forms["approve"])
                    self.told.decisions["approve"] += 1
            if phone.questions():
                raise DoorClosed(f"{mail['To']}: questions are left open after all were answered")
        said = ", ".join(f"{count} {verdict}" for verdict, count in sorted(self.told.decisions.items()))
        self.say(f"the deciders answered on their pages: {said}")

    def do_one_job(self) -> None:
        """The first approved job that waits for nothing is done, booked and verified."""
        approved = self.manager.every("jobs/", season=self.demo.season_year(0), state="approved", page_size=200)
        job = next(job for job in approved if not any(hold["released_at"] is None for hold in job["holds"]))
        technician, other = (row for row in self.demo.files["members"] if row["role"] == "technician")
        tablet = self.devices[technician["username"]]
        tablet.post(f"jobs/{job['id']}/start/")
        today = datetime.now(UTC).astimezone(self.demo.calendar.zone).date()
        tablet.post(
            "work-logs/",
            {"job": job["id"], "worked_on": today.isoformat(), "hours": "3.50", "note": "All but the last coat"},
            expect=201,
        )
        tablet.post(f"jobs/{job['id']}/done/")
        for finding in sorted({operation["finding"] for operation in job["operations"]}):
            readings = [{"quantity": "moisture", "value": "14"}, {"quantity": "play", "value": "0"}]
            looked = self.manager.post("verifications/", {"finding": finding, "readings": readings}, expect=201)
            if looked["needs_second_look"]:
                second = self.devices[other["username"]]
                second.post(f"verifications/{looked['id']}/second-look/", {"holds": True}, expect=201)
        self.say(f"{job['boat_name']}: '{job['title']}' done, 3½ h booked, looked at by two and verified")


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
