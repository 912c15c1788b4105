"""Codes that let a tablet in: made by the office, shown once, good for a quarter of an hour."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown, YardViewSet
from api.fields import Sheet, Text
from api.permissions import IsManager
from api.rooms.entries import PersonOut
from yard.models import DeviceCode
from yard.services.device_codes import device_code_make, device_code_revoke


class DeviceCodeOut(serializers.ModelSerializer[DeviceCode]):
    made_by = PersonOut(read_only=True)
    device = serializers.IntegerField(
        source="token_id", read_only=True, allow_null=True, help_text="that was let in by it"
    )

    class Meta:
        model = DeviceCode
        fields = ["id", "device_name", "made_by", "created_at", "expires_at", "used_at", "revoked_at", "device"]
        read_only_fields = fields


class DeviceCodeMade(DeviceCodeOut):
    code = serializers.CharField(read_only=True, help_text="shown this once; it is typed into the tablet")

    class Meta(DeviceCodeOut.Meta):
        fields = [*DeviceCodeOut.Meta.fields, "code"]
        read_only_fields = fields


class DeviceCodeSheet(Sheet):
    device_name = Text(
        max_length=80, required=False, allow_blank=True, help_text="how the office calls it; or the tablet says it"
    )


@extend_schema_view(
    list=extend_schema(summary="Codes that were made for tablets, the newest first"),
    retrieve=extend_schema(summary="One of them; the code itself is not kept"),
)
class DeviceCodes(Listed, Shown, YardViewSet[DeviceCode]):
    queryset = DeviceCode.objects.all()
    serializer_class = DeviceCodeOut
    permission_classes = [IsManager]
    with_related = ("made_by",)
    ordering = "-created_at"

    @extend_schema(
        summary="Make a code that lets one tablet in", request=DeviceCodeSheet, responses={201: DeviceCodeMade}
    )
    def create(self, request: Request) -> Response:
        row, code = device_code_make(by=self.member, at=self.now, **self.read(DeviceCodeSheet))
        row.code = code  # type: ignore[attr-defined]
        headers = {"Location": f"{request.path}{row.pk}/", "Cache-Control": "no-store"}
        return Response(DeviceCodeMade(row).data, status=201, headers=headers)

    @extend_schema(summary="Take a code back that nobody has used", responses={204: None})
    def destroy(self, request: Request, pk: int) -> Response:
        device_code_revoke(code=self.row(), at=self.now)
        return Response(status=204)


__all__ = ["DeviceCodes"]
