"""What every view of the API shares: it sees the member's own yard and nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any, TypeVar

from django.db.models import Model, QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.http import parse_etags
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter
from rest_framework.exceptions import NotAuthenticated, PermissionDenied
from rest_framework.mixins import ListModelMixin
from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer, Serializer
from rest_framework.views import APIView
from rest_framework.viewsets import GenericViewSet

from api.fields import MAX_ID
from api.filters import KnownFilters
from api.idempotency import Idempotent
from api.permissions import member_of
from api.versions import etag_of, if_match
from yard.models import DeviceToken, Member, Yard

ModelT = TypeVar("ModelT", bound=Model)

VERSION = OpenApiParameter(
    "If-Match", OpenApiTypes.STR, OpenApiParameter.HEADER, description="The ETag of the version you are changing."
)


class OfMember(Idempotent, APIView):
    """A view for members of a yard; POST may carry an Idempotency-Key."""

    # A shared tablet records what is seen, and names who saw it. Everything else is done by somebody.
    shared_tablets_write = False

    @property
    def member(self) -> Member:
        member = member_of(self.request)
        if member is None:
            raise NotAuthenticated
        return member

    @property
    def yard(self) -> Yard:
        return self.member.yard

    @property
    def device(self) -> DeviceToken | None:
        return self.request.auth if isinstance(self.request.auth, DeviceToken) else None

    @property
    def now(self) -> datetime:
        return timezone.now()

    def check_permissions(self, request: Request) -> None:
        super().check_permissions(request)
        shared = self.device is not None and self.device.shared
        if shared and not self.shared_tablets_write and request.method not in SAFE_METHODS:
            raise PermissionDenied(
                "A shared tablet can't do this; do it in the office, or with a log-in of your own."
            )

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        response = super().finalize_response(request, response, *args, **kwargs)
        response.headers.setdefault("Cache-Control", "private, no-cache")  # it is for this reader, and for now
        return response

    def read(self, sheet: type[Serializer[Any]], *, partial: bool = False) -> dict[str, Any]:
        """What the client sent, by the sheet; refused with every field that does not fit.

        Partial: any field may be left out. What stands inside one must still be whole, which the framework's own
        `partial` would not ask.
        """
        context = {"request": self.request, "yard": self.yard}
        reader = sheet(data=self.request.data, context=context)
        if partial:
            for field in reader.fields.values():
                field.required = False
        reader.is_valid(raise_exception=True)
        given: dict[str, Any] = reader.validated_data
        return given


class YardViewSet(OfMember, GenericViewSet[ModelT]):
    """A view set over rows of the member's yard. The one place where the API narrows a query to a yard."""

    filter_backends = [KnownFilters]
    lookup_value_converter = "int"
    # What every query of the view brings along, so that a list asks a fixed number of times.
    with_related: Sequence[str] = ()
    with_many: Sequence[Any] = ()

    def get_queryset(self) -> QuerySet[ModelT]:
        rows: Any = super().get_queryset()
        if getattr(self, "swagger_fake_view", False):  # the schema is drawn without a request
            rows = rows.none()
        else:
            rows = rows.of_yard(self.yard)
            if self.with_related:
                rows = rows.select_related(*self.with_related)
            if self.with_many:
                rows = rows.prefetch_related(*self.with_many)
        found: QuerySet[ModelT] = rows
        return found

    def get_serializer_context(self) -> dict[str, Any]:
        context = dict(super().get_serializer_context())
        if not getattr(self, "swagger_fake_view", False):
            context["yard"] = self.yard
        return context

    def row(self, **lookup: Any) -> ModelT:
        """The row of the address, or 404 where the yard has none."""
        if not lookup:
            name = self.lookup_field
            lookup = {name: self.kwargs[self.lookup_url_kwarg or name]}
        if any(isinstance(value, int) and value > MAX_ID for value in lookup.values()):
            raise Http404
        return get_object_or_404(self.get_queryset(), **lookup)

    def locked_row(self, expected: Request | None = None) -> ModelT:
        """The row of the address, locked until the transaction ends. With a request, only in the version that its
        If-Match names."""
        row = self.row()
        model: Any = type(row)
        get_object_or_404(model.objects.of_yard(self.yard).select_for_update(), pk=row.pk)
        row = self.row(pk=row.pk)
        if expected is not None:
            if_match(expected, self.shown(row))
        return row

    def shown(self, row: ModelT) -> Any:
        serializer: BaseSerializer[ModelT] = self.get_serializer(row)
        return serializer.data

    def answer(self, row: ModelT, *, status: int = 200) -> Response:
        """The row as it stands now, read again with all that belongs to it, and its ETag."""
        response = versioned(self.request, self.shown(self.row(pk=row.pk)), status=status)
        if status == 201:
            response["Location"] = f"{self.request.path}{getattr(row, self.lookup_field)}/"
        return response


def versioned(request: Request, shown: Any, *, status: int = 200) -> Response:
    """What is there with its ETag; 304 where the reader has just this version."""
    etag = etag_of(shown)
    if request.method == "GET" and etag in parse_etags(request.headers.get("If-None-Match", "")):
        return Response(status=304, headers={"ETag": etag})
    return Response(shown, status=status, headers={"ETag": etag})


class Listed(ListModelMixin):
    """GET of a list, page by page."""


class Shown:
    """GET of one row, with its ETag."""

    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        assert isinstance(self, YardViewSet)
        return versioned(request, self.shown(self.row()))


__all__ = ["VERSION", "Listed", "OfMember", "Shown", "YardViewSet", "versioned"]
