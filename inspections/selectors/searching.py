"""What a yard has under some words: boats, owners, parts, tagged spots, and findings by what was told of them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce
from operator import and_, or_
from typing import Any, Final, Generic, TypeVar

from django.contrib.postgres.search import SearchQuery, SearchVector
from django.db import connection
from django.db.models import Model, Q, QuerySet, TextField
from django.db.models.functions import Cast

from inspections.models import Sign
from inspections.selectors.findings import findings_with_judgement
from yard.models import Boat, Component, Owner, Spot, Yard
from yard.refusals import Refused
from yard.tag_codes import tag_check

WORDS_AT_MOST: Final = 8
SHOWN_AT_MOST: Final = 25

Row = TypeVar("Row", bound=Model)

# Where the words of a finding stand; `simple` below since notes are written in any language.
_TOLD: Final = (
    "entry__note",
    "entry__elsewhere",
    "component__name",
    "component__position",
    "component__component_class__name",
    "spot__name",
    "boat__name",
)


@dataclass(frozen=True, slots=True)
class Some(Generic[Row]):
    """The first rows that fit, how many there are in all, and where to read every one."""

    rows: list[Row]
    in_all: int
    every: QuerySet[Row]

    @property
    def left_off(self) -> int:
        return self.in_all - len(self.rows)


@dataclass(frozen=True, slots=True)
class Found:
    """What fits. `tagged` carries the tag, where what was asked for is one."""

    tagged: Spot | None
    boats: Some[Boat]
    owners: Some[Owner]
    components: Some[Component]
    spots: Some[Spot]
    findings: Some[Any]

    @property
    def nothing(self) -> bool:
        several = (self.boats, self.owners, self.components, self.spots, self.findings)
        return self.tagged is None and not any(some.in_all for some in several)


def words_of(text: str) -> list[str]:
    """The words to look for: letters and figures, in lower case, each once, the first eight."""
    words = re.findall(r"\w+", text.casefold())
    return list(dict.fromkeys(words))[:WORDS_AT_MOST]


def found_for(yard: Yard, text: str, *, with_owners: bool) -> Found | None:
    """All that fits every word, boats that left and parts taken off among it.

    A word fits where it begins a word of a finding (by the full text of PostgreSQL) or stands anywhere in a name.
    The embedded database has no full text and looks for it anywhere in both.

    Args:
        yard: nothing of another is looked at.
        text: as typed; a tag is known by its check character.
        with_owners: look among the owners, whom not everybody may read.

    Returns:
        None where there is no word to look for.
    """
    words = words_of(text)
    if not words:
        return None
    boats = Boat.objects.of_yard(yard).select_related("decider_owner", "decider_member")
    owners = Owner.objects.of_yard(yard) if with_owners else Owner.objects.none()
    components = Component.objects.of_yard(yard).select_related("boat", "component_class")
    spots = Spot.objects.of_yard(yard).select_related("component__boat")
    found_findings = findings_with_judgement(yard).filter(_in_findings(yard, words))
    owned = ("name", "material", "decider_owner__name")
    return Found(
        tagged=_tagged(yard, text),
        boats=_some(_each(boats, words, owned if with_owners else owned[:2]).order_by("name", "pk")),
        owners=_some(_each(owners, words, ("name", "email")).prefetch_related("boats").order_by("name", "pk")),
        components=_some(
            _each(components, words, ("name", "position", "component_class__name", "boat__name"))
            .filter(_any(words, ("name", "position", "component_class__name")))
            .order_by("boat__name", "boat", "name", "position", "pk")
        ),
        spots=_some(
            _each(spots, words, ("name", "component__name", "component__boat__name"))
            .filter(_any(words, ("name",)))
            .order_by("component__boat__name", "component__boat", "name", "pk")
        ),
        findings=_some(found_findings.order_by("-found_at", "pk")),
    )


def _tagged(yard: Yard, text: str) -> Spot | None:
    try:
        code = tag_check(text)
    except Refused:
        return None
    return Spot.objects.of_yard(yard).filter(tag=code).select_related("component__boat").first()


def _each(rows: QuerySet[Row], words: Iterable[str], names: Iterable[str]) -> QuerySet[Row]:
    """Those in which every word stands, each in any of the fields."""
    return rows.filter(reduce(and_, (_any((word,), names) for word in words)))


def _any(words: Iterable[str], names: Iterable[str]) -> Q:
    return reduce(or_, (Q(**{f"{name}__icontains": word}) for word in words for name in names))


def _in_findings(yard: Yard, words: list[str]) -> Q:
    """That every word is written in a finding's note or place, or names one of its signs."""
    told: QuerySet[Any] = findings_with_judgement(yard).order_by()
    signs = list(Sign.objects.of_yard(yard).values_list("code", "name"))
    told = told.annotate(sign_codes=Cast("entry__signs", TextField()))
    full_text = connection.vendor == "postgresql"
    if full_text:
        told = told.annotate(told=SearchVector(*_TOLD, config="simple"))
    for word in words:
        fits = (
            # the words hold letters and figures alone, so that nothing in them is read as an operator
            Q(told=SearchQuery(f"{word}:*", search_type="raw", config="simple"))
            if full_text
            else _any((word,), _TOLD)
        )
        for code, name in signs:
            if word in name.casefold():
                fits |= Q(sign_codes__contains=f'"{code}"')
        told = told.filter(fits)
    return Q(pk__in=told.values("pk"))


def _some(rows: QuerySet[Row]) -> Some[Row]:
    return Some(list(rows[:SHOWN_AT_MOST]), rows.count(), rows)


__all__ = ["SHOWN_AT_MOST", "Found", "Some", "found_for", "words_of"]
