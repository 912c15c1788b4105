"""Entries arrive: perhaps hours late, perhaps twice, perhaps from two tablets at once. Each is stored once.

A batch is one transaction under the lock of its inspection, with a fixed number of queries however many entries it
has. Each entry gets its own answer, so that one slip does not hold up a day's work:

- stored;
- already there: the same id with the same words;
- refused: something in it is wrong, or the id is taken by other words;
- set aside: it was right when it was written and can't be placed any more. It is kept for the office.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from django.db import IntegrityError, transaction

from inspections.models import Inspection
from inspections.services import entry_sheet
from inspections.services.entry_places import Known, NoPlaceAnyMore, Surroundings, look_up, place_of
from inspections.services.entry_rows import Batch
from inspections.services.entry_sheet import EntrySheet
from yard.models import DeviceToken, Member
from yard.refusals import Refused

Outcome = Literal["stored", "already_there", "refused", "set_aside"]

MOST_ENTRIES = 500
# A second try finds what another transaction has written in the meantime; a third is for a third tablet.
TRIES = 3


@dataclass(frozen=True, slots=True)
class EntryResult:
    """What became of one entry.

    Args:
        id: as it was sent; empty where there was none.
        outcome: see the module.
        refusals: why it was refused, one for each thing that is wrong.
        why: why it was set aside.
    """

    id: str
    outcome: Outcome
    refusals: tuple[Refused, ...] = ()
    why: str = ""


def entries_submit(
    *,
    inspection: Inspection,
    author: Member,
    device: DeviceToken | None,
    sheets: Sequence[Mapping[str, object]],
    at: datetime,
) -> list[EntryResult]:
    """Take a batch of entries as JSON documents. Safe to repeat, as a whole or in part.

    Args:
        sheets: documents as `entry_sheet.read` takes them; a later one may supersede an earlier one.

    Returns:
        One result for each document, in their order.

    Raises:
        Refused: more than 500 entries at once.
    """
    if len(sheets) > MOST_ENTRIES:
        raise Refused("entries", f"there are {len(sheets)}", f"send at most {MOST_ENTRIES} at once")
    read = [_read(document) for document in sheets]
    for last_try in (False,) * (TRIES - 1) + (True,):
        try:
            with transaction.atomic():
                return _take(inspection, author, device, read, at)
        except IntegrityError:
            # Somebody wrote the same id or tag into another inspection at this moment. Now we can see it.
            if last_try:
                raise
    raise AssertionError("unreachable")


@dataclass(frozen=True, slots=True)
class _Read:
    """A document, and what could be read in it."""

    document: object
    sheet: EntrySheet | None = None
    refusals: tuple[Refused, ...] = ()
    digest: str = ""


def _read(document: object) -> _Read:
    try:
        sheet = entry_sheet.read(document)
    except Refused as refusal:
        return _Read(document, refusals=refusal.refusals)
    return _Read(document, sheet=sheet, digest=sheet.digest())


def _take(
    inspection: Inspection, author: Member, device: DeviceToken | None, read: Sequence[_Read], at: datetime
) -> list[EntryResult]:
    held = (
        Inspection.objects.select_related("boat", "yard")
        .select_for_update(of=("self",), no_key=True)
        .get(pk=inspection.pk)
    )
    around = look_up(held, [one.sheet for one in read if one.sheet is not None], at)
    batch = Batch(held, author, device, around, at)
    results = [_take_one(one, around, batch) for one in read]
    batch.write()
    return results


def _take_one(one: _Read, around: Surroundings, batch: Batch) -> EntryResult:
    sheet = one.sheet
    if sheet is None:
        sent_id = one.document.get("id") if isinstance(one.document, Mapping) else None
        return EntryResult(sent_id[:60] if isinstance(sent_id, str) else "", "refused", one.refusals)
    entry_id = str(sheet.id)
    known = _known(sheet, one.digest, around)
    if known is not None:
        return known
    try:
        place = place_of(sheet, around)
    except NoPlaceAnyMore as reason:
        around.aside[sheet.id] = batch.set_aside(one.document, sheet, one.digest, str(reason))
        return EntryResult(entry_id, "set_aside", why=str(reason))
    except Refused as refusal:
        return EntryResult(entry_id, "refused", refusal.refusals)
    around.entries[sheet.id] = Known(around.inspection.yard_id, around.inspection.pk, one.digest)
    batch.add(sheet, one.digest, place)
    return EntryResult(entry_id, "stored")


def _known(sheet: EntrySheet, digest: str, around: Surroundings) -> EntryResult | None:
    """The answer to an id that has come before, or None where it is new."""
    entry_id = str(sheet.id)
    stored, aside = around.entries.get(sheet.id), around.aside.get(sheet.id)
    if stored is not None and stored.yard_id != around.inspection.yard_id:
        return EntryResult(entry_id, "refused", (Refused("id", "this id can't be used", _NEW_ID),))
    if stored is not None and (stored.digest == digest or (aside is not None and aside.digest == digest)):
        return EntryResult(entry_id, "already_there")
    if stored is None and aside is not None and aside.digest == digest:
        return EntryResult(entry_id, "set_aside", why=aside.why)
    if stored is not None or aside is not None:
        return EntryResult(entry_id, "refused", (_conflict(),))
    return None


_NEW_ID = "make a new UUID of version 7"


def _conflict() -> Refused:
    return Refused(
        "id",
        "an entry of this id is here with other content, and entries are never changed",
        "send the correction under a new id and name this one in supersedes",
    )


__all__ = ["MOST_ENTRIES", "EntryResult", "Outcome", "entries_submit"]
