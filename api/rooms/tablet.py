"""What a tablet asks for itself: whether this is the yard's server, what it speaks, and what time it is there."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import PermissionDenied
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.fields import MAX_ID, Sheet, Text
from api.pages import OpenToAll
from yard.models import Member
from yard.selectors import members_at_work
from yard.services import pins
from yard.services.pins import member_pin_clear, member_pin_set
from yard.tablet_contract import CONTRACT, OLDEST_CONTRACT


class HeartbeatOut(serializers.Serializer[Any]):
    contract = serializers.IntegerField(help_text="that the server speaks")
    oldest_contract = serializers.IntegerField(help_text="that it still understands")
    server_time = serializers.DateTimeField()


class Heartbeat(OpenToAll):
    @extend_schema(summary="Whether this is the yard's server, and its clock", responses=HeartbeatOut, auth=[])
    def get(self, request: Request) -> Response:
        told = {"contract": CONTRACT, "oldest_contract": OLDEST_CONTRACT, "server_time": timezone.now()}
        return Response(HeartbeatOut(told).data, headers={"Cache-Control": "no-store"})


class PinOut(serializers.Serializer[Any]):
    scheme = serializers.CharField()
    iterations = serializers.IntegerField()
    salt = serializers.CharField(help_text="base 64")
    hash = serializers.CharField(help_text="base 64, 32 bytes")


class TabletMemberOut(serializers.ModelSerializer[Member]):
    pin = serializers.SerializerMethodField(
        help_text="for checking it without a network; it keeps names apart and is no secret against a thief"
    )

    class Meta:
        model = Member
        fields = ["id", "name", "role", "pin"]
        read_only_fields = fields

    @extend_schema_field(PinOut(allow_null=True))
    def get_pin(self, member: Member) -> dict[str, Any] | None:
        if not member.pin_hash:
            return None
        return {
            "scheme": pins.SCHEME,
            "iterations": pins.ITERATIONS,
            "salt": member.pin_salt,
            "hash": member.pin_hash,
        }


class TabletMembersOut(serializers.Serializer[Any]):
    members = TabletMemberOut(many=True)


class TabletMembers(OfMember):
    @extend_schema(summary="Who may be picked on a shared tablet", responses=TabletMembersOut)
    def get(self, request: Request) -> Response:
        return versioned(request, TabletMembersOut({"members": members_at_work(self.yard, self.now)}).data)


class PinSheet(Sheet):
    pin = Text(max_length=6, help_text="4 to 6 digits")


class MemberPin(OfMember):
    shared_tablets_write = True

    @extend_schema(
        summary="Set a PIN: one's own, as a manager anybody's, at a shared tablet the first one of a technician",
        request=PinSheet,
        responses={204: None},
    )
    @transaction.atomic
    def put(self, request: Request, pk: int) -> Response:
        member = self._member(pk)
        if not (self._may_change(member) or (self._at_shared_tablet() and self._has_none_yet(member))):
            raise PermissionDenied("A PIN that is set is changed by its member or by a manager.")
        member_pin_set(member=member, pin=self.read(PinSheet)["pin"], by=self.member, at=self.now)
        return Response(status=204)

    @extend_schema(summary="Take a PIN away: one's own, or as a manager anybody's", responses={204: None})
    @transaction.atomic
    def delete(self, request: Request, pk: int) -> Response:
        member = self._member(pk)
        if not self._may_change(member):
            raise PermissionDenied("A PIN is taken away by its member or by a manager.")
        member_pin_clear(member=member)
        return Response(status=204)

    def _member(self, pk: int) -> Member:
        rows = Member.objects.of_yard(self.yard).select_for_update(no_key=True)
        found = get_object_or_404(rows, pk=min(pk, MAX_ID))
        assert isinstance(found, Member)
        return found

    def _at_shared_tablet(self) -> bool:
        return self.device is not None and self.device.shared

    def _has_none_yet(self, member: Member) -> bool:
        return not member.pin_hash and not member.is_manager

    def _may_change(self, member: Member) -> bool:
        if self._at_shared_tablet():
            return False
        return self.member.is_manager or self.member.pk == member.pk


__all__ = ["Heartbeat", "MemberPin", "TabletMemberOut", "TabletMembers"]
