"""What a tablet could not send, saved on it as a file and loaded by the office.

It is the way in for a tablet that was shut out, or never finds a network again. The file says of itself what it is;
nothing in it is believed: each entry goes the way of any other entry, each photo that of any other photo, and each
gets an answer of its own. Loading the same file again changes nothing.
"""

from __future__ import annotations

import base64
import binascii
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from inspections.documents import Fields
from inspections.models import Inspection
from inspections.services.entries import MOST_ENTRIES, entries_submit
from inspections.services.photos import photo_receive
from yard.models import DeviceToken, Member, Yard
from yard.refusals import Refused

FORMAT: Final = "faying unsent 1"
MOST_BYTES: Final = 128 * 1024 * 1024
MOST_INSPECTIONS: Final = 100
MOST_ENTRIES_IN_ALL: Final = 5_000
MOST_PHOTOS: Final = 1_000
# The words of the office for what became of an entry.
TOLD_AS: Final = {"stored": "taken"}


@dataclass(frozen=True, slots=True)
class Fate:
    """What became of one entry or photo.

    Args:
        id: of the entry, or the digest of the photo, as the file has it.
        inspection: that the file names; None for a photo.
        outcome: taken, already_there, set_aside or refused.
        refusals: why it was refused.
        why: why it was set aside for the office.
    """

    id: str
    inspection: int | None
    outcome: str
    refusals: tuple[Refused, ...] = ()
    why: str = ""


@dataclass(frozen=True, slots=True)
class Loaded:
    """What became of a file."""

    entries: tuple[Fate, ...]
    photos: tuple[Fate, ...]


def unsent_load(*, yard: Yard, document: object, by: Member, at: datetime) -> Loaded:
    """Load a tablet's file of what it had not sent.

    Args:
        document: the file, read as JSON.
        by: the manager who loads it.

    Raises:
        Refused: it is no such file, of another yard, or larger than any tablet would make it; then nothing of it
            was taken. What is wrong with a single entry or photo is told of that one.
    """
    if not isinstance(document, Mapping):
        raise Refused("file", "is no file of a tablet", "choose the file that the tablet saved")
    fields = Fields(document, known=("format", "made_at", "yard", "author", "device", "inspections", "photos"))
    if document.get("format") != FORMAT:
        fields.refuse("format", "is not known", f"choose a file that begins with {FORMAT!r}")
    elif fields.key("yard") != yard.pk:
        fields.refuse("yard", "is another one", "load it at the yard that the tablet belongs to")
    device = _device(yard, fields)
    author = Member.objects.of_yard(yard).filter(pk=fields.key("author") or 0).first()
    if author is None and device is not None and not device.shared:
        author = device.member
    batches = list(_batches(fields))
    photos = list(fields.rows("photos", known=("sha256", "media_type", "data"), most=MOST_PHOTOS))
    fields.raise_refusals()
    here = {
        row.pk: row
        for row in Inspection.objects.of_yard(yard).filter(pk__in=[key for key, _ in batches]).order_by()
    }
    entries = [
        fate
        for key, sheets in batches
        for fate in _entries(key, here.get(key), sheets, author=author, device=device, at=at)
    ]
    return Loaded(tuple(entries), tuple(_photo(row, yard, by, at) for row in photos))


def _device(yard: Yard, fields: Fields) -> DeviceToken | None:
    """The tablet that saved it, shut out or not; None where the yard knows none of that number."""
    inside = fields.inside("device", known=("id", "device_name"))
    key = None if inside is None else inside.key("id")
    rows = DeviceToken.objects.of_yard(yard).select_related("member")
    device: DeviceToken | None = rows.filter(pk=key).first() if key is not None else None
    return device


def _batches(fields: Fields) -> Iterator[tuple[int, Sequence[Any]]]:
    total = 0
    for row in fields.rows("inspections", known=("inspection", "boat_name", "entries"), most=MOST_INSPECTIONS):
        key, sheets = row.key("inspection"), row.value("entries")
        if key is None:
            row.refuse("inspection", "is missing", "give the id of the inspection")
        if not isinstance(sheets, list):
            row.refuse("entries", "is no list", "give the entries as they would have been sent")
            continue
        total += len(sheets)
        if total > MOST_ENTRIES_IN_ALL:
            row.refuse("entries", f"there are more than {MOST_ENTRIES_IN_ALL} in all", "split the file")
            return
        for start in range(0, len(sheets), MOST_ENTRIES):
            yield key or 0, sheets[start : start + MOST_ENTRIES]


def _entries(
    key: int,
    inspection: Inspection | None,
    sheets: Sequence[Any],
    *,
    author: Member | None,
    device: DeviceToken | None,
    at: datetime,
) -> Iterator[Fate]:
    if inspection is None:
        unknown = Refused("inspection", f"the yard has no inspection {key}", "type it in at the right inspection")
        for sheet in sheets:
            named = sheet.get("id") if isinstance(sheet, Mapping) else None
            yield Fate(named[:60] if isinstance(named, str) else "", key, "refused", (unknown,))
        return
    for result in entries_submit(
        inspection=inspection, author=author, device=device, sheets=sheets, at=at, from_file=True
    ):
        outcome = TOLD_AS.get(result.outcome, result.outcome)
        yield Fate(result.id, inspection.pk, outcome, result.refusals, result.why)


def _photo(row: Fields, yard: Yard, by: Member, at: datetime) -> Fate:
    """By its digest, as if the tablet had sent it."""
    sha256, text = row.value("sha256"), row.value("data")
    name = sha256[:64] if isinstance(sha256, str) else ""
    try:
        data = base64.b64decode(text, validate=True) if isinstance(text, str) else b""
    except (binascii.Error, ValueError):
        return Fate(name, None, "refused", (Refused("data", "is no base 64", "save the file anew"),))
    try:
        _, is_new = photo_receive(yard=yard, sha256=name, data=data, by=by, at=at)
    except Refused as refusal:
        return Fate(name, None, "refused", refusal.refusals)
    return Fate(name, None, "taken" if is_new else "already_there")


__all__ = ["FORMAT", "MOST_BYTES", "Fate", "Loaded", "unsent_load"]
