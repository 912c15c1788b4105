"""Addresses by which calendars subscribe to the due-back book: made and taken back by managers."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown, YardViewSet
from api.fields import OfYard, Sheet
from api.permissions import IsManager
from api.rooms.entries import PersonOut
from workshop.models import CalendarFeed
from workshop.services.calendar_feeds import feed_issue, feed_revoke, feed_url
from yard.models import Boat


class CalendarFeedOut(serializers.ModelSerializer[CalendarFeed]):
    boat_name = serializers.CharField(source="boat.name", read_only=True, allow_null=True, default=None)
    made_by = PersonOut(read_only=True)
    url = serializers.SerializerMethodField(help_text="the key itself (RFC 5545); empty once it is taken back")

    class Meta:
        model = CalendarFeed
        fields = ["id", "boat", "boat_name", "url", "made_by", "created_at", "revoked_at", "last_used_at"]
        read_only_fields = fields

    def get_url(self, feed: CalendarFeed) -> str:
        return feed_url(feed) if feed.revoked_at is None else ""


class CalendarFeedSheet(Sheet):
    boat = OfYard(
        queryset=Boat.objects.all(), allow_null=True, required=False, help_text="left out or null: all boats"
    )


@extend_schema_view(
    list=extend_schema(summary="Calendar addresses of the due-back book, the newest first"),
    retrieve=extend_schema(summary="One of them"),
)
class CalendarFeeds(Listed, Shown, YardViewSet[CalendarFeed]):
    queryset = CalendarFeed.objects.all()
    serializer_class = CalendarFeedOut
    permission_classes = [IsManager]
    lookup_value_converter = "uuid"
    with_related = ("boat", "made_by")
    ordering = "-created_at"

    @extend_schema(
        summary="Make an address; the live one of the same boat, or of all boats, is taken back",
        request=CalendarFeedSheet,
        responses={201: CalendarFeedOut},
    )
    def create(self, request: Request) -> Response:
        feed = feed_issue(by=self.member, boat=self.read(CalendarFeedSheet).get("boat"), at=self.now)
        return self.answer(feed, status=201)

    @extend_schema(summary="Take an address back", responses={204: None})
    def destroy(self, request: Request, pk: str) -> Response:
        feed_revoke(feed=self.row(), by=self.member, at=self.now)
        return Response(status=204)


__all__ = ["CalendarFeeds"]
