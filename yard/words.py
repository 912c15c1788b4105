"""Looking for words in what was written: each of them somewhere, whatever its case."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from operator import or_
from typing import Final, TypeVar

from django.db.models import Model, Q, QuerySet

WORDS_AT_MOST: Final = 8

Row = TypeVar("Row", bound=Model)


def words_of(text: str) -> list[str]:
    """The words to look for, the first eight. No database keeps a zero byte, and one refuses to be asked for it."""
    return text.replace("\0", " ").split()[:WORDS_AT_MOST]


def with_words(rows: QuerySet[Row], text: str, names: Iterable[str], *, to_several: bool = False) -> QuerySet[Row]:
    """The rows in which each word stands in one of the fields.

    Args:
        to_several: a field leads to several rows, such as a boat's owners; then each word is looked for by itself,
            so that no row is found twice.
    """
    fields = tuple(names)
    for word in words_of(text):
        fits = reduce(or_, (Q(**{f"{name}__icontains": word}) for name in fields))
        rows = (
            rows.filter(pk__in=rows.model._default_manager.filter(fits).values("pk"))
            if to_several
            else rows.filter(fits)
        )
    return rows


__all__ = ["WORDS_AT_MOST", "with_words", "words_of"]
