"""Pages by a cursor, so that rows which arrive meanwhile neither repeat nor hide others.

The cursor names the last row seen by its sort value and its key together: rows that share a sort value (a whole
batch was received at one moment; a whole fleet is due at launch) are never shown twice and never left out.
"""

from __future__ import annotations

import base64
import binascii
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.core.exceptions import FieldDoesNotExist, ValidationError
from django.db.models import Field, Q, QuerySet
from rest_framework.pagination import BasePagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

from yard.refusals import Refused

if TYPE_CHECKING:
    from rest_framework.views import APIView

PAGE_SIZE = 50
MAX_PAGE_SIZE = 200
DEFAULT_ORDERING = "-pk"
NO_CURSOR = ("is no cursor of this list", "follow `next` or `previous` as answered, or leave it out")


@dataclass(frozen=True, slots=True)
class Cursor:
    """The row beside which a page begins: its sort value and its key, and which way to go from there."""

    value: str
    key: str
    backwards: bool

    def encode(self) -> str:
        plain = json.dumps([self.value, self.key, int(self.backwards)], separators=(",", ":"))
        return base64.urlsafe_b64encode(plain.encode()).decode().rstrip("=")

    @classmethod
    def decode(cls, text: str) -> Cursor:
        try:
            plain = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)
            value, key, backwards = json.loads(plain.decode())
        except (binascii.Error, ValueError, TypeError):
            raise Refused("cursor", *NO_CURSOR) from None
        if not isinstance(value, str) or not isinstance(key, str) or backwards not in (0, 1):
            raise Refused("cursor", *NO_CURSOR)
        return cls(value, key, bool(backwards))


class CursorPages(BasePagination):
    """Reads `cursor`, `page_size` and `ordering`. A view names what may be ordered by in `ordering_fields`; all of
    these are never empty, and `ordering` says which one applies unless asked otherwise."""

    def paginate_queryset(  # type: ignore[override]
        self, queryset: QuerySet[Any], request: Request, view: APIView | None = None
    ) -> list[Any]:
        self.base_url = request.build_absolute_uri()
        size = page_size_of(request)
        name, descending = ordering_of(request, view)
        self.name = name
        field, key_field = _field(queryset, name), _field(queryset, "pk")
        text = request.query_params.get("cursor")
        cursor = None if text is None else Cursor.decode(text)
        backwards = cursor is not None and cursor.backwards
        down = descending is not backwards  # the direction in which the rows are read now
        if cursor is not None:
            value, key = _typed(field, cursor.value), _typed(key_field, cursor.key)
            past = "lt" if down else "gt"
            queryset = queryset.filter(Q(**{f"{name}__{past}": value}) | Q(**{name: value, f"pk__{past}": key}))
        sign = "-" if down else ""
        rows = list(queryset.order_by(f"{sign}{name}", f"{sign}pk")[: size + 1])
        more = len(rows) > size
        rows = rows[:size]
        if backwards:
            rows.reverse()
        has_next = backwards or more
        has_previous = more if backwards else cursor is not None
        self.next = self._link(rows[-1], backwards=False) if rows and has_next else None
        self.previous = self._link(rows[0], backwards=True) if rows and has_previous else None
        return rows

    def _link(self, row: Any, *, backwards: bool) -> str:
        value = getattr(row, self.name)
        shown = value.isoformat() if hasattr(value, "isoformat") else str(value)
        return str(replace_query_param(self.base_url, "cursor", Cursor(shown, str(row.pk), backwards).encode()))

    def get_paginated_response(self, data: Any) -> Response:
        return Response({"next": self.next, "previous": self.previous, "results": data})

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        link = {"type": ["string", "null"], "format": "uri"}
        return {
            "type": "object",
            "required": ["next", "previous", "results"],
            "properties": {"next": link, "previous": link, "results": schema},
        }

    def get_schema_operation_parameters(self, view: APIView) -> list[dict[str, Any]]:
        whole = {"type": "integer", "minimum": 1, "maximum": MAX_PAGE_SIZE, "default": PAGE_SIZE}
        parameters = [
            _parameter("cursor", "Where the page begins; taken from `next` or `previous`.", {"type": "string"}),
            _parameter("page_size", "Rows on a page.", whole),
        ]
        names = ordering_fields(view)
        if names:
            choices = [f"{sign}{name}" for name in names for sign in ("", "-")]
            parameters.append(
                _parameter("ordering", "What to sort by; - for falling.", {"type": "string", "enum": choices})
            )
        return parameters


def page_size_of(request: Request) -> int:
    text = request.query_params.get("page_size")
    if text is None:
        return PAGE_SIZE
    if not text.isascii() or not text.isdigit() or len(text) > 4 or not 1 <= int(text) <= MAX_PAGE_SIZE:
        raise Refused("page_size", "is no size of a page", f"send a whole number from 1 to {MAX_PAGE_SIZE}")
    return int(text)


def ordering_fields(view: APIView | None) -> tuple[str, ...]:
    return tuple(getattr(view, "ordering_fields", ()))


def ordering_of(request: Request, view: APIView | None) -> tuple[str, bool]:
    """The field to sort by, and whether it falls."""
    ordering: str = getattr(view, "ordering", DEFAULT_ORDERING)
    asked = request.query_params.get("ordering")
    if asked is not None:
        names = ordering_fields(view)
        if asked.removeprefix("-") not in names:
            remedy = f"choose one of: {', '.join(names)}; - before it for falling" if names else "leave it out"
            raise Refused("ordering", "this list can't be sorted by that", remedy)
        ordering = asked
    return ordering.removeprefix("-"), ordering.startswith("-")


def _field(queryset: QuerySet[Any], name: str) -> Field[Any, Any]:
    model: Any = queryset.model
    try:
        field = model._meta.pk if name == "pk" else model._meta.get_field(name)
    except FieldDoesNotExist:
        field = queryset.query.annotations[name].output_field
    assert isinstance(field, Field)
    return field


def _typed(field: Field[Any, Any], text: str) -> Any:
    try:
        return field.to_python(text)
    except (ValidationError, ValueError, TypeError, OverflowError):
        raise Refused("cursor", *NO_CURSOR) from None


def _parameter(name: str, description: str, schema: dict[str, Any]) -> dict[str, Any]:
    return {"name": name, "in": "query", "required": False, "description": description, "schema": schema}


__all__ = ["MAX_PAGE_SIZE", "PAGE_SIZE", "CursorPages"]
