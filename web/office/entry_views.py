"""Entries as pages tell them: signs in words, readings, pictures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from inspections.models import Entry, EntryPhoto, Reading, Sign
from web.base.photos import photos_of
from yard.models import Yard


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo that an entry names; `shown` is whether it is here and can be shown."""

    sha256: str
    alt: str
    shown: bool


@dataclass(frozen=True, slots=True)
class EntryView:
    """An entry with everything that hangs on it."""

    entry: Entry
    place: str
    signs: tuple[str, ...]
    readings: tuple[Reading, ...]
    pictures: tuple[Picture, ...]


def entry_views(yard: Yard, entries: Iterable[tuple[str, Entry]]) -> list[EntryView]:
    """The entries in their order, each with the words for its place, in four queries."""
    rows = list(entries)
    keys = [entry.pk for _, entry in rows]
    names = sign_names(yard)
    readings: dict[UUID, list[Reading]] = {}
    for reading in Reading.objects.of_yard(yard).filter(entry__in=keys).order_by("entry", "id"):
        readings.setdefault(reading.entry_id, []).append(reading)
    named: dict[UUID, list[str]] = {}
    for photo in EntryPhoto.objects.of_yard(yard).filter(entry__in=keys).order_by("entry", "position"):
        named.setdefault(photo.entry_id, []).append(photo.sha256)
    shown = photos_of(yard, (sha256 for digests in named.values() for sha256 in digests)).keys()
    views = []
    for place, entry in rows:
        signs = signs_in_words(entry, names)
        seen = ", ".join(signs) or str(entry.get_answer_display())
        year = entry.observed_at.astimezone(yard.zone).year
        pictures = tuple(
            Picture(sha256, f"Photo {number} of {place}, {year}: {seen}", sha256 in shown)
            for number, sha256 in enumerate(named.get(entry.pk, ()), start=1)
        )
        views.append(EntryView(entry, place, signs, tuple(readings.get(entry.pk, ())), pictures))
    return views


def sign_names(yard: Yard) -> dict[str, str]:
    """What the yard calls each sign, by code."""
    return dict(Sign.objects.of_yard(yard).values_list("code", "name"))


def signs_in_words(entry: Entry, names: Mapping[str, str]) -> tuple[str, ...]:
    """The signs of an entry by the yard's names for them."""
    return tuple(names.get(code, code) for code in entry.signs)


__all__ = ["EntryView", "Picture", "entry_views", "sign_names", "signs_in_words"]
