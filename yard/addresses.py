"""Addresses as they can be kept."""

from __future__ import annotations

import ipaddress


def address_kept(caller: str) -> str | None:
    """What tells a caller from others, if it is an address; None where what a proxy names is none."""
    try:
        return str(ipaddress.ip_address(caller))
    except ValueError:
        return None


__all__ = ["address_kept"]
