"""What the office has said of a finding, as it is answered."""

from __future__ import annotations

from rest_framework import serializers

from api.rooms.entries import PersonOut
from inspections.models import Acknowledgement, FindingJoin, SecondLookAsk


class AcknowledgementOut(serializers.ModelSerializer[Acknowledgement]):
    by = PersonOut(read_only=True)

    class Meta:
        model = Acknowledgement
        fields = ["by", "entry", "made_at"]
        read_only_fields = fields


class AskedBackOut(serializers.ModelSerializer[SecondLookAsk]):
    by = PersonOut(read_only=True)
    check_id = serializers.IntegerField(
        source="asked_as_id", read_only=True, allow_null=True, help_text="null: it waits for the next inspection"
    )

    class Meta:
        model = SecondLookAsk
        fields = ["id", "by", "note", "asked_at", "check_id"]
        read_only_fields = fields


class JoiningOut(serializers.ModelSerializer[FindingJoin]):
    by = PersonOut(read_only=True)

    class Meta:
        model = FindingJoin
        fields = ["id", "joined", "kept", "reason", "by", "made_at"]
        read_only_fields = fields


__all__ = ["AcknowledgementOut", "AskedBackOut", "JoiningOut"]
