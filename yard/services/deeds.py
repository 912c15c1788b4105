"""Noting who did what about coming in, keys and settings, in the transaction of the deed itself."""

from __future__ import annotations

from datetime import datetime

from yard.models import Deed, DeedKind, Member, Yard

TOLD_LENGTH = 300


def deed_note(
    *,
    yard: Yard | int,
    kind: DeedKind,
    at: datetime,
    by: Member | None = None,
    about: Member | None = None,
    told: str = "",
    from_address: str | None = None,
) -> Deed:
    """Write one line of who did what.

    Args:
        by: who did it; None where nobody can be told.
        about: the member it was done to, where it was one.
        told: what it was done to, in words of this moment; never a key or a password.
    """
    deed = Deed(
        yard_id=yard.pk if isinstance(yard, Yard) else yard,
        kind=kind,
        at=at,
        by=by,
        about=about,
        told="".join(letter for letter in told if letter.isprintable())[:TOLD_LENGTH],
        from_address=from_address,
    )
    deed.save(force_insert=True)
    return deed


__all__ = ["deed_note"]
