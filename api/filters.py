"""Filters of lists. A parameter that a list does not know, or can't read, is refused: a typing mistake in a filter
would otherwise show everything."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from enum import Enum
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.dateparse import parse_datetime
from django_filters import rest_framework as filters
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework.request import Request

from api.fields import MAX_ID
from yard.refusals import Refused

if TYPE_CHECKING:
    from rest_framework.views import APIView

PAGING = ("cursor", "page_size", "ordering")


class KnownFilters(filters.DjangoFilterBackend):  # type: ignore[misc]
    """The view's filters, for its list only; unknown parameters are refused."""

    def filter_queryset(self, request: Request, queryset: QuerySet[Any], view: APIView) -> QuerySet[Any]:
        if getattr(view, "detail", True):
            return queryset
        filterset = self.get_filterset_class(view, queryset)
        names = [*(filterset.base_filters if filterset is not None else ()), *PAGING]
        for name in request.query_params:
            if name not in names:
                raise Refused(name[:80], "is no parameter of this list", f"use one of: {', '.join(names)}")
            if not request.query_params[name]:
                raise Refused(name, "is empty", "give it a value, or leave it out")
        filtered: QuerySet[Any] = super().filter_queryset(request, queryset, view)
        return filtered


class Filters(filters.FilterSet):  # type: ignore[misc]
    """The filters of one list, by the names of its parameters."""


class TextFilter(filters.CharFilter):  # type: ignore[misc]
    pass


class UuidFilter(filters.UUIDFilter):  # type: ignore[misc]
    pass


@extend_schema_field({"type": "integer", "minimum": 0, "maximum": MAX_ID})
class IdFilter(filters.NumberFilter):  # type: ignore[misc]
    """Rows that point to a row. One of another yard leads to nothing, because the list holds no such rows."""

    field_class = forms.IntegerField

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("min_value", 0)
        kwargs.setdefault("max_value", MAX_ID)
        super().__init__(*args, **kwargs)

    def get_max_validator(self) -> None:
        return None


@extend_schema_field({"type": "integer", "minimum": 1700, "maximum": 2200})
class YearFilter(IdFilter):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, min_value=1700, max_value=2200, **kwargs)


@extend_schema_field(OpenApiTypes.BOOL)
class YesNoFilter(filters.TypedChoiceFilter):  # type: ignore[misc]
    """true or false."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(
            *args,
            choices=[("true", "true"), ("false", "false")],
            coerce=lambda text: text == "true",
            empty_value=None,
            **kwargs,
        )


class YesMeansEmpty(YesNoFilter):
    """true: the column is empty, as the end of what still runs is. Without the filter: both."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, lookup_expr="isnull", **kwargs)


class WordFilter(filters.ChoiceFilter):  # type: ignore[misc]
    """One word of a vocabulary."""

    def __init__(self, words: type[Enum] | Iterable[Any], *args: Any, **kwargs: Any) -> None:
        codes = [str(getattr(word, "value", word)) for word in words]
        super().__init__(*args, choices=[(code, code) for code in codes], **kwargs)


class DayFilter(filters.DateFilter):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, input_formats=["%Y-%m-%d"], **kwargs)


class MomentField(forms.CharField):
    def clean(self, value: Any) -> datetime | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            # A + in an address is a blank unless somebody wrote it as %2B.
            moment = parse_datetime(text.replace(" ", "+") if "T" in text else text)
        except ValueError:
            moment = None
        if moment is None or moment.utcoffset() is None or not 1900 <= moment.year <= 2200:
            raise ValidationError("is no moment with an offset from UTC, like 2027-04-01T08:00:00Z")
        return moment


@extend_schema_field(OpenApiTypes.DATETIME)
class MomentFilter(filters.Filter):  # type: ignore[misc]
    field_class = MomentField


__all__ = [
    "DayFilter",
    "Filters",
    "IdFilter",
    "KnownFilters",
    "MomentFilter",
    "TextFilter",
    "UuidFilter",
    "WordFilter",
    "YearFilter",
    "YesMeansEmpty",
    "YesNoFilter",
]
