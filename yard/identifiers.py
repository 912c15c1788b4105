"""Identifiers of version 7 (RFC 9562, section 5.7): they sort by the time at which they were made.

Tablets make the identifiers of their entries themselves, so that an entry sent twice is stored once. A version
that carries no time, or another machine's address, is refused.
"""

import re
import uuid
from datetime import UTC, datetime, timedelta
from typing import Final

import uuid6

from yard.refusals import Refused

_WRITTEN_FORM: Final = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.IGNORECASE | re.ASCII)
_EXAMPLE: Final = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"  # RFC 9562, appendix A.6
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
_LAST_MOMENT: Final = datetime(9999, 12, 31, tzinfo=UTC)


def uuid7_new() -> uuid.UUID:
    """Make an identifier of version 7; later ones of the same process sort after earlier ones."""
    # The library returns a class of its own, whose `time` means something else; the plain one is what is stored.
    return uuid.UUID(int=uuid6.uuid7().int)


def uuid7_check(value: object, *, field: str = "id") -> uuid.UUID:
    """Read an identifier that a client made.

    Args:
        value: a UUID, or text in the usual form of five groups.
        field: name of the field for the refusal.

    Raises:
        Refused: the value is no UUID, not of version 7, or its time lies beyond the year 9999.
    """
    remedy = f"Send a UUID of version 7, like {_EXAMPLE}."
    if isinstance(value, uuid.UUID):
        identifier = uuid.UUID(int=value.int)
    elif isinstance(value, str) and _WRITTEN_FORM.fullmatch(value.strip()):
        identifier = uuid.UUID(value.strip())
    else:
        raise Refused(field, "is not a UUID", remedy)
    if identifier.version != 7:
        what = "of no known kind" if identifier.version is None else f"of version {identifier.version}"
        raise Refused(field, f"is a UUID {what}", remedy)
    if _time_of(identifier) is None:
        raise Refused(field, "carries a time beyond the year 9999", "Set the clock of the device that made it.")
    return identifier


def uuid7_time(value: uuid.UUID) -> datetime:
    """Tell when an identifier was made, by the clock of the machine that made it.

    Args:
        value: an identifier of version 7.

    Returns:
        Moment in UTC, to the millisecond (RFC 9562, section 5.7: 48 bits of milliseconds since 1970).

    Raises:
        Refused: not of version 7, or beyond the year 9999.
    """
    moment = _time_of(uuid7_check(value))
    assert moment is not None  # uuid7_check has refused it
    return moment


def _time_of(identifier: uuid.UUID) -> datetime | None:
    milliseconds = identifier.int >> 80
    if milliseconds > (_LAST_MOMENT - _EPOCH) / timedelta(milliseconds=1):
        return None
    return _EPOCH + timedelta(milliseconds=milliseconds)
