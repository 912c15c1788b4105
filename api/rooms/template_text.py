"""The text of a template version as the API shows it."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from api.rooms.catalogue import words
from inspections.models import TemplateVersion
from inspections.templates.document import AnswerKind, OpeningKind


class OpeningStepOut(serializers.Serializer[Any]):
    key = serializers.CharField()
    kind = serializers.ChoiceField(choices=OpeningKind.choices())
    text = serializers.CharField()
    shares = serializers.CharField(allow_null=True, help_text="steps of one boat that share it are done once")


class ReadingAskedOut(serializers.Serializer[Any]):
    quantity = serializers.CharField()
    unit = serializers.CharField()
    minimum = serializers.CharField(help_text="a decimal")
    maximum = serializers.CharField(help_text="a decimal")


class QuestionOut(serializers.Serializer[Any]):
    key = serializers.CharField()
    prompt = serializers.CharField()
    answer_kind = serializers.ChoiceField(choices=AnswerKind.choices())
    reading = ReadingAskedOut(allow_null=True)
    usual_signs = words()
    contact = words()
    after = words(help_text="keys of the opening steps that come before")
    both_sides = serializers.BooleanField()
    photo_wanted = serializers.BooleanField()
    look_for = serializers.CharField(allow_blank=True)


class VersionShort(serializers.ModelSerializer[TemplateVersion]):
    class Meta:
        model = TemplateVersion
        fields = ["number", "note", "created_at", "edited_at", "published_at"]
        read_only_fields = fields


class VersionOut(VersionShort):
    component_class = serializers.CharField(source="template.component_class.code", read_only=True)
    title = serializers.CharField(source="template.title", read_only=True)
    edited_by = serializers.CharField(source="edited_by.name", read_only=True, allow_null=True, default=None)
    published_by = serializers.CharField(source="published_by.name", read_only=True, allow_null=True, default=None)
    opening_steps = OpeningStepOut(many=True, read_only=True)
    checks = QuestionOut(many=True, read_only=True)

    class Meta(VersionShort.Meta):
        fields = [
            "component_class",
            "title",
            *VersionShort.Meta.fields,
            "edited_by",
            "published_by",
            "opening_steps",
            "checks",
        ]
        read_only_fields = fields


__all__ = ["OpeningStepOut", "QuestionOut", "VersionOut", "VersionShort"]
