"""The demo's files, read: days placed in the calendar, short forms written out, names turned into identifiers."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.conf import settings

Document = dict[str, Any]

FOLDER: Path = settings.FIXTURES_FOLDER / "demo"
# The day of the files on which the demo is watched: all sheets are in, launch is less than a fortnight off.
WATCHED_ON = (4, 22)
# What says where an entry belongs; the rest of an item is sent as it stands.
PLACE_NAMES = {"key", "component", "check", "taken_over", "outside", "spot", "photos", "supersedes", "observed_at"}
SHORT_NAMES = ("all_other_checks", "all_components")


@dataclass(frozen=True, slots=True)
class Calendar:
    """Puts the files' days into the calendar so that the day they are watched on is today.

    The files tell of a spring. Whatever the month is, the demo's launch lies as far ahead of today: days are
    shifted by whole weeks, so that a working day stays one.
    """

    today: date
    zone: ZoneInfo

    @property
    def shift(self) -> timedelta:
        watched = date(self.today.year, *WATCHED_ON)
        return timedelta(days=(self.today - watched).days // 7 * 7)

    def day(self, said: str, season: int) -> date:
        """`04-20`, or `+1 04-20` for the year after, in a season that counts back from this spring's 0."""
        later, _, month_day = said.rpartition(" ")
        month, day = month_day.split("-")
        return date(self.today.year + season + int(later or 0), int(month), int(day)) + self.shift

    def moment(self, said: str, season: int) -> datetime:
        """`04-20T08:55` by the yard's clock."""
        day, _, clock = said.partition("T")
        return datetime.combine(self.day(day, season), time.fromisoformat(clock), tzinfo=self.zone)

    def month(self, month: int) -> int:
        """The month that the shift turns this one into: the climate goes along with the days."""
        return (date(self.today.year, month, 15) + self.shift).month


@dataclass(frozen=True, slots=True)
class Place:
    """One check of an inspection, as the database or the API gives it."""

    id: int
    component: int
    key: str
    answer_kind: str
    quantity: str
    unit: str
    spot: str | None


@dataclass(slots=True)
class Names:
    """What the files' keys stand for once the boats are there. Filled while the yard is laid."""

    components: dict[tuple[str, str], int] = field(default_factory=dict)  # (boat, component key)
    spots: dict[str, UUID] = field(default_factory=dict)
    entries: dict[str, UUID] = field(default_factory=dict)


def read(name: str) -> Document:
    document: Document = json.loads((FOLDER / name).read_text(encoding="utf-8"))
    return document


def sheets() -> list[Document]:
    """This spring's sheets, in the order in which they are sent."""
    found = [read(f"sheets/{path.name}") for path in sorted((FOLDER / "sheets").glob("*.json"))]
    return sorted(found, key=lambda sheet: (sheet["order"], sheet["boat"]))


def photo(name: str) -> bytes:
    return (FOLDER / "photos" / name).read_bytes()


def photo_digest(name: str) -> str:
    return hashlib.sha256(photo(name)).hexdigest()


def made_id(name: str, at: datetime) -> UUID:
    """A UUID of version 7 for a name of the files: the same for the same name and moment, as a tablet's own is."""
    head = int(at.timestamp() * 1000).to_bytes(6, "big")
    tail = hashlib.sha256(name.encode()).digest()[:10]
    return UUID(bytes=head + bytes([0x70 | tail[0] & 0x0F, tail[1], 0x80 | tail[2] & 0x3F]) + tail[3:])


def written_out(
    entries: Sequence[Document],
    *,
    boat: str,
    season: int,
    calendar: Calendar,
    checks: Sequence[Place],
    names: Names,
    usual_readings: Mapping[str, Document],
    answered: frozenset[int] = frozenset(),
) -> list[Document]:
    """The entries as a tablet sends them; a short form becomes one for each check that nothing else answers.

    Args:
        entries: items of a sheet.
        answered: checks that the boat's other sheets answer; short forms leave them alone.
    """
    made = _Writer(boat, season, calendar, {(c.component, c.key): c for c in checks}, checks, names, usual_readings)
    written: list[tuple[datetime, Document]] = []
    taken = set(answered)
    for item in entries:
        if not any(name in item for name in SHORT_NAMES):
            document = made.entry(item)
            taken.add(document.get("check", 0))
            written.append((calendar.moment(item["observed_at"], season), document))
    for item in entries:
        for document in made.rest(item, taken):
            taken.add(document["check"])
            written.append((calendar.moment(item["observed_at"], season), document))
    return [document for _, document in sorted(written, key=lambda pair: pair[0])]


def named_checks(entries: Sequence[Document], boat: str, checks: Sequence[Place], names: Names) -> frozenset[int]:
    """The checks that the items name themselves."""
    by_key = {(check.component, check.key): check.id for check in checks}
    by_spot = {check.spot: check.id for check in checks if check.spot is not None}
    found = set()
    for item in entries:
        if "check" in item:
            # A part that is gone has no checks any more.
            found.add(by_key.get((names.components[boat, item["component"]], item["check"]), 0))
        elif "taken_over" in item:
            found.add(by_spot[str(names.spots[item["taken_over"]])])
    return frozenset(found)


@dataclass(frozen=True, slots=True)
class _Writer:
    boat: str
    season: int
    calendar: Calendar
    by_key: Mapping[tuple[int, str], Place]
    checks: Sequence[Place]
    names: Names
    usual_readings: Mapping[str, Document]

    def entry(self, item: Document) -> Document:
        at = self.calendar.moment(item["observed_at"], self.season)
        document = {name: value for name, value in item.items() if name not in PLACE_NAMES}
        document["id"] = str(self.names.entries.setdefault(item["key"], made_id(f"entry {item['key']}", at)))
        document["observed_at"] = at.isoformat()
        component = self.names.components[self.boat, item["component"]]
        if "check" in item:
            # A part that is gone has no checks any more; the tablet still sends the one it knew.
            place = self.by_key.get((component, item["check"]))
            document |= {"check": place.id} if place else {"component": component}
        elif "taken_over" in item:
            spot = str(self.names.spots[item["taken_over"]])
            document["check"] = next(check.id for check in self.checks if check.spot == spot)
            document["spot"] = {"id": spot}
        else:
            document["component"] = component
        if "spot" in item:
            document["spot"] = self.spot(item["spot"], at)
        if "photos" in item:
            document["photos"] = [photo_digest(name) for name in item["photos"]]
        if "supersedes" in item:
            document["supersedes"] = str(self.names.entries[item["supersedes"]])
        return document

    def spot(self, said: str | Document, at: datetime) -> Document:
        if isinstance(said, str):
            return {"id": str(self.names.spots[said])}
        spot_id = self.names.spots.setdefault(said["key"], made_id(f"spot {said['key']}", at))
        return {"id": str(spot_id)} | {name: value for name, value in said.items() if name != "key"}

    def rest(self, item: Document, taken: set[int]) -> Iterator[Document]:
        answer = item.get("all_other_checks") or item.get("all_components")
        if answer is None:
            return
        component = self.names.components[self.boat, item["component"]] if "component" in item else None
        at = self.calendar.moment(item["observed_at"], self.season)
        for check in self.checks:
            if check.id in taken or component not in (None, check.component):
                continue
            document: Document = {
                "id": str(made_id(f"{self.boat} {self.season} {check.component} {check.key}", at)),
                "observed_at": at.isoformat(),
                "check": check.id,
                "answer": answer,
            }
            if check.spot is not None:
                document["spot"] = {"id": check.spot}
            if "not_seen_reason" in item:
                document["not_seen_reason"] = item["not_seen_reason"]
            if "note" in item:
                document["note"] = item["note"]
            if "photos" in item:
                document["photos"] = [photo_digest(name) for name in item["photos"]]
            if answer == "sound" and check.answer_kind == "reading":
                document["readings"] = [self.reading(check, item.get("readings", {}))]
            yield document

    def reading(self, check: Place, read_off: Mapping[str, str]) -> Document:
        usual = {"quantity": check.quantity, **self.usual_readings[check.quantity]}
        return usual | ({"value": read_off[check.key]} if check.key in read_off else {})
