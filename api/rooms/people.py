"""Who works at the yard, and whose boats they are."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import VERSION, Listed, Shown, YardViewSet
from api.fields import Sheet, Text
from api.permissions import IsManager, ManagersWrite, member_of
from yard.models import DeedKind, Member, Owner, Role
from yard.services.changes import member_change, owner_change
from yard.services.deeds import deed_note
from yard.services.people import member_create, owner_create


class MemberOut(serializers.ModelSerializer[Member]):
    username = serializers.CharField(source="user.username", read_only=True)
    email = serializers.SerializerMethodField(help_text="null unless a manager asks")

    class Meta:
        model = Member
        fields = ["id", "name", "role", "username", "email", "left_on"]
        read_only_fields = fields

    def get_email(self, member: Member) -> str | None:
        reader = member_of(self.context["request"])
        return member.user.email if reader is not None and reader.is_manager else None


class NewMemberSheet(Sheet):
    username = Text(max_length=150)
    password = Text(max_length=4096, trim_whitespace=False)
    name = Text(max_length=120)
    role = serializers.ChoiceField(choices=Role.choices)
    email = Text(max_length=254, allow_blank=True, required=False)


class MemberSheet(Sheet):
    name = Text(max_length=120)
    role = serializers.ChoiceField(choices=Role.choices)
    left_on = serializers.DateField(allow_null=True, help_text="from this day on they can't sign in")


@extend_schema_view(list=extend_schema(summary="Who works here"), retrieve=extend_schema(summary="One member"))
class Members(Listed, Shown, YardViewSet[Member]):
    queryset = Member.objects.all()
    serializer_class = MemberOut
    permission_classes = [ManagersWrite]
    with_related = ("user",)
    ordering = "name"

    @extend_schema(summary="Give somebody a log-in and a role", request=NewMemberSheet, responses={201: MemberOut})
    @transaction.atomic
    def create(self, request: Request) -> Response:
        member = member_create(yard=self.yard, **self.read(NewMemberSheet))
        told = f"{member.name} as {member.role}, entered by {self.member.name}"
        deed_note(yard=self.yard, kind=DeedKind.JOINED, by=self.member, about=member, told=told, at=self.now)
        return self.answer(member, status=201)

    @extend_schema(
        summary="Change a member, or note the day they leave",
        request=MemberSheet,
        responses=MemberOut,
        parameters=[VERSION],
    )
    @transaction.atomic
    def partial_update(self, request: Request, pk: int) -> Response:
        member = self.locked_row(request)
        changes = self.read(MemberSheet, partial=True)
        return self.answer(member_change(member=member, changes=changes, by=self.member, at=self.now))


class OwnerOut(serializers.ModelSerializer[Owner]):
    class Meta:
        model = Owner
        fields = ["id", "name", "email", "phone", "locale"]
        read_only_fields = fields


class OwnerSheet(Sheet):
    name = Text(max_length=120)
    email = Text(max_length=254, help_text="where reports and links are sent")
    phone = Text(max_length=40, allow_blank=True, required=False)
    locale = Text(
        max_length=16,
        required=False,
        help_text="such as en_GB, de_AT or nb_NO. Mails, pages and reports are German where it is a German one and "
        "English otherwise; days and figures are those of the country.",
    )


@extend_schema_view(
    list=extend_schema(summary="Owners and how to reach them"), retrieve=extend_schema(summary="One owner")
)
class Owners(Listed, Shown, YardViewSet[Owner]):
    queryset = Owner.objects.all()
    serializer_class = OwnerOut
    permission_classes = [IsManager]
    ordering = "name"

    @extend_schema(summary="Enter an owner", request=OwnerSheet, responses={201: OwnerOut})
    def create(self, request: Request) -> Response:
        given: dict[str, Any] = self.read(OwnerSheet)
        return self.answer(owner_create(yard=self.yard, **given), status=201)

    @extend_schema(
        summary="Change what is known of an owner", request=OwnerSheet, responses=OwnerOut, parameters=[VERSION]
    )
    @transaction.atomic
    def partial_update(self, request: Request, pk: int) -> Response:
        owner, changes = self.locked_row(request), self.read(OwnerSheet, partial=True)
        return self.answer(owner_change(owner=owner, changes=changes, by=self.member, at=self.now))
