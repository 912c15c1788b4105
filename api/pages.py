"""The doors' own papers: the OpenAPI document, a page to read and try it, and what each kind of problem means."""

from __future__ import annotations

from functools import cache
from http import HTTPStatus
from threading import Lock
from typing import Any

from django.views.generic import TemplateView
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.utils import extend_schema
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse
from rest_framework.views import APIView

from api.base import versioned
from api.idempotency import KEPT_FOR
from api.problems import KINDS, WHAT_WOULD_DO

_drawing = Lock()  # the generator can't be asked twice at the same time


def openapi_document() -> dict[str, Any]:
    """The document is the same for everybody, and drawing it takes a moment."""
    with _drawing:
        return _drawn()


@cache
def _drawn() -> dict[str, Any]:
    generator = SchemaGenerator()  # type: ignore[no-untyped-call]
    document: dict[str, Any] = generator.get_schema(request=None, public=True)  # type: ignore[no-untyped-call]
    return document


class OpenToAll(APIView):
    authentication_classes = []
    permission_classes = [AllowAny]


class Index(OpenToAll):
    @extend_schema(exclude=True)
    def get(self, request: Request) -> Response:
        names = ("schema", "docs", "problems")
        return Response({name: reverse(f"api:{name}", request=request) for name in names})


class Schema(OpenToAll):
    @extend_schema(exclude=True)
    def get(self, request: Request) -> Response:
        return versioned(request, openapi_document())


class Docs(TemplateView):
    template_name = "api/docs.html"


class Problems(TemplateView):
    template_name = "api/problems.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        kinds = [
            {"kind": kind, "status": status.value, "phrase": HTTPStatus(status).phrase, "title": title}
            | {"remedy": WHAT_WOULD_DO[kind]}
            for kind, (status, title) in KINDS.items()
        ]
        hours = int(KEPT_FOR.total_seconds() // 3600)
        return {**super().get_context_data(**kwargs), "kinds": kinds, "key_hours": hours}
