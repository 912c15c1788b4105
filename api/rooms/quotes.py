"""Quotes from draft to their end, and the decider's word on each job."""

from __future__ import annotations

import json
from typing import Any

from django.db import transaction
from django.http import Http404, HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_field, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.addresses import address_of
from api.base import VERSION, Listed, Shown, YardViewSet
from api.fields import OfYard, Sha256, Sheet, Text, YesNo
from api.filters import DayFilter, Filters, IdFilter, WordFilter, YearFilter, YesNoFilter
from api.permissions import ManagersWrite
from api.rooms.choices import (
    ALONG,
    NoneSheet,
    OptionGroupOut,
    OptionsSheet,
    ids_of,
    none_of_them,
    options_dissolve,
    options_make,
)
from api.rooms.entries import PersonOut
from api.rooms.extra_work import AddendumSheet
from inspections.models import Inspection
from workshop.canonical import canonical_bytes
from workshop.models import Decision, Job, OwnerLink, Quote, QuoteLine, Reply
from workshop.models.quotes import SAYABLE, QuoteState, Verdict
from workshop.services.ceiling import addendum_draft
from workshop.services.decisions import decision_make
from workshop.services.links import link_reissue, link_revoke
from workshop.services.quotes import (
    quote_change,
    quote_draft,
    quote_prepare,
    quote_send,
    quote_supersede,
    quote_withdraw,
)
from workshop.services.threads import LONGEST_REPLY, reply_write


class DecisionOut(serializers.ModelSerializer[Decision]):
    quote = serializers.IntegerField(source="line.quote_id", read_only=True)
    job = serializers.IntegerField(source="line.job_id", read_only=True)
    by_kind = serializers.SerializerMethodField(help_text="owner or member")
    by_name = serializers.SerializerMethodField()

    class Meta:
        model = Decision
        fields = [
            "id", "quote", "line", "job", "verdict", "question", "digest", "by_kind", "by_name", "decided_at",
            "because",
        ]  # fmt: skip
        read_only_fields = fields

    @extend_schema_field({"type": "string", "enum": ["owner", "member"]})
    def get_by_kind(self, decision: Decision) -> str:
        return "owner" if decision.owner_id is not None else "member"

    @extend_schema_field({"type": "string"})
    def get_by_name(self, decision: Decision) -> str:
        return str(decision.owner or decision.member)


class ReplyOut(serializers.ModelSerializer[Reply]):
    quote = serializers.IntegerField(source="line.quote_id", read_only=True)
    job = serializers.IntegerField(source="line.job_id", read_only=True)
    by = PersonOut(source="member", read_only=True)

    class Meta:
        model = Reply
        fields = ["id", "quote", "line", "job", "text", "by", "written_at"]
        read_only_fields = fields


class LineOut(serializers.ModelSerializer[QuoteLine]):
    job_title = serializers.CharField(source="job.title", read_only=True)
    job_state = serializers.CharField(source="job.state", read_only=True)
    decisions = DecisionOut(many=True, read_only=True, help_text="questions too, the oldest first")
    replies = ReplyOut(many=True, read_only=True, help_text="the yard's answers, the oldest first")

    class Meta:
        model = QuoteLine
        fields = [
            "id",
            "position",
            "job",
            "job_title",
            "job_state",
            "hours_likely",
            "hours_ceiling",
            "net_labour",
            "net_materials",
            "vat_rate_pct",
            "option_group",
            "recommended",
            "decisions",
            "replies",
        ]
        read_only_fields = fields


class LinkOut(serializers.ModelSerializer[OwnerLink]):
    openings = serializers.SerializerMethodField(help_text="how often it was opened; mail scanners do that too")

    class Meta:
        model = OwnerLink
        fields = ["id", "created_at", "expires_at", "revoked_at", "openings"]
        read_only_fields = fields

    @extend_schema_field({"type": "integer"})
    def get_openings(self, link: OwnerLink) -> int:
        return len(link.openings.all())


class QuoteOut(serializers.ModelSerializer[Quote]):
    boat_name = serializers.CharField(source="boat.name", read_only=True)
    season_year = serializers.IntegerField(source="inspection.season_year", read_only=True)
    replaced_by = serializers.SerializerMethodField(help_text="the quote that took its place, if one did")
    created_by = PersonOut(read_only=True, allow_null=True)
    sent_by = PersonOut(read_only=True, allow_null=True)
    lines = LineOut(many=True, read_only=True)
    option_groups = OptionGroupOut(many=True, read_only=True, help_text="choices: one line of each at most")

    class Meta:
        model = Quote
        fields = [
            "id",
            "number",
            "boat",
            "boat_name",
            "inspection",
            "season_year",
            "state",
            "currency",
            "valid_until",
            "created_at",
            "created_by",
            "sent_at",
            "sent_by",
            "ended_at",
            "digest",
            "adds_to",
            "replaces",
            "replaced_by",
            "option_groups",
            "lines",
        ]
        read_only_fields = fields

    @extend_schema_field({"type": ["integer", "null"]})
    def get_replaced_by(self, quote: Quote) -> int | None:
        return None if quote.successor is None else quote.successor.pk


class QuoteWhole(QuoteOut):
    content = serializers.SerializerMethodField(help_text="what the decider is shown; null for a draft")
    links = LinkOut(many=True, source="owner_links", read_only=True)

    class Meta(QuoteOut.Meta):
        fields = [*QuoteOut.Meta.fields, "content", "links"]
        read_only_fields = fields

    @extend_schema_field({"type": ["object", "null"], "additionalProperties": True})
    def get_content(self, quote: Quote) -> Any:
        return json.loads(quote.content) if quote.content else None


class QuoteSheet(Sheet):
    inspection = OfYard(queryset=Inspection.objects.select_related("yard"))
    jobs = OfYard(queryset=Job.objects.all(), many=True, allow_empty=False)
    valid_until = serializers.DateField(required=False, help_text="by the yard's usual validity when left out")


class QuoteChangeSheet(Sheet):
    jobs = OfYard(queryset=Job.objects.all(), many=True, allow_empty=False)
    valid_until = serializers.DateField()


class SendSheet(Sheet):
    seen_digest = Sha256(required=False, help_text="of the preview that was looked over: nothing else goes out")


class PreparedOut(serializers.Serializer[Any]):
    digest = serializers.CharField()
    content = serializers.DictField(help_text="what would be sent now")


class QuoteFilters(Filters):
    boat = IdFilter()
    inspection = IdFilter()
    season = YearFilter(field_name="inspection__season_year")
    state = WordFilter(QuoteState.values)
    adds_to = IdFilter()
    replaces = IdFilter()
    valid_before = DayFilter(field_name="valid_until", lookup_expr="lte", label="this day included")


@extend_schema_view(
    list=extend_schema(summary="Quotes with their lines and what was decided, the newest first"),
    retrieve=extend_schema(summary="One quote with the content that the decider is shown", responses=QuoteWhole),
)
class Quotes(Listed, Shown, YardViewSet[Quote]):
    queryset = Quote.objects.all()
    serializer_class = QuoteOut
    permission_classes = [ManagersWrite]
    filterset_class = QuoteFilters
    with_related = ("boat", "inspection", "created_by", "sent_by", "replaced_by")
    with_many = (
        "lines__job",
        "lines__decisions__owner",
        "lines__decisions__member",
        "lines__replies__member",
        "owner_links__openings",
        "option_groups",
    )
    ordering = "-created_at"
    ordering_fields = ("created_at", "valid_until", "number")

    def get_serializer_class(self) -> type[serializers.BaseSerializer[Quote]]:
        return QuoteOut if self.action == "list" else QuoteWhole

    @extend_schema(summary="Draw up a quote of proposed jobs", request=QuoteSheet, responses={201: QuoteWhole})
    def create(self, request: Request) -> Response:
        return self.answer(quote_draft(by=self.member, at=self.now, **self.read(QuoteSheet)), status=201)

    @extend_schema(
        summary="Change a draft's jobs or its last day",
        request=QuoteChangeSheet,
        responses=QuoteWhole,
        parameters=[VERSION],
    )
    @transaction.atomic
    def partial_update(self, request: Request, pk: int) -> Response:
        quote = self.locked_row(request)
        return self.answer(quote_change(quote=quote, at=self.now, **self.read(QuoteChangeSheet, partial=True)))

    @extend_schema(summary="What would go out if the draft were sent now", responses=PreparedOut)
    @action(detail=True, methods=["get"])
    def preview(self, request: Request, pk: int) -> Response:
        prepared = quote_prepare(quote=self.row(), at=self.now)
        content = json.loads(canonical_bytes(prepared.document.as_document()))
        return Response(PreparedOut({"digest": prepared.digest, "content": content}).data)

    @extend_schema(
        summary="Freeze the draft and put it to the boat's decider, with report, mail and link",
        request=SendSheet,
        responses=QuoteWhole,
    )
    @action(detail=True, methods=["post"])
    def send(self, request: Request, pk: int) -> Response:
        given = self.read(SendSheet)
        return self.answer(quote_send(quote=self.row(), by=self.member, at=self.now, **given))

    @extend_schema(summary="Take the quote back", request=None, responses=QuoteWhole)
    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, pk: int) -> Response:
        return self.answer(quote_withdraw(quote=self.row(), at=self.now))

    @extend_schema(
        summary="Take a sent quote back and draw up a new one with the undecided jobs; answers the new draft",
        request=None,
        responses={201: QuoteWhole},
    )
    @action(detail=True, methods=["post"])
    def supersede(self, request: Request, pk: int) -> Response:
        draft = quote_supersede(quote=self.row(), by=self.member, at=self.now)
        response = self.answer(draft, status=201)
        response["Location"] = f"/api/v1/quotes/{draft.pk}/"
        return response

    @extend_schema(
        summary="Draw up an addendum to this agreed quote, with extra work found since; answers the draft",
        request=AddendumSheet,
        responses={201: QuoteWhole},
    )
    @action(detail=True, methods=["post"])
    def addendum(self, request: Request, pk: int) -> Response:
        quote = self.row()
        draft = addendum_draft(quote=quote, by=self.member, at=self.now, **self.read(AddendumSheet))
        response = self.answer(draft, status=201)
        response["Location"] = f"/api/v1/quotes/{draft.pk}/"
        return response

    @extend_schema(
        summary="Make a choice of jobs of a draft: the decider says yes to one of them at most",
        request=OptionsSheet,
        responses=QuoteWhole,
    )
    @action(detail=True, methods=["post"], url_path="options")  # `options` itself answers the HTTP method
    def choice(self, request: Request, pk: int) -> Response:
        return options_make(self)

    @extend_schema(summary="Let the jobs of a choice stand for themselves again", responses=QuoteWhole)
    @action(detail=True, methods=["delete"], url_path="options/<int:group>")
    def choice_undone(self, request: Request, pk: int, group: int) -> Response:
        return options_dissolve(self, group)

    @extend_schema(
        summary="The content as it was frozen, byte for byte: its SHA-256 is the quote's digest",
        responses={(200, "application/json"): OpenApiResponse(OpenApiTypes.OBJECT)},
    )
    @action(detail=True, methods=["get"])
    def content(self, request: Request, pk: int) -> HttpResponse:
        quote = self.row()
        if not quote.content:
            raise Http404
        return HttpResponse(quote.content.encode(), content_type="application/json")

    @extend_schema(
        summary="Withdraw the owner's link, make a new one and mail it", request=None, responses=QuoteWhole
    )
    @action(detail=True, methods=["post"], url_path="link")
    def new_link(self, request: Request, pk: int) -> Response:
        quote = self.row()
        link_reissue(quote=quote, by=self.member, at=self.now)
        return self.answer(quote)

    @extend_schema(summary="Withdraw the owner's link", responses={204: None})
    @new_link.mapping.delete
    def withdraw_link(self, request: Request, pk: int) -> Response:
        for link in self.row().owner_links.filter(revoked_at=None):
            link_revoke(link=link, by=self.member, at=self.now)
        return Response(status=204)


class DecisionSheet(Sheet):
    line = OfYard(queryset=QuoteLine.objects.all())
    verdict = serializers.ChoiceField(choices=SAYABLE)
    question = Text(max_length=2000, required=False, allow_blank=True)
    digest = Sha256(help_text="of the quote as it was read")
    read = YesNo(required=False, help_text="what leaving an unsafe job means was read; needed to decline one")
    along = OfYard(queryset=QuoteLine.objects.all(), many=True, required=False, help_text=ALONG)


class DecisionFilters(Filters):
    quote = IdFilter(field_name="line__quote_id")
    line = IdFilter()
    job = IdFilter(field_name="line__job_id")
    boat = IdFilter(field_name="line__quote__boat_id")
    verdict = WordFilter(Verdict.values)
    by_owner = YesNoFilter(field_name="owner", lookup_expr="isnull", exclude=True)


@extend_schema_view(
    list=extend_schema(summary="Decisions and questions, the newest first"),
    retrieve=extend_schema(summary="One decision"),
)
class Decisions(Listed, Shown, YardViewSet[Decision]):
    queryset = Decision.objects.all()
    serializer_class = DecisionOut
    permission_classes = [ManagersWrite]
    filterset_class = DecisionFilters
    with_related = ("line", "owner", "member")
    ordering = "-decided_at"
    ordering_fields = ("decided_at",)

    @extend_schema(
        summary="Decide on one job, as the manager who decides on the operator's own boat",
        request=DecisionSheet,
        responses={201: DecisionOut},
    )
    def create(self, request: Request) -> Response:
        given = ids_of(self.read(DecisionSheet))
        decision = decision_make(member=self.member, at=self.now, from_address=address_of(request), **given)
        return self.answer(decision, status=201)

    @extend_schema(
        summary="Decide that none of the ways of a choice is wanted; answers the first of the decisions",
        request=NoneSheet,
        responses={201: DecisionOut},
    )
    @action(detail=False, methods=["post"], url_path="none")
    def none_of_them(self, request: Request) -> Response:
        decision = none_of_them(self, request)
        response = self.answer(decision, status=201)
        response["Location"] = f"/api/v1/decisions/{decision.pk}/"
        return response


class ReplySheet(Sheet):
    line = OfYard(queryset=QuoteLine.objects.all())
    text = Text(max_length=LONGEST_REPLY)


class ReplyFilters(Filters):
    quote = IdFilter(field_name="line__quote_id")
    line = IdFilter()
    job = IdFilter(field_name="line__job_id")
    boat = IdFilter(field_name="line__quote__boat_id")


@extend_schema_view(
    list=extend_schema(summary="The yard's answers to what deciders asked, the newest first"),
    retrieve=extend_schema(summary="One answer"),
)
class Replies(Listed, Shown, YardViewSet[Reply]):
    queryset = Reply.objects.all()
    serializer_class = ReplyOut
    permission_classes = [ManagersWrite]
    filterset_class = ReplyFilters
    with_related = ("line", "member")
    ordering = "-written_at"
    ordering_fields = ("written_at",)

    @extend_schema(
        summary="Answer what was asked about a job; the decider gets it by mail",
        request=ReplySheet,
        responses={201: ReplyOut},
    )
    def create(self, request: Request) -> Response:
        return self.answer(reply_write(by=self.member, at=self.now, **self.read(ReplySheet)), status=201)
