"""One entry as a tablet sends it: read from JSON, and everything that is wrong with it named in one go.

What can be said without the database is said here: words, figures, what belongs together. Whether the check, the
part or the spot is there is for `entries` to say.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any, Final
from uuid import UUID

import rfc8785

from inspections.documents import Fields
from inspections.judgement.facts import PERCENT_UNITS
from inspections.judgement.vocabulary import Answer, Load, Moves, Seal, Sides, Trend, Water
from yard.models import PlanLevel
from yard.refusals import Refused
from yard.tag_codes import tag_check

# A tablet whose battery was empty may begin at the beginning of time; its offset puts that right.
EARLIEST: Final = datetime(1970, 1, 1, tzinfo=UTC)
LATEST: Final = datetime(2199, 12, 31, tzinfo=UTC)
MOST_SIGNS = MOST_READINGS = MOST_PHOTOS = 20
MOST_OFFSET_MS: Final = 100 * 366 * 86_400_000
MOISTURE = "moisture"
_DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)
_QUANTITY = re.compile(r"[a-z0-9]+(_[a-z0-9]+)*", re.ASCII)


@dataclass(frozen=True, slots=True)
class SpotSheet:
    """A place on a component: one that is there already by its id alone, or a new one with its name.

    Args:
        id: UUIDv7, made by the tablet for a new place.
        tag: of the sticker; empty where there is none, and the yard makes one.
        name: in words, for a new place.
        plan_x, plan_y: thousandths from stem to stern and from port to starboard; both or none.
        level: of the plan; empty counts as deck.
    """

    id: UUID
    tag: str = ""
    name: str = ""
    plan_x: int | None = None
    plan_y: int | None = None
    level: str = ""


@dataclass(frozen=True, slots=True)
class ReadingSheet:
    """A measured figure; the wood's temperature in °C where it was taken."""

    quantity: str
    value: Decimal
    unit: str
    wood_temperature_c: Decimal | None = None


@dataclass(frozen=True, slots=True)
class EntrySheet:
    """What was recorded at one place. Codes are those of the vocabularies; an empty one was not recorded.

    Args:
        observed_at: by the device's clock.
        author: who saw it, where that is not who signed the device in.
        clock_offset_ms: server minus device, as the device has measured it; None where it could not. It is no part
            of what was said: a device may find it out after the entry was made.
    """

    id: UUID
    answer: Answer
    observed_at: datetime
    check: int | None = None
    component: int | None = None
    elsewhere: str = ""
    spot: SpotSheet | None = None
    not_seen_reason: str = ""
    signs: tuple[str, ...] = ()
    size_mm: Decimal | None = None
    readings: tuple[ReadingSheet, ...] = ()
    water: Water | None = None
    load: Load | None = None
    seal: Seal | None = None
    moves: Moves | None = None
    sides: Sides | None = None
    trend: Trend | None = None
    in_load_path: bool | None = None
    note: str = ""
    photos: tuple[str, ...] = ()
    sequence: int | None = None
    supersedes: UUID | None = None
    author: int | None = None
    clock_offset_ms: int | None = None

    def digest(self) -> str:
        """See `digest_of`."""
        return digest_of(self)


def digest_of(sheet: Any) -> str:
    """SHA-256 of the canonical JSON (RFC 8785) of what was said.

    What was left empty is left out, and figures are written one way, so that the same words in another order or
    spelling are the same entry.
    """
    plain: Any = _said(sheet)
    return hashlib.sha256(rfc8785.dumps(plain)).hexdigest()


def put_right(clock_at: datetime, offset_ms: int | None) -> datetime:
    """What a device's clock said, put right by what it was off; as it said where nobody knows."""
    return clock_at if offset_ms is None else clock_at + timedelta(milliseconds=offset_ms)


_ENTRY_NAMES = tuple(EntrySheet.__slots__)
_SPOT_NAMES = tuple(SpotSheet.__slots__)
_READING_NAMES = tuple(ReadingSheet.__slots__)


def read(document: object) -> EntrySheet:
    """Read one entry.

    Args:
        document: an object with the names of `EntrySheet`; `photos` are SHA-256 digests of the files.

    Raises:
        RefusedMany: everything that is wrong, each with its place, such as `readings[0].value`.
    """
    if not isinstance(document, Mapping):
        raise Refused("", "is no object", f"send an object with: {', '.join(_ENTRY_NAMES)}")
    fields = Fields(document, known=_ENTRY_NAMES)
    entry_id = fields.made_id("id", required=True)
    answer = fields.word("answer", Answer, required=True)
    observed_at = fields.moment("observed_at", low=EARLIEST, high=LATEST)
    values = {
        "check": fields.key("check"),
        "component": fields.key("component"),
        "elsewhere": fields.text("elsewhere", longest=200),
        "spot": _spot(fields),
        "not_seen_reason": fields.text("not_seen_reason", longest=300),
        "signs": fields.texts("signs", longest=40, most=MOST_SIGNS),
        "size_mm": fields.decimal("size_mm", low=Decimal(0), high=Decimal(100_000), places=1, unit="mm"),
        "readings": tuple(
            reading
            for row in fields.rows("readings", known=_READING_NAMES, most=MOST_READINGS)
            if (reading := _reading(row)) is not None
        ),
        "water": fields.word("water", Water),
        "load": fields.word("load", Load),
        "seal": fields.word("seal", Seal),
        "moves": fields.word("moves", Moves),
        "sides": fields.word("sides", Sides),
        "trend": fields.word("trend", Trend),
        "in_load_path": fields.flag("in_load_path"),
        "note": fields.text("note", longest=4000, lines=True),
        "photos": _photos(fields),
        "sequence": fields.whole("sequence", low=0, high=2**31 - 1),
        "supersedes": fields.uuid("supersedes"),
        "author": fields.key("author"),
        "clock_offset_ms": fields.whole("clock_offset_ms", low=-MOST_OFFSET_MS, high=MOST_OFFSET_MS),
    }
    _refuse_place(fields)
    if answer is not None:
        _refuse_what_does_not_fit(fields, answer)
    if entry_id is not None and values["supersedes"] == entry_id:
        fields.refuse("supersedes", "is the entry itself", "name the earlier entry, or leave it out")
    fields.raise_refusals()
    assert entry_id is not None
    assert answer is not None
    assert observed_at is not None
    return EntrySheet(id=entry_id, answer=answer, observed_at=observed_at, **values)  # type: ignore[arg-type]


def _refuse_place(fields: Fields) -> None:
    check, component, elsewhere = (fields.given(name) for name in ("check", "component", "elsewhere"))
    if not check and not component and not elsewhere:
        fields.refuse("component", "the entry says nowhere", "name a check, a component, or say where in elsewhere")
    if elsewhere and (check or component):
        fields.refuse("elsewhere", "the place is named twice", "leave out either this or check and component")
    if elsewhere and fields.given("spot"):
        fields.refuse("spot", "a spot lies on a component", "name the component instead of elsewhere")


def _refuse_what_does_not_fit(fields: Fields, answer: Answer) -> None:
    if answer is Answer.NOT_SEEN:
        if not fields.given("not_seen_reason"):
            fields.refuse("not_seen_reason", "is missing", "say what hid the place")
    elif fields.given("not_seen_reason"):
        fields.refuse("not_seen_reason", f"the answer is {answer.label}", "leave it out, or answer not_seen")
    if answer is Answer.FINDING:
        if not fields.given("signs"):
            fields.refuse("signs", "a finding without a sign", "name at least one sign of the yard's list")
        if not fields.given("spot") and fields.given("component") and not fields.given("check"):
            fields.refuse("spot", "is missing", "say at which spot: the id of one, or a new one with a name")
    else:
        for name in ("signs", "size_mm") if answer is not Answer.NOT_SEEN else ("size_mm",):
            if fields.given(name):
                fields.refuse(name, f"the answer is {answer.label}", "leave it out, or answer finding")
    if answer is Answer.NOT_FITTED and fields.given("elsewhere"):
        fields.refuse("answer", "what is not fitted is on the list", "name the check or the component")


def _spot(fields: Fields) -> SpotSheet | None:
    row = fields.inside("spot", known=_SPOT_NAMES)
    if row is None:
        return None
    # A spot that is there already may have an id of any version; a new one is looked at once more by `entries`.
    spot_id = row.uuid("id")
    if spot_id is None and not row.given("id"):
        row.refuse("id", "is missing", "give the id of a spot, or a new UUID of version 7")
    tag = row.text("tag", longest=40)
    if tag:
        try:
            tag = tag_check(tag, field=row.path_of("tag"))
        except Refused as refusal:
            row.refusals.append(refusal)
    plan_x, plan_y = row.whole("plan_x", low=0, high=1000), row.whole("plan_y", low=0, high=1000)
    if row.given("plan_x") != row.given("plan_y"):
        missing = "plan_y" if row.given("plan_x") else "plan_x"
        row.refuse(missing, "is missing beside the other one", "give both places on the plan, or none")
    name = row.text("name", longest=120)
    level = row.one_of("level", PlanLevel.values)
    if spot_id is None:
        return None
    return SpotSheet(id=spot_id, tag=tag, name=name, plan_x=plan_x, plan_y=plan_y, level=level)


def _reading(row: Fields) -> ReadingSheet | None:
    quantity = row.text("quantity", longest=40, required=True)
    if quantity and not _QUANTITY.fullmatch(quantity):
        row.refuse(
            "quantity", f"{quantity!r} is no quantity", "give small letters joined by _, such as moisture_pct"
        )
    moisture = quantity.startswith(MOISTURE)
    high = Decimal(120) if moisture else Decimal(1_000_000)
    value = row.decimal("value", low=Decimal(0) if moisture else -high, high=high, places=2, required=True)
    unit = row.text("unit", longest=12, required=True)
    if moisture and unit and unit not in PERCENT_UNITS:
        row.refuse("unit", f"moisture in {unit!r} can't be read", "give pct, of dry mass")
    wood_temperature_c = row.decimal("wood_temperature_c", low=Decimal(-40), high=Decimal(80), places=1, unit="°C")
    if not quantity or value is None or not unit:
        return None
    return ReadingSheet(quantity=quantity, value=value, unit=unit, wood_temperature_c=wood_temperature_c)


def _photos(fields: Fields) -> tuple[str, ...]:
    digests = tuple(digest.lower() for digest in fields.texts("photos", longest=64, most=MOST_PHOTOS))
    for position, digest in enumerate(digests):
        if not _DIGEST.fullmatch(digest):
            fields.refuse(
                f"photos[{position}]",
                "is no SHA-256 digest",
                "give the 64 hexadecimal digits of the file's SHA-256",
            )
        elif digest in digests[:position]:
            fields.refuse(f"photos[{position}]", "stands there twice", "name each photo once")
    return digests


def _said(sheet: Any) -> dict[str, object]:
    """What a sheet says as plain JSON, without what was left empty."""
    values = ((name, getattr(sheet, name)) for name in sheet.__slots__ if name != "clock_offset_ms")
    return {name: _plain(value) for name, value in values if value is not None and value != "" and value != ()}


def _plain(value: object) -> object:
    if isinstance(value, str):
        return str(value)  # a word of a vocabulary as its code
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, SpotSheet | ReadingSheet):
        return _said(value)
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Decimal):
        return f"{value.normalize() + 0:f}"
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    return str(value)


__all__ = ["EntrySheet", "ReadingSheet", "SpotSheet", "digest_of", "put_right", "read"]
