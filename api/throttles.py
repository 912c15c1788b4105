"""Rates that keep one runaway device from starving the yard; counted in the shared cache."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rest_framework.request import Request
from rest_framework.throttling import AnonRateThrottle, SimpleRateThrottle

from api.permissions import member_of

if TYPE_CHECKING:
    from rest_framework.views import APIView


class MemberThrottle(SimpleRateThrottle):
    scope = "member"

    def get_cache_key(self, request: Request, view: APIView) -> str | None:
        member = member_of(request)
        ident = f"m{member.pk}" if member is not None else self.get_ident(request)
        return self.cache_format % {"scope": self.scope, "ident": ident}


class SignInThrottle(AnonRateThrottle):
    """By address, whoever is signed in: guessing passwords must stay slow."""

    scope = "sign_in"

    def get_cache_key(self, request: Request, view: APIView) -> str:
        return self.cache_format % {"scope": self.scope, "ident": self.get_ident(request)}
