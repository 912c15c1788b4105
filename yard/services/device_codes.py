"""A code that lets one tablet in: made by the office, typed once, gone after a quarter of an hour."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from django.db import IntegrityError, transaction

from yard.models import DeviceCode, DeviceToken, Member
from yard.refusals import Refused
from yard.services.checks import text_check
from yard.services.people import device_token_issue, digest_of
from yard.tag_codes import tag_check, tag_display, tag_new

GOOD_FOR: Final = timedelta(minutes=15)
# 23^7 codes, a few of them good at a time: a double is drawn once in a yard's life, and then once more.
TRIES: Final = 3


def device_code_make(*, by: Member, device_name: str = "", at: datetime) -> tuple[DeviceCode, str]:
    """Make a code for a tablet of the yard. The code itself is handed out here and never again.

    It is written like the code of a sticker, so that a slip is caught while it is typed.

    Args:
        device_name: what the office will see in its list of devices; the tablet may say it instead.
    """
    name = text_check(device_name, field="device_name", longest=80, blank=True)
    for last_try in (False,) * (TRIES - 1) + (True,):
        code = tag_new()
        row = DeviceCode(
            yard=by.yard,
            made_by=by,
            device_name=name,
            digest=digest_of(code),
            created_at=at,
            expires_at=at + GOOD_FOR,
        )
        try:
            with transaction.atomic():
                row.save()
        except IntegrityError:
            if last_try:
                raise
        else:
            return row, tag_display(code)
    raise AssertionError("unreachable")


@transaction.atomic
def device_code_use(
    *, code: str, device_name: str = "", from_address: str | None = None, at: datetime
) -> tuple[DeviceToken, str] | None:
    """Let a tablet in by a code: it gets a key of its own, for whoever works with it.

    Returns:
        The token and its key; None where the code is wrong, used, taken back or has run out. Which of them is not
        told to who is guessing.

    Raises:
        Refused: nobody has given the device a name.
    """
    try:
        plain = tag_check(code, field="code")
    except Refused:
        return None
    row: DeviceCode | None = (
        DeviceCode.objects.select_for_update(of=("self",), no_key=True)
        .select_related("made_by__yard", "made_by__user")
        .filter(digest=digest_of(plain), used_at=None, revoked_at=None, expires_at__gt=at)
        .first()
    )
    if row is None:
        return None
    token, key = device_token_issue(
        member=row.made_by,
        device_name=device_name or row.device_name,
        shared=True,
        from_address=from_address,
        at=at,
    )
    row.used_at = at
    row.token = token
    row.save(update_fields=["used_at", "token"])
    return token, key


def device_code_revoke(*, code: DeviceCode, at: datetime) -> None:
    """Take a code back that nobody has used. Doing it again changes nothing."""
    DeviceCode.objects.filter(pk=code.pk, used_at=None, revoked_at=None).update(revoked_at=at)


__all__ = ["GOOD_FOR", "device_code_make", "device_code_revoke", "device_code_use"]
