"""Versions of a template beside each other, as the tablet would show them, and copied from one class to another."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import VERSION, YardViewSet, versioned
from api.fields import MAX_SMALL, OfYard, Sheet, Text, Whole
from api.rooms.package import PackageOut
from api.rooms.package_parts import told
from api.rooms.template_text import OpeningStepOut, QuestionOut, VersionOut
from api.versions import if_match
from inspections.models import Template, TemplateVersion
from inspections.selectors.preview import preview_package
from inspections.services.template_drafts import draft_copy
from inspections.templates import document
from inspections.templates.comparison import ADDED, CHANGED, GONE, SAME, Comparison, Pair, compare
from inspections.templates.document import MOST_CHECKS, MOST_STEPS

OUTCOMES = [(outcome, outcome) for outcome in (SAME, CHANGED, ADDED, GONE)]


class _PairOut(serializers.Serializer[Any]):
    key = serializers.CharField()
    became = serializers.ChoiceField(choices=OUTCOMES)
    moved = serializers.BooleanField(help_text="it stands elsewhere among those that both have")
    changed = serializers.ListField(child=serializers.CharField(), help_text="the fields that differ")


class StepPairOut(_PairOut):
    before = OpeningStepOut(allow_null=True)
    after = OpeningStepOut(allow_null=True)


class QuestionPairOut(_PairOut):
    before = QuestionOut(allow_null=True)
    after = QuestionOut(allow_null=True)


class ComparisonOut(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    other = serializers.IntegerField()
    opening_steps = StepPairOut(many=True)
    checks = QuestionPairOut(many=True)


class CopySheet(Sheet):
    template: OfYard[Template] = OfYard(queryset=Template.objects.all(), help_text="from which it is copied")
    number = Whole(max_value=MAX_SMALL, help_text="of its version")
    checks = serializers.ListField(child=Text(max_length=80), max_length=MOST_CHECKS, help_text="their keys")
    opening_steps = serializers.ListField(
        child=Text(max_length=60),
        max_length=MOST_STEPS,
        required=False,
        help_text="keys; steps that a check waits for come along anyway",
    )


class TemplateVersions(YardViewSet[Template]):
    """What can be done with versions besides writing them."""

    @extend_schema(summary="What differs in a version from another one", responses=ComparisonOut)
    @action(detail=True, methods=["get"], url_path="versions/<int:number>/compared-with/<int:other>")
    def compared(self, request: Request, pk: int, number: int, other: int) -> Response:
        before, after = (self._version(which) for which in (other, number))
        found = compare(*(document.read(one.opening_steps, one.checks, unfinished=True) for one in (before, after)))
        return versioned(request, {"number": number, "other": other, **_pairs(found)})

    @extend_schema(
        summary="What a tablet would be given of one part of the class, asked by this version", responses=PackageOut
    )
    @action(detail=True, methods=["get"], url_path="versions/<int:number>/preview")
    def preview(self, request: Request, pk: int, number: int) -> Response:
        return versioned(request, told(preview_package(self._version(number), self.now)))

    @extend_schema(
        summary="Copy checks of another class, or of an earlier version, into the draft",
        request=CopySheet,
        responses=VersionOut,
        parameters=[VERSION],
    )
    @action(detail=True, methods=["post"], url_path="draft/copy")
    @transaction.atomic
    def copy(self, request: Request, pk: int) -> Response:
        draft = self.held_draft(request)
        given = self.read(CopySheet)
        source = TemplateVersion.objects.filter(template=given["template"], number=given["number"]).first()
        if source is None:
            raise Http404
        draft_copy(
            draft=draft,
            source=source,
            checks=given["checks"],
            steps=given.get("opening_steps", ()),
            by=self.member,
            at=self.now,
        )
        return versioned(request, VersionOut(self.versions_of().get(pk=draft.pk)).data)

    def versions_of(self) -> Any:
        """The versions of the template of the address."""
        return TemplateVersion.objects.filter(template=self.row()).select_related(
            "yard", "template__component_class", "edited_by", "published_by"
        )

    def held_draft(self, request: Request) -> TemplateVersion:
        """The draft, locked, in the version that If-Match names; 404 where there is none."""
        draft = self.versions_of().filter(published_at=None).first()
        if draft is None:
            raise Http404
        TemplateVersion.objects.select_for_update().get(pk=draft.pk)
        held: TemplateVersion = self.versions_of().get(pk=draft.pk)
        if_match(request, VersionOut(held).data)
        return held

    def _version(self, number: int) -> TemplateVersion:
        found: TemplateVersion | None = (
            self.versions_of().filter(number=number).first() if number <= MAX_SMALL else None
        )
        if found is None:
            raise Http404
        return found


def _pairs(found: Comparison) -> dict[str, Any]:
    def shown(pair: Pair[Any], rows: Any) -> dict[str, Any]:
        return {
            "key": pair.shown.key,
            "became": pair.outcome,
            "moved": pair.moved,
            "changed": list(pair.changed),
            "before": None if pair.before is None else rows(pair.before),
            "after": None if pair.after is None else rows(pair.after),
        }

    def step(one: document.OpeningStep) -> object:
        return document.TemplateDocument((one,), ()).opening_steps_json()[0]

    def check(one: document.Check) -> object:
        return document.TemplateDocument((), (one,)).checks_json()[0]

    return {
        "opening_steps": [shown(pair, step) for pair in found.opening_steps],
        "checks": [shown(pair, check) for pair in found.checks],
    }


__all__ = ["TemplateVersions"]
