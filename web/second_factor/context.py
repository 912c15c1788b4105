"""What the office's frame tells of whoever is signed in, on pages whose views are not ours."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest


def of_member(request: HttpRequest) -> dict[str, Any]:
    member = getattr(request, "member", None)
    return {} if member is None else {"member": member, "yard": member.yard, "here": "log-in"}


__all__ = ["of_member"]
