"""Frozen dataclasses to plain values and back.

A member that came in later has a default, and is left out where it holds nothing but that: what was written before
reads the same and, written again, keeps its digest.
"""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from yard.refusals import Refused

T = TypeVar("T")

_FROM_TEXT: Mapping[object, Callable[[str], object]] = {
    str: str,
    date: date.fromisoformat,
    Decimal: Decimal,
}


def read(kind: type[T], value: object, place: str) -> T:
    """Read a dataclass of text, whole numbers, truth values, Decimal, date, such dataclasses, and tuples of these.

    A member with a default may be missing.

    Args:
        kind: the dataclass.
        value: what `json.loads` gave.
        place: what to call it in a refusal.

    Raises:
        Refused: a member is missing, superfluous, or of another kind; the field says where, like `jobs[2].net`.
    """
    if not isinstance(value, Mapping):
        raise Refused(place, "is no object", "give its members")
    hints = _hints_of(kind)  # type: ignore[arg-type]  # a class can be hashed
    members = dataclasses.fields(kind)  # type: ignore[arg-type]  # T is a dataclass
    names = [field.name for field in members]
    needed = {field.name for field in members if field.default is dataclasses.MISSING}
    if not needed <= set(value) <= set(names):
        odd = ", ".join(sorted(needed - set(value) | set(value) - set(names)))
        raise Refused(place, f"has members missing or too many: {odd}", f"give {', '.join(names)}")
    try:
        return kind(**{name: _read(hints[name], value[name], f"{place}.{name}") for name in names if name in value})
    except ValueError as contradiction:
        raise Refused(place, str(contradiction), "send the document as it was written") from contradiction


def plain(value: object) -> Any:
    """A dataclass as plain values, without the members that hold nothing but their default."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {
            field.name: plain(getattr(value, field.name))
            for field in dataclasses.fields(value)
            if field.default is dataclasses.MISSING or getattr(value, field.name) != field.default
        }
    return tuple(plain(item) for item in value) if isinstance(value, tuple) else value


@cache  # Python evaluates the annotations anew each time it is asked
def _hints_of(kind: type) -> Mapping[str, Any]:
    return get_type_hints(kind)


def _read(hint: Any, value: object, place: str) -> object:
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return read(hint, value, place)
    if get_origin(hint) in (Union, types.UnionType):
        if value is None:
            return None
        (present,) = (part for part in get_args(hint) if part is not type(None))
        return _read(present, value, place)
    if get_origin(hint) is tuple:
        if not isinstance(value, list):
            raise Refused(place, "is no list", "give a list")
        return tuple(_read(get_args(hint)[0], item, f"{place}[{position}]") for position, item in enumerate(value))
    if hint in (int, bool):
        if type(value) is not hint:
            raise Refused(place, f"is {value!r}", f"give {'true or false' if hint is bool else 'a whole number'}")
        return value
    if not isinstance(value, str):
        raise Refused(place, f"is {value!r}", "give it as text")
    try:
        return _FROM_TEXT[hint](value)
    except (ValueError, InvalidOperation) as error:
        raise Refused(place, f"is {value!r}", f"give a {getattr(hint, '__name__', hint)} as text") from error


__all__ = ["plain", "read"]
