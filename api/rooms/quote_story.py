"""What is told of a quote besides itself: what happened, what was asked and answered, its report unsent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.fields import MAX_ID
from api.permissions import IsManager, IsMember
from api.rooms.tags import PDF, pdf_answer
from workshop.models import Quote
from workshop.report.making import report_preview
from workshop.selectors.quote_history import Happened, quote_history
from workshop.selectors.quote_threads import quote_threads
from workshop.services.reminders_by_hand import reminder_send
from yard.models import Mail


class EventOut(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=Happened.choices())
    at = serializers.DateTimeField()
    last_at = serializers.DateTimeField(allow_null=True, help_text="where several of the same are told as one")
    what = serializers.CharField(help_text="in words")
    told = serializers.CharField(help_text="what else is to be told of it; may be empty")


class WordOut(serializers.Serializer[Any]):
    by_yard = serializers.BooleanField(help_text="an answer of the yard; otherwise a question of the decider")
    who = serializers.CharField()
    text = serializers.CharField()
    at = serializers.DateTimeField()


class ThreadOut(serializers.Serializer[Any]):
    line = serializers.IntegerField(source="line.pk")
    job = serializers.IntegerField(source="line.job_id")
    job_title = serializers.CharField(source="line.job.title")
    waits_for_yard = serializers.BooleanField(help_text="a question is to be answered")
    said = WordOut(many=True, help_text="in the order in which it was said")


class ReminderOut(serializers.ModelSerializer[Mail]):
    class Meta:
        model = Mail
        fields = ["to_address", "subject", "state", "created_at"]
        read_only_fields = fields


class OfAQuote(OfMember):
    permission_classes: Sequence[Any] = [IsMember]

    def quote(self, pk: int) -> Quote:
        """The quote of the address, or 404 where the yard has none."""
        if pk > MAX_ID:
            raise Http404
        rows = Quote.objects.of_yard(self.yard).select_related(
            "yard", "boat__decider_owner", "boat__decider_member__user", "inspection__yard", "created_by",
            "sent_by", "replaces", "replaced_by",
        )  # fmt: skip
        found: Quote = get_object_or_404(rows, pk=pk)
        return found


class QuoteHistory(OfAQuote):
    @extend_schema(
        summary="What happened to a quote, the oldest first: mailed, opened, asked, answered, decided",
        responses=EventOut(many=True),
    )
    def get(self, request: Request, pk: int) -> Response:
        """Events are only ever added. A mail program that looks ahead opens links too."""
        return versioned(request, EventOut(quote_history(self.quote(pk)), many=True).data)


class QuoteThreads(OfAQuote):
    @extend_schema(
        summary="What the decider asked about the jobs of a quote and what the yard answered, job by job",
        responses=ThreadOut(many=True),
    )
    def get(self, request: Request, pk: int) -> Response:
        """Only jobs that something was asked about. An answer is sent to `/api/v1/replies/`."""
        return versioned(request, ThreadOut(quote_threads(self.quote(pk)), many=True).data)


class QuotePreviewReport(OfAQuote):
    @extend_schema(summary="The report as it would go out now, marked on each page as not sent", responses=PDF)
    def get(self, request: Request, pk: int) -> HttpResponse:
        quote = self.quote(pk)
        return pdf_answer(report_preview(quote, at=self.now), f"preview-{quote.number}.pdf")


class QuoteReminder(OfAQuote):
    permission_classes = [IsManager]

    @extend_schema(
        summary="Remind the decider by mail of what is open; again on the same day answers that mail",
        request=None,
        responses={200: ReminderOut, 201: ReminderOut},
    )
    def post(self, request: Request, pk: int) -> Response:
        now = self.now
        mail = reminder_send(quote=self.quote(pk), by=self.member, at=now)
        return Response(ReminderOut(mail).data, status=201 if mail.created_at == now else 200)


__all__ = ["QuoteHistory", "QuotePreviewReport", "QuoteReminder", "QuoteThreads"]
