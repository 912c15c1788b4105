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
from inspections.services import entry_sheet, step_sheet
from inspections.services.entry_authors import Sender, author_of, refuse_who_had_left
from inspections.services.entry_places import Known, NoPlaceAnyMore, Surroundings, look_up, place_of, step_of
from inspections.services.entry_rows import Batch
from inspections.services.entry_sheet import EntrySheet
from inspections.services.step_sheet import StepSheet
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
    author: Member | None,
    device: DeviceToken | None,
    sheets: Sequence[Mapping[str, object]],
    at: datetime,
    from_file: bool = False,
) -> list[EntryResult]:
    """Take a batch of entries as JSON documents. Safe to repeat, as a whole or in part.

    They are taken in the order of the device's own count, where each of them has one.

    Args:
        author: who saw what names nobody; None where each entry must name its author.
        device: that sends them. It may speak for any member of the yard; without one only the author may.
        from_file: a tablet saved them and the office loads them; each may name its author.
        sheets: documents as `entry_sheet.read` and `step_sheet.read` take them; a later one may supersede an
            earlier one.

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
                return _take(inspection, Sender(author, device, from_file), read, at)
        except IntegrityError:
            # Somebody wrote the same id or tag into another inspection at this moment. Now we can see it.
            if last_try:
                raise
    raise AssertionError("unreachable")


@dataclass(frozen=True, slots=True)
class _Read:
    """A document, and what could be read in it."""

    document: object
    sheet: EntrySheet | StepSheet | None = None
    refusals: tuple[Refused, ...] = ()
    digest: str = ""


def _read(document: object) -> _Read:
    try:
        sheet: EntrySheet | StepSheet
        if isinstance(document, Mapping) and step_sheet.is_about_step(document):
            sheet = step_sheet.read(document)
        else:
            sheet = entry_sheet.read(document)
    except Refused as refusal:
        return _Read(document, refusals=refusal.refusals)
    return _Read(document, sheet=sheet, digest=sheet.digest())


def _take(inspection: Inspection, sender: Sender, read: Sequence[_Read], at: datetime) -> list[EntryResult]:
    held = (
        Inspection.objects.select_related("boat", "yard")
        .select_for_update(of=("self",), no_key=True)
        .get(pk=inspection.pk)
    )
    entries = [one.sheet for one in read if isinstance(one.sheet, EntrySheet)]
    steps = [one.sheet for one in read if isinstance(one.sheet, StepSheet)]
    around = look_up(held, entries, at, steps)
    batch = Batch(held, sender.device, around, at)
    results = {position: _take_one(read[position], sender, around, batch) for position in _in_their_order(read)}
    batch.write()
    return [results[position] for position in range(len(read))]


def _in_their_order(read: Sequence[_Read]) -> Sequence[int]:
    """Positions by the device's own count; as they came where one of them has none."""
    counts = [one.sheet.sequence if one.sheet is not None else None for one in read]
    if any(count is None for count in counts):
        return range(len(read))
    return sorted(range(len(read)), key=lambda position: counts[position] or 0)


def _take_one(one: _Read, sender: Sender, around: Surroundings, batch: Batch) -> EntryResult:
    sheet = one.sheet
    if sheet is None:
        sent_id = one.document.get("id") if isinstance(one.document, Mapping) else None
        return EntryResult(sent_id[:60] if isinstance(sent_id, str) else "", "refused", one.refusals)
    entry_id = str(sheet.id)
    known = _known(sheet, one.digest, around)
    if known is not None:
        return known
    try:
        author = author_of(sheet, sender, around)
    except Refused as refusal:
        return EntryResult(entry_id, "refused", refusal.refusals)
    now_known = Known(around.inspection.yard_id, around.inspection.pk, one.digest)
    try:
        refuse_who_had_left(author, sheet, around)
        if isinstance(sheet, StepSheet):
            batch.add_step(sheet, one.digest, step_of(sheet, around), author)
            around.steps_said[sheet.id] = now_known
        else:
            batch.add(sheet, one.digest, place_of(sheet, around), author)
            around.entries[sheet.id] = now_known
    except NoPlaceAnyMore as reason:
        around.aside[sheet.id] = batch.set_aside(one.document, sheet, one.digest, str(reason), author)
        return EntryResult(entry_id, "set_aside", why=str(reason))
    except Refused as refusal:
        return EntryResult(entry_id, "refused", refusal.refusals)
    return EntryResult(entry_id, "stored")


def _known(sheet: EntrySheet | StepSheet, digest: str, around: Surroundings) -> EntryResult | None:
    """The answer to an id that has come before, or None where it is new."""
    entry_id = str(sheet.id)
    stored = (around.steps_said if isinstance(sheet, StepSheet) else around.entries).get(sheet.id)
    aside = around.aside.get(sheet.id)
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
