"""What is asked of the list of templates by its address, the same for the page and the spreadsheet."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final

from django.http import QueryDict

from inspections.selectors.templates import TemplateRow
from web.base.asking import query_without, text_asked

_EVER: Final = datetime.min.replace(tzinfo=UTC)


def _by_name(row: TemplateRow) -> Any:
    return row.component_class.name.casefold(), row.component_class.pk


def _newest_first(row: TemplateRow) -> Any:
    at = row.published.published_at if row.published is not None else None
    return -(at or _EVER).timestamp(), _by_name(row)


def _drafts_first(row: TemplateRow) -> Any:
    return row.draft is None, -(row.draft.edited_at if row.draft is not None else _EVER).timestamp(), _by_name(row)


Key = Callable[[TemplateRow], Any]
ORDERS: Final[dict[str, tuple[str, Key]]] = {
    "name": ("by class", _by_name),
    "group": ("by area of the boat", lambda row: (row.component_class.group, _by_name(row))),
    "newest": ("published last first", _newest_first),
    "draft": ("drafts first", _drafts_first),
    "use": ("most used first", lambda row: (-row.open_inspections, _by_name(row))),
}
STATES: Final[dict[str, tuple[str, Callable[[TemplateRow], bool]]]] = {
    "draft": ("with a draft", lambda row: row.draft is not None),
    "published": ("published", lambda row: row.published is not None),
    "unpublished": ("with nothing published", lambda row: row.published is None),
    "used": ("that open inspections ask by", lambda row: row.open_inspections > 0),
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted."""

    state: str
    group: str
    text: str
    order: str
    query: str

    @property
    def narrows(self) -> bool:
        return bool(self.state or self.group or self.text)

    def rows(self, rows: Sequence[TemplateRow]) -> list[TemplateRow]:
        return sorted((row for row in rows if self._fits(row)), key=ORDERS[self.order][1])

    def _fits(self, row: TemplateRow) -> bool:
        title = "" if row.template is None else row.template.title
        told = f"{row.component_class.name} {row.component_class.code} {title}".casefold()
        return (
            (not self.state or STATES[self.state][1](row))
            and (not self.group or row.component_class.group == self.group)
            and all(word in told for word in self.text.casefold().split())
        )


def asked_of(given: QueryDict, rows: Sequence[TemplateRow]) -> Asked:
    """Read the address. A state, an area or an order that there is not narrows nothing."""
    state, group, order = (given.get(name, "") for name in ("state", "group", "order"))
    return Asked(
        state=state if state in STATES else "",
        group=group if group in {row.component_class.group for row in rows} else "",
        text=text_asked(given),
        order=order if order in ORDERS else "name",
        query=query_without(given, "page"),
    )


__all__ = ["ORDERS", "STATES", "Asked", "asked_of"]
