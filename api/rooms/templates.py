"""Templates: a draft is edited by one at a time, published as the next version, and never changes again."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.http import Http404
from drf_spectacular.utils import extend_schema, extend_schema_field, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import VERSION, Listed, Shown, versioned
from api.fields import MAX_SMALL, CodeOfYard, Sheet, Text, YesNo
from api.filters import Filters, TextFilter
from api.permissions import ManagersWrite
from api.rooms.template_text import VersionOut
from api.rooms.template_versions import TemplateVersions
from inspections.models import Template
from inspections.selectors.templates import version_uses
from inspections.services.templates import (
    draft_drop,
    draft_publish,
    draft_save,
    draft_start,
    template_create,
    template_rename,
)
from inspections.templates.document import MOST_CHECKS, MOST_STEPS, AnswerKind, OpeningKind
from yard.models import ComponentClass
from yard.vocabulary import Contact


class VersionUseOut(serializers.Serializer[Any]):
    number = serializers.IntegerField(source="version.number")
    note = serializers.CharField(source="version.note", allow_blank=True)
    created_at = serializers.DateTimeField(source="version.created_at")
    edited_at = serializers.DateTimeField(source="version.edited_at")
    published_at = serializers.DateTimeField(source="version.published_at", allow_null=True)
    open_inspections = serializers.IntegerField()
    closed_inspections = serializers.IntegerField()


class TemplateOut(serializers.ModelSerializer[Template]):
    component_class = serializers.CharField(source="component_class.code", read_only=True)
    class_name = serializers.CharField(source="component_class.name", read_only=True)
    published = serializers.SerializerMethodField(help_text="number of the latest published version")
    draft = serializers.SerializerMethodField(help_text="number of the version that is being edited")

    class Meta:
        model = Template
        fields = ["id", "title", "component_class", "class_name", "published", "draft"]
        read_only_fields = fields

    @extend_schema_field({"type": ["integer", "null"]})
    def get_published(self, template: Template) -> int | None:
        return max((v.number for v in template.versions.all() if v.published_at is not None), default=None)

    @extend_schema_field({"type": ["integer", "null"]})
    def get_draft(self, template: Template) -> int | None:
        return next((v.number for v in template.versions.all() if v.published_at is None), None)


class TemplateSheet(Sheet):
    component_class: CodeOfYard[ComponentClass] = CodeOfYard(queryset=ComponentClass.objects.all())
    title = Text(max_length=120)


class OpeningStepSheet(Sheet):
    key = Text(max_length=60)
    kind = serializers.ChoiceField(choices=OpeningKind.choices())
    text = Text(max_length=300)
    shares = Text(max_length=60, required=False, allow_null=True, allow_blank=True)


class ReadingAskedSheet(Sheet):
    quantity = Text(max_length=40)
    unit = Text(max_length=12)
    minimum = serializers.JSONField(help_text="a decimal, as text or number")
    maximum = serializers.JSONField(help_text="a decimal, as text or number")


class QuestionSheet(Sheet):
    key = Text(max_length=80)
    prompt = Text(max_length=300)
    answer_kind = serializers.ChoiceField(choices=AnswerKind.choices())
    reading = ReadingAskedSheet(required=False, allow_null=True)
    usual_signs = serializers.ListField(child=Text(max_length=40), required=False, max_length=40)
    contact = serializers.ListField(child=serializers.ChoiceField(choices=Contact.choices()), required=False)
    after = serializers.ListField(child=Text(max_length=60), required=False, max_length=MOST_STEPS)
    both_sides = YesNo(required=False)
    photo_wanted = YesNo(required=False)
    look_for = Text(max_length=600, required=False, allow_blank=True)


class DraftSheet(Sheet):
    opening_steps = serializers.ListField(child=OpeningStepSheet(), max_length=MOST_STEPS)
    checks = serializers.ListField(child=QuestionSheet(), max_length=MOST_CHECKS)
    note = Text(max_length=200, required=False, allow_blank=True, help_text="what changed")


class DraftText(Sheet):
    """The two lists as they come: what is wrong inside them, the templates' own reader names better."""

    opening_steps = serializers.JSONField()
    checks = serializers.JSONField()
    note = Text(max_length=200, required=False, allow_blank=True)


class TitleSheet(Sheet):
    title = Text(max_length=120)


class PublishSheet(Sheet):
    note = Text(max_length=200, required=False, help_text="what changed; without it the draft's own note stays")


class TemplateFilters(Filters):
    component_class = TextFilter(field_name="component_class__code")
    title = TextFilter(lookup_expr="icontains", label="part of the title")


@extend_schema_view(
    list=extend_schema(summary="Templates, one for each class of part"),
    retrieve=extend_schema(summary="One template and which versions it has"),
)
class Templates(Listed, Shown, TemplateVersions):
    queryset = Template.objects.all()
    serializer_class = TemplateOut
    permission_classes = [ManagersWrite]
    filterset_class = TemplateFilters
    with_related = ("component_class",)
    with_many = ("versions",)
    ordering = "title"
    ordering_fields = ("title", "id")

    @extend_schema(
        summary="Begin a template for a class that has none; its first draft is empty",
        request=TemplateSheet,
        responses={201: TemplateOut},
    )
    def create(self, request: Request) -> Response:
        draft = template_create(by=self.member, at=self.now, **self.read(TemplateSheet))
        return self.answer(draft.template, status=201)

    @extend_schema(
        summary="Call a template otherwise", request=TitleSheet, responses=TemplateOut, parameters=[VERSION]
    )
    @transaction.atomic
    def partial_update(self, request: Request, pk: int) -> Response:
        template = self.locked_row(request)
        given = self.read(TitleSheet, partial=True)
        if given:
            template = template_rename(template=template, by=self.member, at=self.now, **given)
        return self.answer(template)

    @extend_schema(
        summary="The versions of a template, the newest first, and how many inspections ask by each",
        responses=VersionUseOut(many=True),
    )
    @action(detail=True, methods=["get"], pagination_class=None, filter_backends=[])
    def versions(self, request: Request, pk: int) -> Response:
        return Response(VersionUseOut(version_uses(self.row()), many=True).data)

    @extend_schema(summary="One version with its whole text", responses=VersionOut)
    @action(detail=True, methods=["get"], url_path="versions/<int:number>")
    def version(self, request: Request, pk: int, number: int) -> Response:
        if number > MAX_SMALL:
            raise Http404
        return versioned(request, self._text(number=number))

    @extend_schema(summary="The draft that is being edited", responses=VersionOut)
    @action(detail=True, methods=["get"])
    def draft(self, request: Request, pk: int) -> Response:
        return versioned(request, self._text(published_at=None))

    @extend_schema(
        summary="Start the draft of the next version; the one there is, if there is one",
        request=None,
        responses={201: VersionOut},
    )
    @draft.mapping.post
    def start_draft(self, request: Request, pk: int) -> Response:
        draft_start(template=self.row(), by=self.member, at=self.now)
        return versioned(request, self._text(published_at=None), status=201)

    @extend_schema(summary="Save the draft", request=DraftSheet, responses=VersionOut, parameters=[VERSION])
    @draft.mapping.put
    @transaction.atomic
    def save_draft(self, request: Request, pk: int) -> Response:
        draft = self.held_draft(request)
        given = self.read(DraftText)
        draft_save(
            draft=draft,
            opening_steps=given["opening_steps"],
            checks=given["checks"],
            note=given.get("note", draft.note),
            by=self.member,
            edited_at=draft.edited_at,
            at=self.now,
        )
        return versioned(request, self._text(published_at=None))

    @extend_schema(
        summary="Throw the draft away; the only one takes the template along",
        responses={204: None},
        parameters=[VERSION],
    )
    @draft.mapping.delete
    @transaction.atomic
    def drop_draft(self, request: Request, pk: int) -> Response:
        draft_drop(draft=self.held_draft(request), by=self.member, at=self.now)
        return Response(status=204)

    @extend_schema(
        summary="Publish the draft: inspections are made from it from now on, and it never changes",
        request=PublishSheet,
        responses=VersionOut,
        parameters=[VERSION],
    )
    @action(detail=True, methods=["post"], url_path="draft/publish")
    @transaction.atomic
    def publish(self, request: Request, pk: int) -> Response:
        draft = self.held_draft(request)
        note = self.read(PublishSheet).get("note")
        draft_publish(draft=draft, by=self.member, at=self.now, edited_at=draft.edited_at, note=note)
        return versioned(request, self._text(pk=draft.pk))

    def _text(self, **lookup: Any) -> Any:
        version = self.versions_of().filter(**lookup).first()
        if version is None:
            raise Http404
        return VersionOut(version).data
