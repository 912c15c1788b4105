"""One document, one sequence of bytes, one digest: what was sent to an owner can be checked years later.

The bytes are canonical JSON by RFC 8785. Decimals are written as text with the digits they have (12.50 stays
"12.50"), because JSON's numbers are binary fractions; for the same reason a float is refused. Dates and UUIDs are
text, moments are UTC, enumerations are their values.
"""

import hashlib
from collections.abc import Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from typing import Final
from uuid import UUID

import rfc8785

from yard.refusals import Refused

_WHAT_WOULD_DO: Final = (
    "Use text, whole numbers, decimals, dates, moments, UUIDs, enumerations, lists and mappings."
)

Json = None | bool | int | str | list["Json"] | dict[str, "Json"]


def canonical_bytes(document: object) -> bytes:
    """Write a document as canonical JSON in UTF-8 (RFC 8785).

    Args:
        document: mappings with text keys, lists and tuples of: text, whole numbers up to 2^53 - 1 either way,
            Decimal, date, datetime with a zone, UUID, Enum, True, False, None.

    Raises:
        Refused: something else is in it; the field says where, like `jobs[2].net`.
    """
    plain = _plain(document, "document")
    try:
        return rfc8785.dumps(plain)
    except rfc8785.CanonicalizationError as error:
        raise Refused(
            "document", f"can't be written as JSON: {error}", "Send text that is valid Unicode."
        ) from error


def digest_of(document: object) -> str:
    """SHA-256 of a document's canonical JSON, as 64 hexadecimal digits.

    Raises:
        Refused: as for `canonical_bytes`.
    """
    return hashlib.sha256(canonical_bytes(document)).hexdigest()


def _plain(value: object, place: str) -> Json:
    # Enumerations first: many are text or numbers as well, and it is their value that counts.
    if isinstance(value, Enum):
        return _plain(value.value, place)
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return str(value)
    if isinstance(value, int):
        return _whole_number(value, place)
    if isinstance(value, Decimal):
        return _decimal(value, place)
    if isinstance(value, datetime):
        return _moment(value, place)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, Mapping):
        return _members(value, place)
    if isinstance(value, list | tuple):
        return [_plain(item, f"{place}[{position}]") for position, item in enumerate(value)]
    if isinstance(value, float):
        raise Refused(place, f"is a float: {value!r}", "Use Decimal: a float has no digits of its own.")
    raise Refused(place, f"is a {type(value).__name__}", _WHAT_WOULD_DO)


def _members(mapping: Mapping[object, object], place: str) -> dict[str, Json]:
    members: dict[str, Json] = {}
    for key, item in mapping.items():
        name = _key(key, place)
        if name in members:
            raise Refused(place, f"has the key {name!r} twice", "Give each member a name of its own.")
        members[name] = _plain(item, name if place == "document" else f"{place}.{name}")
    return members


def _key(key: object, place: str) -> str:
    name = key.value if isinstance(key, Enum) else key
    if not isinstance(name, str):
        raise Refused(place, f"has a key that is not text: {key!r}", "Use text as keys.")
    return str(name)


def _whole_number(value: int, place: str) -> int:
    if abs(value) >= 2**53:
        raise Refused(place, f"is too large for a number of JSON: {value}", "Send it as text.")
    return value


def _decimal(value: Decimal, place: str) -> str:
    if not value.is_finite():
        raise Refused(place, f"is {value}", "Send a finite number.")
    if value == 0:
        value = abs(value)
    # Never an exponent: 1E+2 and 100 are the same money.
    return format(value, "f")


def _moment(value: datetime, place: str) -> str:
    if value.tzinfo is None:
        raise Refused(place, "is a moment without a time zone", "Use moments with a time zone, best UTC.")
    return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
