"""What the generated OpenAPI document can't see by itself: every refusal is a problem document."""

from __future__ import annotations

from typing import Any

from api.problems import KINDS, MEDIA_TYPE

PROBLEM = {
    "type": "object",
    "description": "A problem document, RFC 9457.",
    "required": ["type", "title", "status", "detail", "instance"],
    "properties": {
        "type": {"type": "string", "format": "uri-reference"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "instance": {"type": "string", "format": "uri-reference"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["field", "problem", "remedy"],
                "properties": {
                    "field": {"type": "string"},
                    "problem": {"type": "string"},
                    "remedy": {"type": "string"},
                },
            },
        },
    },
}
ALWAYS = {"bad-request", "not-signed-in", "not-allowed", "not-found", "not-acceptable", "too-many"}
WITH_BODY = ALWAYS | {"bad-input", "conflict", "too-large", "wrong-media-type"}
WITH_VERSION = WITH_BODY | {"changed-meanwhile", "say-which-version"}


def document_problems(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Add the problem answers that each method can give to every operation."""
    result.setdefault("components", {}).setdefault("schemas", {})["Problem"] = PROBLEM
    for path in result["paths"].values():
        for method, operation in path.items():
            kinds = (
                ALWAYS if method in {"get", "head"} else WITH_VERSION if method in {"put", "patch"} else WITH_BODY
            )
            for kind in kinds:
                status, title = KINDS[kind]
                operation["responses"].setdefault(
                    str(status.value),
                    {
                        "description": title,
                        "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
                    },
                )
    return result
