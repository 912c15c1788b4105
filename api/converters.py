"""What may stand in an address: nothing else ever reaches a view or a query."""

from django.urls import register_converter


class Code:
    """A code of the yard's catalogue."""

    regex = "[A-Za-z0-9_.-]{1,40}"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


class Trade(Code):
    """The name of a trade, in words."""

    regex = r"[^/\x00-\x1f\x7f]{1,40}"


class Digest(Code):
    """A SHA-256 in small hexadecimal digits."""

    regex = "[0-9a-f]{64}"


def register() -> None:
    register_converter(Code, "code")
    register_converter(Trade, "trade")
    register_converter(Digest, "digest")
