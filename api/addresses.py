"""Where a request came from, as far as the proxy in front of us can be believed."""

from __future__ import annotations

import ipaddress

from rest_framework.request import Request
from rest_framework.throttling import BaseThrottle


def address_of(request: Request) -> str | None:
    """The address of the client; None where what stands there is none."""
    text = BaseThrottle().get_ident(request)
    try:
        return str(ipaddress.ip_address(text))
    except ValueError:
        return None
