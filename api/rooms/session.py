"""Who is asking: signing a device in, looking at its keys and taking them back, and `me`."""

from __future__ import annotations

from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

import structlog
from django.contrib.auth import authenticate
from django.db.models import QuerySet
from django.urls import reverse
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.authentication import BaseAuthentication
from rest_framework.decorators import action
from rest_framework.exceptions import APIException, PermissionDenied, Throttled
from rest_framework.permissions import AllowAny, IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import BaseThrottle

from api.authentication import SCHEME
from api.base import Listed, OfMember, Shown, YardViewSet
from api.fields import Sheet, Text
from api.throttles import SignInThrottle
from yard.addresses import address_kept
from yard.models import DeviceToken, Member, User
from yard.services.device_codes import device_code_use
from yard.services.guessing import Guess
from yard.services.people import device_token_issue, device_token_revoke, may_sign_in
from yard.services.second_factor import second_factor_code_right, second_factor_on
from yard.services.signing_in import sign_in_failure_note

log = structlog.get_logger(__name__)


SIGNING_IN = ("create", "by_code")


class SignInRefused(APIException):
    """One answer for a wrong password and an unknown name: who works here is not to be found out by asking."""

    status_code = HTTPStatus.UNAUTHORIZED
    default_detail = "The user name or the password is wrong; try again or ask a manager."
    default_code = "sign_in_refused"
    auth_header = SCHEME


class SecondFactorWanted(SignInRefused):
    """The password is right, and not enough. `second_factor` says so to programs."""

    default_detail = (
        "The password is right, and this log-in asks for a second factor: send the code of the app, or a spare "
        "one, as `code` beside the password; or let the tablet in by a code of the office."
    )
    default_code = "second_factor_wanted"
    more = {"second_factor": "wanted"}


class SecondFactorWrong(SecondFactorWanted):
    default_detail = (
        "The password is right, and the `code` is wrong, used already or too old: send the one that the app shows "
        "now, or a spare one; or let the tablet in by a code of the office."
    )
    default_code = "second_factor_wrong"
    more = {"second_factor": "wrong"}


class CodeRefused(SignInRefused):
    """One answer for a code that is wrong, used, taken back or too old."""

    default_detail = "This code lets no tablet in (any more); ask the office for a new one."
    default_code = "code_refused"


class SignInSheet(Sheet):
    username = Text(max_length=150)
    password = Text(max_length=4096, trim_whitespace=False)
    device_name = Text(max_length=80, help_text="what the office will see in its list of devices")
    code = Text(
        max_length=20, required=False, allow_blank=True, help_text="of the second factor, where the log-in has one"
    )


class CodeSheet(Sheet):
    code = Text(max_length=40, help_text="as the office showed it, 2345-678K")
    device_name = Text(
        max_length=80, required=False, allow_blank=True, help_text="unless the office has named it with the code"
    )


class MemberShort(serializers.ModelSerializer[Member]):
    class Meta:
        model = Member
        fields = ["id", "name", "role"]


class DeviceOut(serializers.ModelSerializer[DeviceToken]):
    member = MemberShort(read_only=True)

    class Meta:
        model = DeviceToken
        fields = ["id", "device_name", "member", "shared", "created_at", "last_used_at", "revoked_at"]
        read_only_fields = fields


class SignedIn(DeviceOut):
    key = serializers.CharField(
        read_only=True, help_text="shown this once; send it as `Authorization: Bearer <key>`"
    )

    class Meta(DeviceOut.Meta):
        fields = [*DeviceOut.Meta.fields, "key"]
        read_only_fields = fields


class DeviceShort(serializers.ModelSerializer[DeviceToken]):
    class Meta:
        model = DeviceToken
        fields = ["id", "device_name", "shared"]


class YardShort(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    name = serializers.CharField()
    time_zone = serializers.CharField()
    currency = serializers.CharField()
    locale = serializers.CharField()


class MeOut(serializers.Serializer[Any]):
    member = MemberShort()
    yard = YardShort()
    device = DeviceShort(allow_null=True)
    server_time = serializers.DateTimeField(help_text="for the tablet to measure its clock against")


@extend_schema_view(
    list=extend_schema(summary="Signed-in devices: a technician's own, a manager's whole yard"),
    retrieve=extend_schema(summary="One device"),
)
class Devices(Listed, Shown, YardViewSet[DeviceToken]):
    shared_tablets_write = True
    queryset = DeviceToken.objects.all()
    serializer_class = DeviceOut
    with_related = ("member",)

    def get_queryset(self) -> QuerySet[DeviceToken]:
        rows = super().get_queryset()
        if getattr(self, "swagger_fake_view", False) or self.member.is_manager:
            return rows
        if self.device is not None and self.device.shared:
            return rows.filter(pk=self.device.pk)
        return rows.filter(member=self.member)

    def get_authenticators(self) -> list[BaseAuthentication]:
        # Signing in does not ask who one is already: an old key in the header must not stand in its way.
        signing_in = getattr(getattr(self, "request", None), "method", "") == "POST"
        return [] if signing_in else super().get_authenticators()

    def get_permissions(self) -> Sequence[Any]:
        return [AllowAny()] if self.action in SIGNING_IN else super().get_permissions()

    def get_throttles(self) -> list[BaseThrottle]:
        return [SignInThrottle()] if self.action in SIGNING_IN else super().get_throttles()

    @extend_schema(
        summary="Sign a device in",
        description="Where the log-in has a second factor, the right password is answered 401 with "
        '`"second_factor": "wanted"` until a `code` comes with it, and `"wrong"` where that code opens nothing.',
        request=SignInSheet,
        responses={201: SignedIn},
        auth=[],
    )
    def create(self, request: Request) -> Response:
        reader = SignInSheet(data=request.data)
        reader.is_valid(raise_exception=True)
        given = reader.validated_data
        guess = Guess(given["username"], self._caller)
        if guess.wait:
            raise Throttled(guess.wait)
        guess.begin()
        user = authenticate(request, username=given["username"], password=given["password"])
        if user is None:
            log.warning("sign_in_refused", username=given["username"][:150])
            self._failed(given["username"], "wrong password, a device")
            raise SignInRefused
        if second_factor_on(user):
            self._second_factor_check(user, given.get("code", ""), guess)
        guess.was_right()
        member: Member | None = getattr(user, "member", None)
        if member is None or not may_sign_in(member, at=self.now):
            raise PermissionDenied("This log-in belongs to no yard; ask a manager of yours for a membership.")
        let_in = device_token_issue(
            member=member,
            device_name=given["device_name"],
            from_address=address_kept(self._caller),
            at=self.now,
        )
        return self._signed_in(*let_in)

    @property
    def _caller(self) -> str:
        """Where the request comes from: a proxy's word for it counts only where the settings trust the proxy."""
        return str(self.get_throttles()[0].get_ident(self.request))

    def _failed(self, username: str, why: str) -> None:
        sign_in_failure_note(username=username, why=why, from_address=address_kept(self._caller), at=self.now)

    def _second_factor_check(self, user: User, code: str, guess: Guess) -> None:
        """A code that is wrong is a slip. One that is not there yet is none: nobody knew that it was wanted."""
        if not code:
            guess.take_back()
            raise SecondFactorWanted
        if not second_factor_code_right(user, code):
            self._failed(user.get_username(), "wrong second factor, a device")
            raise SecondFactorWrong

    @extend_schema(
        summary="Sign a shared tablet in by a code of the office",
        request=CodeSheet,
        responses={201: SignedIn},
        auth=[],
    )
    @action(detail=False, methods=["post"], url_path="by-code", url_name="by-code")
    def by_code(self, request: Request) -> Response:
        reader = CodeSheet(data=request.data)
        reader.is_valid(raise_exception=True)
        let_in = device_code_use(at=self.now, from_address=address_kept(self._caller), **reader.validated_data)
        if let_in is None:
            log.warning("device_code_refused")
            raise CodeRefused
        return self._signed_in(*let_in)

    def _signed_in(self, token: DeviceToken, key: str) -> Response:
        token.key = key  # type: ignore[attr-defined]
        location = reverse("api:device-detail", args=[token.pk])
        return Response(
            SignedIn(token).data, status=201, headers={"Location": location, "Cache-Control": "no-store"}
        )

    @extend_schema(summary="Take a device's key back; it stays in the list", responses={204: None})
    def destroy(self, request: Request, pk: int) -> Response:
        device_token_revoke(token=self.row(), by=self.member, at=self.now)
        return Response(status=204)


class Me(OfMember):
    permission_classes = [IsAuthenticated, *OfMember.permission_classes]

    @extend_schema(summary="Who is asking, of which yard, and the server's clock", responses=MeOut)
    def get(self, request: Request) -> Response:
        me = {"member": self.member, "yard": self.yard, "device": self.device, "server_time": self.now}
        return Response(MeOut(me).data, headers={"Cache-Control": "no-store"})
