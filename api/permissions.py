"""Who may do what: one question a class, combined where they are used."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.utils import timezone
from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from yard.models import DeviceToken, Member
from yard.services.people import may_sign_in

if TYPE_CHECKING:
    from rest_framework.views import APIView


def member_of(request: Request) -> Member | None:
    """The membership behind the request, or None for somebody who belongs to no yard (any more).

    Behind a shared device it is that of whoever let it in, as a technician.
    """
    if isinstance(request.auth, DeviceToken) and request.auth.shared:
        return request.auth.member
    member = getattr(request.user, "member", None) if request.user.is_authenticated else None
    return member if isinstance(member, Member) and may_sign_in(member, at=timezone.now()) else None


class IsMember(BasePermission):
    message = "Only members of a yard may do this."

    def has_permission(self, request: Request, view: APIView) -> bool:
        return member_of(request) is not None


class IsManager(BasePermission):
    message = "Only a manager of the yard may do this."

    def has_permission(self, request: Request, view: APIView) -> bool:
        member = member_of(request)
        return member is not None and member.is_manager


class ManagersWrite(IsManager):
    """Members read, managers write."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        if request.method in SAFE_METHODS:
            return member_of(request) is not None
        return super().has_permission(request, view)
