"""What a tablet asks for itself: whether this is the yard's server, what it speaks, and what time it is there."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pages import OpenToAll
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


__all__ = ["Heartbeat"]
