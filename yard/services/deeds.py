"""Noting who did what about coming in, keys, settings and boats, in the transaction of the deed itself."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from yard.models import Deed, DeedKind, Member, Yard, YardOwned
from yard.told_changes import changes_told

TOLD_LENGTH = 300


def deed_note(
    *,
    yard: Yard | int,
    kind: DeedKind,
    at: datetime,
    by: Member | None = None,
    about: Member | None = None,
    told: str = "",
    thing: str = "",
    from_address: str | None = None,
) -> Deed:
    """Write one line of who did what.

    Args:
        by: who did it; None where nobody can be told.
        about: the member it was done to, where it was one.
        told: what it was done to, in words of this moment; never a key or a password.
        thing: which row it was done to, as `thing_of` names it.
    """
    said = "".join(letter for letter in told if letter.isprintable())
    deed = Deed(
        yard_id=yard.pk if isinstance(yard, Yard) else yard,
        kind=kind,
        at=at,
        by=by,
        about=about,
        told=said if len(said) <= TOLD_LENGTH else f"{said[: TOLD_LENGTH - 1]}…",
        thing=thing,
        from_address=from_address,
    )
    deed.save(force_insert=True)
    return deed


def change_note(
    *,
    row: YardOwned | Yard,
    kind: DeedKind,
    what: str,
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    at: datetime,
    by: Member | None,
) -> Deed | None:
    """Write from what to what a row was changed; nothing where nothing was.

    Args:
        what: what the row is called, such as the boat's name.
        before, after: the values by field; `before` is empty where there was no row.
    """
    told = changes_told(before, after)
    if not told:
        return None
    yard = row if isinstance(row, Yard) else row.yard_id
    said = f"{what}: {told}" if what else told
    return deed_note(yard=yard, kind=kind, by=by, told=said, thing=thing_of(row), at=at)


def thing_of(row: YardOwned | Yard) -> str:
    """How the deeds name a row: boat:12."""
    return f"{row._meta.model_name}:{row.pk}"


__all__ = ["change_note", "deed_note", "thing_of"]
