"""Who may do what: one question a class, combined where they are used."""

from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from yard.models import Member


def member_of(request: Request) -> Member | None:
    """The membership behind the request, or None for somebody who belongs to no yard (any more)."""
    member = getattr(request.user, "member", None) if request.user.is_authenticated else None
    return member if isinstance(member, Member) and member.left_on is None else None


class IsMember(BasePermission):
    message = "Only members of a yard may do this."

    def has_permission(self, request: Request, view: APIView) -> bool:
        return member_of(request) is not None


class IsManager(BasePermission):
    message = "Only a manager of the yard may do this."

    def has_permission(self, request: Request, view: APIView) -> bool:
        member = member_of(request)
        return member is not None and member.is_manager


class ReadsOnly(BasePermission):
    message = "This can only be read."

    def has_permission(self, request: Request, view: APIView) -> bool:
        return request.method in SAFE_METHODS


ManagersWrite = IsManager | (IsMember & ReadsOnly)
