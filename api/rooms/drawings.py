"""The yard's own drawing of a boat: managers send it, members of the yard see it."""

from __future__ import annotations

from typing import Any

from django.http import FileResponse, Http404, HttpResponseBase, HttpResponseNotModified
from django.shortcuts import get_object_or_404
from django.utils.http import parse_etags
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.fields import MAX_ID
from api.parsers import PhotoParser
from api.permissions import ManagersWrite
from api.problems import problem_response
from inspections.services.drawings import EXTENSIONS, drawing_put, drawing_remove
from yard.models import Boat, BoatDrawing
from yard.models.drawings import DRAWING_TYPES


class DrawingOut(serializers.ModelSerializer[BoatDrawing]):
    class Meta:
        model = BoatDrawing
        fields = ["boat", "sha256", "media_type", "width", "height", "received_at"]
        read_only_fields = fields


class DrawingView(OfMember):
    permission_classes = [ManagersWrite]
    parser_classes = [PhotoParser]

    @extend_schema(
        summary="The yard's own drawing of a boat, as it was cleaned",
        responses={
            (200, media_type): OpenApiResponse(OpenApiTypes.BINARY, description="The drawing.")
            for media_type in DRAWING_TYPES
        }
        | {304: None},
    )
    def get(self, request: Request, pk: int) -> HttpResponseBase:
        drawing = get_object_or_404(BoatDrawing.objects.of_yard(self.yard), boat=self._boat(pk))
        etag = f'"{drawing.sha256}"'
        headers = {
            "ETag": etag,
            "Cache-Control": "private, no-cache",
            "X-Content-Type-Options": "nosniff",
            # Opened by itself an SVG is a page: this one may do nothing at all.
            "Content-Security-Policy": "default-src 'none'; style-src 'none'; sandbox",
        }
        if etag in parse_etags(request.headers.get("If-None-Match", "")):
            return HttpResponseNotModified(headers=headers)
        try:
            opened = drawing.file.open("rb")
        except FileNotFoundError:
            detail = "The drawing is lost from the storage; send it again."
            return problem_response("not-found", detail=detail, instance=request.path)
        name = f"drawing-{drawing.boat_id}.{EXTENSIONS[drawing.media_type]}"
        return FileResponse(opened, content_type=drawing.media_type, filename=name, headers=headers)

    @extend_schema(
        summary="Send the yard's own drawing of a boat, bow to the right; it takes the place of the one before",
        request=dict.fromkeys(DRAWING_TYPES, OpenApiTypes.BINARY),
        responses={200: DrawingOut, 201: DrawingOut},
    )
    def put(self, request: Request, pk: int) -> Response:
        boat = self._boat(pk)
        body: Any = request.data  # bytes, or an empty mapping where there was no body
        data = body if isinstance(body, bytes) else b""
        drawing, created = drawing_put(boat=boat, data=data, by=self.member, at=self.now)
        return versioned(request, DrawingOut(drawing).data, status=201 if created else 200)

    @extend_schema(summary="Take the drawing away; reports draw the boat themselves again", responses={204: None})
    def delete(self, request: Request, pk: int) -> Response:
        drawing_remove(boat=self._boat(pk), by=self.member, at=self.now)
        return Response(status=204)

    def _boat(self, pk: int) -> Boat:
        if pk > MAX_ID:
            raise Http404
        boat: Boat = get_object_or_404(Boat.objects.of_yard(self.yard), pk=pk)
        return boat


__all__ = ["DrawingView"]
