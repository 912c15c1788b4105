"""Photos: sent by digest and safe to send again; shown only to members of the yard they belong to."""

from __future__ import annotations

from typing import Any

from django.http import FileResponse, Http404, HttpResponseBase, HttpResponseNotModified
from django.utils.http import parse_etags
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.fields import Sheet, Text
from api.parsers import PhotoParser, StrictJSONParser
from api.problems import problem_response
from inspections.models import Photo
from inspections.services.photos import photo_receive
from yard.refusals import Refused

MOST_DIGESTS = 500
SIZES = {"thumbnail": "thumbnail", "report": "report_size", "original": "file"}
MEDIA_TYPES = ("image/jpeg", "image/png", "image/webp", "image/heic")


class PhotoOut(serializers.ModelSerializer[Photo]):
    class Meta:
        model = Photo
        fields = [
            "sha256",
            "stored_sha256",
            "media_type",
            "width_px",
            "height_px",
            "size_bytes",
            "taken_at",
            "received_at",
            "state",
        ]
        read_only_fields = fields


class OfPhoto(OfMember):
    """A view of one photo of the member's yard."""

    def photo(self, sha256: str) -> Photo:
        photo = Photo.objects.of_yard(self.yard).filter(sha256=sha256).first()
        if photo is None:
            raise Http404
        assert isinstance(photo, Photo)
        return photo


class PhotoView(OfPhoto):
    shared_tablets_write = True
    parser_classes = [PhotoParser]

    @extend_schema(summary="What is known of a photo; HEAD says whether it is there", responses=PhotoOut)
    def get(self, request: Request, sha256: str) -> Response:
        return versioned(request, PhotoOut(self.photo(sha256)).data)

    @extend_schema(
        summary="Send a photo under the SHA-256 of its file; sent again it is the same photo",
        request=dict.fromkeys(MEDIA_TYPES, OpenApiTypes.BINARY),
        responses={200: PhotoOut, 201: PhotoOut},
    )
    def put(self, request: Request, sha256: str) -> Response:
        body: Any = request.data  # bytes, or an empty mapping where there was no body
        data = body if isinstance(body, bytes) else b""
        shared = self.device is not None and self.device.shared  # nobody says who of them took it
        by = None if shared else self.member
        photo, created = photo_receive(yard=self.yard, sha256=sha256, data=data, by=by, at=self.now)
        return versioned(request, PhotoOut(photo).data, status=201 if created else 200)


class PhotoContent(OfPhoto):
    @extend_schema(
        summary="The picture itself, with the position blanked",
        parameters=[OpenApiParameter("size", OpenApiTypes.STR, enum=list(SIZES), default="report")],
        responses={
            (200, media_type): OpenApiResponse(OpenApiTypes.BINARY, description="The picture.")
            for media_type in MEDIA_TYPES[:3]
        }
        | {304: None},
    )
    def get(self, request: Request, sha256: str) -> HttpResponseBase:
        size = request.query_params.get("size", "report")
        if size not in SIZES:
            raise Refused("size", "is no size that is kept", f"choose one of: {', '.join(SIZES)}")
        photo = self.photo(sha256)
        file = getattr(photo, SIZES[size])
        if not file:
            return self._not_ready(request, photo, size)
        etag = f'"{photo.stored_sha256}-{size}"'
        headers = {
            "ETag": etag,
            # Every showing asks again whether the reader may still see it; the picture itself is sent once.
            "Cache-Control": "private, no-cache",
            "X-Content-Type-Options": "nosniff",
        }
        if etag in parse_etags(request.headers.get("If-None-Match", "")):
            return HttpResponseNotModified(headers=headers)
        media_type = photo.media_type if size == "original" else "image/jpeg"
        name = f"{photo.sha256[:12]}-{size}.{media_type.removeprefix('image/')}"
        try:
            opened = file.open("rb")
        except FileNotFoundError:
            detail = "The picture is lost from the storage; send the photo again."
            return problem_response("not-found", detail=detail, instance=request.path)
        return FileResponse(opened, content_type=media_type, filename=name, headers=headers)

    def _not_ready(self, request: Request, photo: Photo, size: str) -> Response:
        broken = photo.state == Photo.State.BROKEN
        detail = (
            f"The {size} could not be made; take size=original."
            if broken
            else f"The {size} is being made; ask again in a moment, or take size=original."
        )
        response = problem_response("not-found", detail=detail, instance=request.path)
        if not broken:
            response["Retry-After"] = "2"
        return response


class MissingSheet(Sheet):
    digests = serializers.ListField(child=Text(min_length=64, max_length=64), max_length=MOST_DIGESTS)


class MissingOut(serializers.Serializer[Any]):
    missing = serializers.ListField(child=serializers.CharField())


class MissingPhotos(OfMember):
    shared_tablets_write = True
    parser_classes = [StrictJSONParser]

    @extend_schema(
        summary="Which of these photos the yard does not have yet", request=MissingSheet, responses=MissingOut
    )
    def post(self, request: Request) -> Response:
        digests = list(dict.fromkeys(digest.lower() for digest in self.read(MissingSheet)["digests"]))
        here = set(Photo.objects.of_yard(self.yard).filter(sha256__in=digests).values_list("sha256", flat=True))
        return Response(MissingOut({"missing": [digest for digest in digests if digest not in here]}).data)
