"""What the office makes of an entry that could not be placed: it gives it a place, or lets it go with a reason."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from inspections.models import Check, Entry, Inspection, SetAside
from inspections.services import entry_sheet
from inspections.services.entry_places import NoPlaceAnyMore, look_up, place_of
from inspections.services.entry_rows import Batch
from inspections.services.step_sheet import is_about_step
from yard.models import Component, Member
from yard.refusals import Refused

HOW_LENGTH = 300


@transaction.atomic
def set_aside_place(
    *,
    set_aside: SetAside,
    inspection: Inspection,
    by: Member,
    at: datetime,
    check: Check | None = None,
    component: Component | None = None,
) -> Entry:
    """Store an entry at the place that the office gives it: a check, or a component beside the list; in a closed
    inspection too, because what came late was seen in time.

    It keeps its id, its author and its times. What it took the place of is kept only where that is in the same
    inspection.

    Raises:
        Refused: it is settled already, it tells of opening up, no place was given, the place takes no entries, or
            something in the entry does not fit there; the refusals name the fields.
    """
    held = _unsettled(set_aside)
    if is_about_step(held.sent):
        raise Refused("set_aside", "it tells of opening up, and not of a place", "let it go; its words are kept")
    if check is None and component is None:
        raise Refused("check", "no place is given", "name a check, or a component beside the list")
    document: Mapping[str, object] = {
        **held.sent,
        "check": check.pk if check else None,
        "component": component.pk if component else None,
        "elsewhere": "",
    }
    sheet = entry_sheet.read(document)
    lock = Inspection.objects.of_yard(held.yard_id).select_related("boat", "yard")
    into = lock.select_for_update(of=("self",), no_key=True).get(pk=inspection.pk)
    around = look_up(into, [sheet], at)
    around.aside.pop(sheet.id, None)
    before = around.entries.get(sheet.supersedes) if sheet.supersedes else None
    if before is None or before.inspection_id != into.pk:
        sheet = entry_sheet.read({**document, "supersedes": None})
    try:
        place = place_of(sheet, around, by_the_office=True)
    except NoPlaceAnyMore as reason:
        raise Refused("inspection", str(reason), "choose another place, or let the entry go") from reason
    batch = Batch(into, held.device, around, at)
    batch.add(sheet, sheet.digest(), place, held.author)
    batch.write()
    _settle(held, f"placed at {check or component}", by, at)
    entry: Entry = Entry.objects.get(pk=sheet.id)
    return entry


@transaction.atomic
def set_aside_dismiss(*, set_aside: SetAside, reason: str, by: Member, at: datetime) -> SetAside:
    """Let an entry go. Its words stay with the reason.

    Raises:
        Refused: it is settled already, or no reason is given.
    """
    held = _unsettled(set_aside)
    if not 1 <= len(reason.strip()) <= HOW_LENGTH:
        raise Refused("reason", "is missing or too long", f"say why, in at most {HOW_LENGTH} characters")
    _settle(held, reason.strip(), by, at)
    return held


def _unsettled(set_aside: SetAside) -> SetAside:
    locked = SetAside.objects.select_related("author", "device").select_for_update(of=("self",), no_key=True)
    held: SetAside = locked.get(pk=set_aside.pk)
    if held.settled_at is not None:
        raise Refused("set_aside", f"it is settled already: {held.settled_how}", "there is nothing more to do")
    return held


def _settle(held: SetAside, how: str, by: Member, at: datetime) -> None:
    held.settled_at = at
    held.settled_by = by
    held.settled_how = how[:HOW_LENGTH]
    held.save(update_fields=["settled_at", "settled_by", "settled_how"])


__all__ = ["set_aside_dismiss", "set_aside_place"]
