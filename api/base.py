"""What every view set of the API shares: it sees the member's own yard and nothing else."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from django.db.models import Model, QuerySet
from rest_framework.exceptions import NotAuthenticated
from rest_framework.views import APIView
from rest_framework.viewsets import GenericViewSet

from api.idempotency import Idempotent
from api.permissions import member_of
from yard.models import DeviceToken, Member, Yard

if TYPE_CHECKING:
    from yard.models import YardQuerySet

ModelT = TypeVar("ModelT", bound=Model)


class OfMember(Idempotent, APIView):
    """A view for members of a yard; POST may carry an Idempotency-Key."""

    @property
    def member(self) -> Member:
        member = member_of(self.request)
        if member is None:
            raise NotAuthenticated
        return member

    @property
    def yard(self) -> Yard:
        return self.member.yard

    @property
    def device(self) -> DeviceToken | None:
        return self.request.auth if isinstance(self.request.auth, DeviceToken) else None


class YardViewSet(OfMember, GenericViewSet[ModelT]):
    """A view set over rows of the member's yard. The one place where the API narrows a query to a yard."""

    lookup_value_regex = "[^/.]+"

    def get_queryset(self) -> QuerySet[ModelT]:
        rows: YardQuerySet[ModelT] = super().get_queryset()  # type: ignore[assignment]
        if getattr(self, "swagger_fake_view", False):  # the schema is drawn without a request
            return rows.none()
        return rows.of_yard(self.yard)

    def get_serializer_context(self) -> dict[str, Any]:
        context = dict(super().get_serializer_context())
        if not getattr(self, "swagger_fake_view", False):
            context["yard"] = self.yard
        return context
