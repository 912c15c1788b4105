"""Short numbers by which colleagues who share a tablet pick their own name.

A PIN is checked on the tablet, where there is no network: the tablet gets its salt and its slow hash. Ten thousand
numbers are tried through in an hour on any machine, so a PIN is no secret against a thief: it keeps colleagues'
names apart. What lets a tablet in is its key.
"""

from __future__ import annotations

import base64
import hashlib
import re
import secrets
from datetime import datetime
from typing import Final

from django.db import transaction

from yard.models import DeedKind, Member
from yard.refusals import Refused
from yard.services.deeds import deed_note

# As browsers do it: `deriveBits` with PBKDF2 and SHA-256 (RFC 8018).
SCHEME: Final = "PBKDF2-HMAC-SHA256"
# A quarter of a second on a cheap tablet: common practice, no source.
ITERATIONS: Final = 200_000
SALT_BYTES: Final = 16
_PIN: Final = re.compile(r"[0-9]{4,6}", re.ASCII)


@transaction.atomic
def member_pin_set(*, member: Member, pin: object, at: datetime, by: Member | None = None) -> None:
    """Set or change the PIN of a member; only salt and hash are kept."""
    if not isinstance(pin, str) or not _PIN.fullmatch(pin):
        raise Refused("pin", "is no PIN", "choose 4 to 6 digits")
    salt = secrets.token_bytes(SALT_BYTES)
    member.pin_salt = base64.b64encode(salt).decode()
    member.pin_hash = base64.b64encode(_hashed(pin, salt)).decode()
    member.save(update_fields=["pin_salt", "pin_hash"])
    deed_note(yard=member.yard_id, kind=DeedKind.PIN_SET, by=by, about=member, told=member.name, at=at)


def member_pin_clear(*, member: Member) -> None:
    """Let the member be picked by name alone."""
    member.pin_salt = member.pin_hash = ""
    member.save(update_fields=["pin_salt", "pin_hash"])


def _hashed(pin: str, salt: bytes) -> bytes:
    return hashlib.pbkdf2_hmac("sha256", pin.encode(), salt, ITERATIONS)


__all__ = ["ITERATIONS", "SCHEME", "member_pin_clear", "member_pin_set"]
