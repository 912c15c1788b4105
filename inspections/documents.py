"""Reading a JSON document field by field, so that one answer names everything that is wrong with it.

Every reader of `Fields` returns a value that fits, or notes a refusal and returns an empty one; the caller raises
what was noted at the end. Misspelt names are refused too: what they hold would quietly be lost.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from decimal import Decimal, InvalidOperation
from typing import TypeVar
from uuid import UUID

from yard.identifiers import uuid7_check
from yard.refusals import Refused, RefusedMany
from yard.vocabulary import Labelled

Word = TypeVar("Word", bound=Labelled)

# What neither database can keep, or what nobody can read: control characters other than tab and line feed, and
# halves of surrogate pairs, which JSON can write and UTF-8 can't.
_UNFIT = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff]")
_ISO_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}([.,]\d{1,9})?)?(Z|z|[+-]\d{2}:?\d{2})", re.ASCII)
# The largest whole number that JSON carries safely (RFC 8259, section 6); keys of rows stay far below it.
LARGEST_KEY = 2**53 - 1
_MOST_UNKNOWN_NAMES = 10


class Fields:
    """One object of a document.

    Args:
        document: the object as it came.
        known: the names it may have.
        path: where it stands in the whole document; empty for the whole.
        refusals: where refusals are noted; shared with the objects inside.
    """

    def __init__(
        self,
        document: Mapping[str, object],
        *,
        known: Collection[str],
        path: str = "",
        refusals: list[Refused] | None = None,
    ) -> None:
        self._document = document
        self._path = path
        self.refusals: list[Refused] = [] if refusals is None else refusals
        unknown = [name for name in document if name not in known]
        for name in unknown[:_MOST_UNKNOWN_NAMES]:
            shown = name[:60].encode("ascii", "backslashreplace").decode()
            self.refuse(shown, "is not a name this document has", f"use only: {', '.join(sorted(known))}")

    def path_of(self, name: str) -> str:
        return f"{self._path}.{name}" if self._path else name

    def refuse(self, name: str, problem: str, remedy: str) -> None:
        self.refusals.append(Refused(self.path_of(name), problem, remedy))

    def raise_refusals(self) -> None:
        """
        Raises:
            RefusedMany: something was noted.
        """
        if self.refusals:
            raise RefusedMany(self.refusals)

    def given(self, name: str) -> bool:
        """Whether the field is there with anything in it."""
        return self._document.get(name) not in (None, "", [], {})

    def value(self, name: str) -> object:
        """What stands there, as it came."""
        return self._document.get(name)

    def text(self, name: str, *, longest: int, required: bool = False, lines: bool = False) -> str:
        """Text without blanks around it; line feeds only where `lines`."""
        value = self._document.get(name)
        if value is None or value == "":
            if required:
                self.refuse(name, "is missing", f"give text of 1 to {longest} characters")
            return ""
        text = self._fit_text(name, value, longest=longest, lines=lines)
        if text == "" and required and not isinstance(value, str):
            return ""  # refused already
        if text == "" and required and isinstance(value, str) and not value.strip():
            self.refuse(name, "has nothing but blanks", f"give text of 1 to {longest} characters")
        return text

    def texts(self, name: str, *, longest: int, most: int) -> tuple[str, ...]:
        """A list of texts, none of them empty or twice."""
        kept: list[str] = []
        for position, value in enumerate(self._items(name, most=most)):
            place = f"{name}[{position}]"
            text = self._fit_text(place, value, longest=longest)
            if text in kept:
                self.refuse(place, f"{text!r} stands there twice", "name each once")
            elif text:
                kept.append(text)
            elif isinstance(value, str) and not value.strip():
                self.refuse(place, "is empty", f"give text of 1 to {longest} characters, or leave it out")
        return tuple(kept)

    def word(self, name: str, vocabulary: type[Word], *, required: bool = False) -> Word | None:
        """A code of a vocabulary."""
        value = self._document.get(name)
        if (value is None or value == "") and not required:
            return None
        return self._word(name, value, vocabulary)

    def words(self, name: str, vocabulary: type[Word]) -> tuple[Word, ...]:
        """A list of codes, none of them twice."""
        kept: list[Word] = []
        for position, value in enumerate(self._items(name, most=len(vocabulary))):
            word = self._word(f"{name}[{position}]", value, vocabulary)
            if word is not None and word not in kept:
                kept.append(word)
        return tuple(kept)

    def one_of(self, name: str, allowed: Collection[str]) -> str:
        """One of some fixed texts, empty where it is not there."""
        value = self._document.get(name)
        if value is None or value == "":
            return ""
        if isinstance(value, str) and value in allowed:
            return value
        self.refuse(name, f"{_shown(value)} is not known", f"give one of: {', '.join(allowed)}")
        return ""

    def flag(self, name: str) -> bool | None:
        """true, false, or None where it is not there."""
        value = self._document.get(name)
        if value is None or isinstance(value, bool):
            return value
        self.refuse(name, f"{_shown(value)} is neither true nor false", "send true or false, or leave it out")
        return None

    def whole(self, name: str, *, low: int, high: int) -> int | None:
        """A whole number from low to high."""
        value = self._document.get(name)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int):
            self.refuse(name, f"{_shown(value)} is no whole number", f"give a whole number from {low} to {high}")
            return None
        if not low <= value <= high:
            self.refuse(name, f"{_shown(value)} is out of range", f"give a whole number from {low} to {high}")
            return None
        return value

    def key(self, name: str) -> int | None:
        """The key of a row of ours."""
        return self.whole(name, low=1, high=LARGEST_KEY)

    def decimal(
        self, name: str, *, low: Decimal, high: Decimal, places: int, unit: str = "", required: bool = False
    ) -> Decimal | None:
        """A figure from low to high with at most `places` places, as text or as a JSON number."""
        would_do = f"give a figure from {low:f} to {high:f}{' ' + unit if unit else ''}"
        value = self._document.get(name)
        if value is None or value == "":
            if required:
                self.refuse(name, "is missing", would_do)
            return None
        figure = _decimal(value)
        if figure is None:
            self.refuse(name, f"{_shown(value)} is no figure", would_do)
            return None
        if not low <= figure <= high:
            self.refuse(name, f"{_shown(value)} is out of range", would_do)
            return None
        if figure != round(figure, places):
            self.refuse(
                name,
                f"{_shown(value)} has more than {places} decimal {'place' if places == 1 else 'places'}",
                f"round it to {places}",
            )
            return None
        return figure

    def moment(self, name: str, *, low: datetime, high: datetime) -> datetime | None:
        """A moment with its offset (RFC 3339), required, as UTC."""
        value = self._document.get(name)
        would_do = "give a moment with its offset, like 2027-04-01T08:30:00Z"
        if value is None or value == "":
            self.refuse(name, "is missing", would_do)
            return None
        if not isinstance(value, str) or not _ISO_MOMENT.fullmatch(value.strip()):
            self.refuse(name, f"{_shown(value)} is no moment with an offset", would_do)
            return None
        try:
            moment = datetime.fromisoformat(value.strip().replace(",", ".")).astimezone(UTC)
        except (ValueError, OverflowError):
            self.refuse(name, f"{_shown(value)} is not in the calendar", would_do)
            return None
        if not low <= moment <= high:
            self.refuse(
                name,
                f"{_shown(value)} can't be right",
                f"set the clock of the device; give a moment from {low:%Y-%m-%d} to {high:%Y-%m-%d}",
            )
            return None
        return moment

    def made_id(self, name: str, *, required: bool = False) -> UUID | None:
        """A UUID of version 7 that a client made."""
        value = self._document.get(name)
        if (value is None or value == "") and not required:
            return None
        try:
            return uuid7_check(value, field=self.path_of(name))
        except Refused as refusal:
            self.refusals.append(refusal)
            return None

    def uuid(self, name: str) -> UUID | None:
        """A UUID of any version."""
        value = self._document.get(name)
        if value is None or value == "":
            return None
        try:
            return UUID(value if isinstance(value, str) else "")
        except ValueError:
            self.refuse(name, f"{_shown(value)} is no UUID", "give the id of 36 characters")
            return None

    def inside(self, name: str, *, known: Collection[str]) -> Fields | None:
        """The object in a field, or None where there is none."""
        value = self._document.get(name)
        if value is None:
            return None
        return self._object(name, value, known=known)

    def rows(self, name: str, *, known: Collection[str], most: int) -> Iterator[Fields]:
        """The objects in a list."""
        for position, value in enumerate(self._items(name, most=most)):
            row = self._object(f"{name}[{position}]", value, known=known)
            if row is not None:
                yield row

    def _object(self, place: str, value: object, *, known: Collection[str]) -> Fields | None:
        if not isinstance(value, Mapping):
            self.refuse(place, f"{_shown(value)} is no object", f"give an object with: {', '.join(sorted(known))}")
            return None
        return Fields(value, known=known, path=self.path_of(place), refusals=self.refusals)

    def _items(self, name: str, *, most: int) -> Sequence[object]:
        value = self._document.get(name)
        if value is None:
            return ()
        if not isinstance(value, list | tuple):
            self.refuse(name, f"{_shown(value)} is no list", "give a list")
            return ()
        if len(value) > most:
            self.refuse(name, f"has {len(value)} items", f"give at most {most}")
            return ()
        return value

    def _fit_text(self, place: str, value: object, *, longest: int, lines: bool = False) -> str:
        if not isinstance(value, str):
            self.refuse(place, f"{_shown(value)} is no text", f"give text of at most {longest} characters")
            return ""
        text = value.replace("\r\n", "\n").strip()
        if _UNFIT.search(text) or (not lines and "\n" in text):
            self.refuse(place, "has characters that can't be kept", "leave out control characters")
            return ""
        if len(text) > longest:
            self.refuse(place, f"has {len(text)} characters", f"shorten it to {longest}")
            return ""
        return text

    def _word(self, place: str, value: object, vocabulary: type[Word]) -> Word | None:
        try:
            return vocabulary(value if isinstance(value, str) else "?")
        except ValueError:
            known = ", ".join(member.value for member in vocabulary)
            self.refuse(place, f"{_shown(value)} is not known", f"give one of: {known}")
            return None


def _decimal(value: object) -> Decimal | None:
    if isinstance(value, bool) or not isinstance(value, int | float | str | Decimal):
        return None
    try:
        # Through text: 12.1 of JSON means 12.1, not the nearest binary fraction.
        figure = Decimal(str(value).strip())
    except (InvalidOperation, ValueError):
        return None
    return figure if figure.is_finite() else None


def _shown(value: object) -> str:
    """A value as a refusal shows it: short, and harmless wherever it is shown."""
    try:
        text = f"“{value[:80]}”" if isinstance(value, str) else repr(value)
    except ValueError:  # a whole number of more digits than Python writes out
        return "that"
    text = _UNFIT.sub("�", text)
    return text if len(text) <= 60 else f"{text[:57]}…"


__all__ = ["LARGEST_KEY", "Fields"]
