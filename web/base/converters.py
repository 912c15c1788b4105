"""Parts of addresses."""

from __future__ import annotations


class Sha256Converter:
    """The name of a photo: 64 hexadecimal digits."""

    regex = "[0-9a-f]{64}"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


__all__ = ["Sha256Converter"]
