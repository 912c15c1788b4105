"""Where a request comes from."""

from __future__ import annotations

from django.http import HttpRequest
from rest_framework.throttling import BaseThrottle

from yard.addresses import address_kept


def caller_of(request: HttpRequest) -> str:
    """What tells one caller from another: the address, behind a trusted proxy the one that it names."""
    return str(BaseThrottle().get_ident(request))  # type: ignore[arg-type]  # it reads META alone


def address_of(request: HttpRequest) -> str | None:
    """The caller's address as it can be kept, or None where what the proxy names is none."""
    return address_kept(caller_of(request))


__all__ = ["address_of", "caller_of"]
