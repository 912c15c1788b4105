"""The file in which a tablet saved what it could not send, loaded by the office."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember
from api.parsers import UnsentParser
from api.permissions import IsManager
from api.rooms.entries import ErrorOut
from inspections.services.unsent import FORMAT, unsent_load

OUTCOMES = [
    ("taken", "taken"),
    ("already_there", "already there"),
    ("set_aside", "set aside for the office"),
    ("refused", "refused"),
]


class UnsentPhoto(serializers.Serializer[Any]):
    sha256 = serializers.CharField()
    media_type = serializers.CharField(required=False)
    data = serializers.CharField(help_text="base 64")  # type: ignore[assignment]


class UnsentOfInspection(serializers.Serializer[Any]):
    inspection = serializers.IntegerField()
    boat_name = serializers.CharField(required=False)
    entries = serializers.ListField(child=serializers.DictField(), help_text="as they would have been sent")


class UnsentFile(serializers.Serializer[Any]):
    """What a tablet saves. It is read by `inspections.services.unsent`; this is its description."""

    format = serializers.ChoiceField(choices=[FORMAT])
    made_at = serializers.DateTimeField(required=False)
    yard = serializers.IntegerField()
    author = serializers.IntegerField(required=False, help_text="whom an entry means that names nobody")
    device = serializers.DictField(required=False, help_text="id and device_name of the tablet")
    inspections = UnsentOfInspection(many=True)
    photos = UnsentPhoto(many=True, required=False)


class EntryFateOut(serializers.Serializer[Any]):
    id = serializers.CharField(allow_blank=True)
    inspection = serializers.IntegerField()
    outcome = serializers.ChoiceField(choices=OUTCOMES)
    errors = ErrorOut(many=True, source="refusals", help_text="why it was refused")  # type: ignore[assignment]
    why = serializers.CharField(allow_blank=True, help_text="why it was set aside for the office")


class PhotoFateOut(serializers.Serializer[Any]):
    sha256 = serializers.CharField(source="id", allow_blank=True)
    outcome = serializers.ChoiceField(choices=OUTCOMES)
    errors = ErrorOut(many=True, source="refusals", help_text="why it was refused")  # type: ignore[assignment]


class LoadedOut(serializers.Serializer[Any]):
    entries = EntryFateOut(many=True)
    photos = PhotoFateOut(many=True)


class UnsentView(OfMember):
    permission_classes = [IsManager]
    parser_classes = [UnsentParser]

    @extend_schema(
        summary="Load what a tablet could not send; loading the same file again changes nothing",
        request=UnsentFile,
        responses=LoadedOut,
    )
    def post(self, request: Request) -> Response:
        loaded = unsent_load(yard=self.yard, document=request.data, by=self.member, at=self.now)
        return Response(LoadedOut(loaded).data)


__all__ = ["UnsentView"]
