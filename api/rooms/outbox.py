"""Background work that gave up, for the office to look at and send again."""

from __future__ import annotations

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_field, extend_schema_view
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown, YardViewSet
from api.filters import Filters, TextFilter, WordFilter
from api.permissions import IsManager
from yard.models import OutboxRow
from yard.outbox import send_again

STATES = ("waiting", "failed", "done")


class OutboxRowOut(serializers.ModelSerializer[OutboxRow]):
    state = serializers.SerializerMethodField()

    class Meta:
        model = OutboxRow
        fields = [
            "id",
            "task",
            "arguments",
            "state",
            "attempts",
            "last_error",
            "created_at",
            "not_before",
            "done_at",
            "failed_at",
        ]
        read_only_fields = fields

    @extend_schema_field({"type": "string", "enum": list(STATES)})
    def get_state(self, row: OutboxRow) -> str:
        return "done" if row.done_at else "failed" if row.failed_at else "waiting"


class OutboxFilters(Filters):
    task = TextFilter()
    state = WordFilter(STATES, method="in_state")

    def in_state(self, rows: QuerySet[OutboxRow], _: str, state: str) -> QuerySet[OutboxRow]:
        if state == "waiting":
            return rows.filter(done_at=None, failed_at=None)
        return rows.filter(**{f"{state}_at__isnull": False})


@extend_schema_view(
    list=extend_schema(summary="Background work of the yard, the newest first; ?state=failed: what gave up"),
    retrieve=extend_schema(summary="One piece of background work"),
)
class Outbox(Listed, Shown, YardViewSet[OutboxRow]):
    queryset = OutboxRow.objects.all()
    serializer_class = OutboxRowOut
    permission_classes = [IsManager]
    filterset_class = OutboxFilters
    ordering = "-id"
    ordering_fields = ("id", "created_at")

    def get_queryset(self) -> QuerySet[OutboxRow]:
        if getattr(self, "swagger_fake_view", False):
            return OutboxRow.objects.none()
        # Not a row of a yard in the narrow sense: some belong to the whole house, and those are nobody's here.
        return OutboxRow.objects.filter(yard=self.yard)

    @extend_schema(summary="Give it all its tries again", request=None, responses=OutboxRowOut)
    @action(detail=True, methods=["post"], url_path="send-again")
    def send_again(self, request: Request, pk: int) -> Response:
        row = self.row()
        send_again(row, at=self.now)
        return self.answer(row)
