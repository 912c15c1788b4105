"""What RFC 9457 asks of whoever sends a problem document, from standards/problem_details.json.

Tests of the API hold every refusal against `broken_rules`.
"""

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

TABLE: Final[dict[str, Any]] = json.loads(
    (Path(__file__).parent / "standards" / "problem_details.json").read_text()
)
_KINDS: Final[dict[str, type]] = {"string": str, "integer": int}
_RULES: Final = {rule["id"]: rule for rule in TABLE["rules"]}
_PHRASES: Final = {row["status"]: {row["title"], *row.get("also", [])} for row in TABLE["blank_titles"]}


def broken_rules(document: object, *, http_status: int, media_type: str) -> list[str]:
    """Rules of the table, by their id, that a response breaks. None is the good answer.

    Args:
        document: the body, read as JSON.
        http_status: of the response.
        media_type: its Content-Type, with or without parameters.
    """
    if media_type.split(";")[0].strip().lower() != TABLE["media_type"] or not isinstance(document, dict):
        return ["media-type"]
    broken = [
        "wrong-kind-ignored"
        for member in TABLE["members"]
        if member["name"] in document and not _is_of_kind(document[member["name"]], member)
    ]
    if not broken:
        broken += _rules_of_members(document, http_status)
    specified = {member["name"] for member in TABLE["members"]}
    if any(not re.fullmatch(_RULES["extension-names"]["pattern"], name) for name in document.keys() - specified):
        broken.append("extension-names")
    return broken


def _is_of_kind(value: object, member: Mapping[str, Any]) -> bool:
    if isinstance(value, bool) or not isinstance(value, _KINDS[member["json"]]):
        return False
    if isinstance(value, int):
        return bool(member["minimum"] <= value <= member["maximum"])
    return True


def _rules_of_members(document: Mapping[str, Any], http_status: int) -> list[str]:
    broken = []
    if document.get("status", http_status) != http_status:
        broken.append("status-equals-http-status")
    kind = document.get("type", TABLE["default_type"])
    if not _stands_alone(kind):
        broken.append("type-absolute-path")
    if not _stands_alone(document.get("instance", "/")):
        broken.append("instance-full-path")
    # A status that the table doesn't list has no phrase to compare with.
    phrases = _PHRASES.get(http_status)
    if kind == TABLE["default_type"] and phrases and document.get("title") not in phrases | {None}:
        broken.append("blank-title")
    return broken


def _stands_alone(uri: str) -> bool:
    parts = urlsplit(uri)
    return bool(parts.scheme) or parts.path.startswith("/")
