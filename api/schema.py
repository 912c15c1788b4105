"""What the generated OpenAPI document can't see by itself: every refusal is a problem document, a sheet takes no
other fields, a decimal is text or a number, a device key is a bearer token."""

from __future__ import annotations

import inspect
from typing import Any

from drf_spectacular.extensions import (
    OpenApiAuthenticationExtension,
    OpenApiSerializerExtension,
    OpenApiSerializerFieldExtension,
)
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter

from api.fields import Amount, Sheet
from api.idempotency import HEADER, Idempotent
from api.problems import KINDS, MEDIA_TYPE
from api.queries import Count, Figure

IDEMPOTENCY_KEY = OpenApiParameter(
    HEADER,
    {"type": "string", "minLength": 1, "maxLength": 257, "example": '"8e03978e-40d5-43e8-bc93-6894a57f9324"'},
    OpenApiParameter.HEADER,
    description="The same request with the same key has the effect of one; see /api/v1/problems/#sending-twice.",
)


class DeviceKey(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    target_class = "api.authentication.DeviceTokenAuthentication"
    name = "deviceKey"

    def get_security_definition(self, auto_schema: AutoSchema) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer", "description": "The key of a signed-in device."}


class SheetSchema(OpenApiSerializerExtension):  # type: ignore[no-untyped-call]
    target_class = "api.fields.Sheet"
    match_subclasses = True

    def map_serializer(self, auto_schema: AutoSchema, direction: Any) -> dict[str, Any]:
        mapped = auto_schema._map_serializer(  # type: ignore[no-untyped-call]
            self.target, direction, bypass_extensions=True
        )
        schema: dict[str, Any] = mapped
        if schema.get("description") == inspect.getdoc(Sheet):
            del schema["description"]
        if direction == "request":
            schema["additionalProperties"] = False
        return schema


class AmountSchema(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]
    target_class = "api.fields.Amount"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: Any) -> dict[str, Any]:
        field: Amount = self.target
        assert field.max_digits is not None
        assert field.decimal_places is not None
        digits = max(field.max_digits - field.decimal_places, 1)
        sign = "" if field.min_value is not None and field.min_value >= 0 else "-?"
        fraction = rf"(\.[0-9]{{1,{field.decimal_places}}})?" if field.decimal_places else ""
        text = {"type": "string", "format": "decimal", "pattern": rf"^{sign}[0-9]{{1,{digits}}}{fraction}$"}
        if direction == "response":
            return text
        number: dict[str, Any] = {"type": "number"}
        if field.decimal_places:
            number["multipleOf"] = float(f"1e-{field.decimal_places}")
        if field.min_value is not None:
            number["minimum"] = float(field.min_value)
        if field.max_value is not None:
            number["maximum"] = float(field.max_value)
        return {"anyOf": [text, number]}


class FigureSchema(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]
    target_class = "api.queries.Figure"
    kind = "number"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: Any) -> dict[str, Any]:
        field: Figure | Count = self.target
        schema: dict[str, Any] = {"type": self.kind, "minimum": field.low, "maximum": field.high}
        if field.example is not None:
            schema["examples"] = [field.example]
        return schema


class CountSchema(FigureSchema):  # type: ignore[no-untyped-call]
    target_class = "api.queries.Count"
    kind = "integer"


PROBLEM = {
    "type": "object",
    "description": "A problem document, RFC 9457.",
    "required": ["type", "title", "status", "detail", "instance"],
    "properties": {
        "type": {"type": "string", "format": "uri-reference", "examples": ["/api/v1/problems/#bad-input"]},
        "title": {"type": "string", "examples": ["Some of what was sent can't be taken."]},
        "status": {"type": "integer", "examples": [422]},
        "detail": {"type": "string", "examples": ["beam_mm: is not less than the length; give both in mm"]},
        "instance": {"type": "string", "format": "uri-reference", "examples": ["/api/v1/boats/"]},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["field", "problem", "remedy"],
                "properties": {
                    "field": {"type": "string", "examples": ["beam_mm"]},
                    "problem": {"type": "string", "examples": ["is not less than the length"]},
                    "remedy": {"type": "string", "examples": ["give both in mm"]},
                },
            },
        },
    },
}
ABOUT = """
Wooden boats each spring: what was seen, what it means, what it takes, the owner's yes.

**Who is asking.** A device signs in once with `POST /api/v1/devices/` and sends the key it gets as
`Authorization: Bearer <key>`; the pages' own session does as well. Everything belongs to the member's yard; what
belongs to another one is not there (404).

**Lists** come in pages: follow `next` and `previous`. A parameter that a list does not know is refused.

**Two at once.** What two people edit has an `ETag`; changing it needs `If-Match` with the version that was read.

**Twice the same.** A POST may carry an `Idempotency-Key`; entries, photos and spots are known by ids and digests
that the sender makes. Sent again, they have the effect of one.

**Refusals** are problem documents (RFC 9457), explained at [/api/v1/problems/](/api/v1/problems/).

Moments are in UTC, lengths in mm, moisture in % of dry mass, money and other decimals are text.
"""

ALWAYS = {"bad-request", "bad-input", "not-signed-in", "not-allowed", "not-found", "not-acceptable", "too-many"}
WRITING = {"conflict", "too-large", "wrong-media-type"}
OF_A_VERSION = {"changed-meanwhile", "say-which-version"}


class OwnWords(AutoSchema):
    """Descriptions are what a view itself says, not what it has from its bases; every POST may carry a key."""

    def get_description(self) -> str:  # type: ignore[override]
        spoken = getattr(self.view, getattr(self.view, "action", None) or self.method.lower(), None)
        words = getattr(spoken, "__doc__", None) or type(self.view).__dict__.get("__doc__") or ""
        return inspect.cleandoc(words)

    def get_override_parameters(self) -> list[Any]:
        return [IDEMPOTENCY_KEY] if self.method == "POST" and isinstance(self.view, Idempotent) else []


def document_problems(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Add the problem answers that each method can give to every operation."""
    result["info"]["description"] = ABOUT.strip()
    result.setdefault("components", {}).setdefault("schemas", {})["Problem"] = PROBLEM
    for path in result["paths"].values():
        for method, operation in path.items():
            for kind in _kinds_of(method, operation):
                status, title = KINDS[kind]
                operation["responses"].setdefault(
                    str(status.value),
                    {
                        "description": title,
                        "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
                    },
                )
    return result


def _kinds_of(method: str, operation: dict[str, Any]) -> set[str]:
    kinds = ALWAYS if method in {"get", "head"} else ALWAYS | WRITING
    names = {parameter["name"] for parameter in operation.get("parameters", ())}
    return kinds | OF_A_VERSION if "If-Match" in names else kinds
