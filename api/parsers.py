"""How a body is read: JSON within sane limits, or one picture as it is."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from http import HTTPStatus
from typing import IO, Any

from django.conf import settings
from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import BaseParser

from inspections.services.unsent import MOST_BYTES

MAX_JSON_BYTES = 2 * 1024 * 1024
MAX_DEPTH = 12


class TooLarge(APIException):
    status_code = HTTPStatus.REQUEST_ENTITY_TOO_LARGE
    default_detail = "What was sent is too large."
    default_code = "too_large"


class StrictJSONParser(BaseParser):
    """JSON that every part of the house can keep: bounded, in UTF-8, without NUL, lone surrogates or infinities."""

    media_type = "application/json"
    most_bytes = MAX_JSON_BYTES

    def parse(
        self, stream: IO[Any], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None
    ) -> Any:
        raw = _read(stream, self.most_bytes, "The JSON")
        try:
            document = json.loads(raw.decode("utf-8"), parse_constant=_no_constant, object_pairs_hook=_names_once)
        except RecursionError:
            raise ParseError("The JSON is nested too deeply.") from None
        except ValueError as wrong:
            raise ParseError(f"This is not JSON: {wrong}") from None
        _look_through(document, depth=0)
        return document


class UnsentParser(StrictJSONParser):
    """The file of what a tablet could not send; its photos are in it."""

    most_bytes = MOST_BYTES


class PhotoParser(BaseParser):
    """The bytes of one picture; what they are is told by looking at them, not by the header."""

    media_type = "image/*"

    def parse(  # type: ignore[override]
        self, stream: IO[Any], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None
    ) -> bytes:
        return _read(stream, settings.PHOTO_MAX_BYTES, "The photo")


def _read(stream: IO[Any], limit: int, what: str) -> bytes:
    raw: bytes = stream.read(limit + 1)
    if len(raw) > limit:
        raise TooLarge(f"{what} is larger than {limit // 1024:,} KiB; send less at once.")
    return raw


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is no number of JSON")


def _names_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    document = dict(pairs)
    if len(document) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"the name {twice[:80]!r} stands twice in one object")
    return document


def _look_through(value: Any, *, depth: int) -> None:
    if depth > MAX_DEPTH:
        raise ParseError(f"The JSON is nested deeper than {MAX_DEPTH} levels.")
    if isinstance(value, str):
        _text(value)
    elif isinstance(value, float):
        if not math.isfinite(value):
            raise ParseError("A number in the JSON is too large to be kept.")
    elif isinstance(value, dict):
        for name, inner in value.items():
            _text(name)
            _look_through(inner, depth=depth + 1)
    elif isinstance(value, list):
        for inner in value:
            _look_through(inner, depth=depth + 1)


def _text(text: str) -> None:
    if "\x00" in text:
        raise ParseError("A text in the JSON holds the character NUL, which can't be kept.")
    if not text.isascii() and any("\ud800" <= character <= "\udfff" for character in text):
        raise ParseError("A text in the JSON holds half a surrogate pair, which is no character.")
