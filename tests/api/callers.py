"""Somebody who calls the API, and what is expected of a refusal."""

from __future__ import annotations

import json
from typing import Any

from django.test import Client

from tests.reference.problem_rules import broken_rules
from yard.models import Member
from yard.services.people import device_token_issue

V1 = "/api/v1/"


class Caller:
    """A device of a member, or nobody. Addresses are given below `/api/v1/`."""

    def __init__(self, member: Member | None = None, *, at: Any = None) -> None:
        self.member = member
        self.client = Client()
        self.headers: dict[str, str] = {}
        if member is not None:
            from django.utils import timezone

            _, key = device_token_issue(member=member, device_name="tablet", at=at or timezone.now())
            self.headers["Authorization"] = f"Bearer {key}"

    def send(self, method: str, address: str, document: Any = None, /, **headers: str) -> Any:
        """Send JSON. Headers are given as If_Match='…'."""
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        data, media_type = (b"", "") if document is None else (json.dumps(document).encode(), "application/json")
        full = address if address.startswith(("/", "http:")) else V1 + address
        answer = self.client.generic(method, full, data, media_type, headers={**self.headers, **named})
        return answer if not answer.streaming else read_out(answer)

    def get(self, address: str, /, **headers: str) -> Any:
        return self.send("GET", address, **headers)

    def post(self, address: str, document: Any = None, /, **headers: str) -> Any:
        return self.send("POST", address, document, **headers)

    def put(self, address: str, document: Any, /, **headers: str) -> Any:
        return self.send("PUT", address, document, **headers)

    def patch(self, address: str, document: Any, /, **headers: str) -> Any:
        return self.send("PATCH", address, document, **headers)

    def delete(self, address: str, /, **headers: str) -> Any:
        return self.send("DELETE", address, **headers)

    def results(self, address: str) -> list[dict[str, Any]]:
        answer = self.get(address)
        assert answer.status_code == 200, answer.content
        rows: list[dict[str, Any]] = answer.json()["results"]
        return rows

    def change(self, address: str, document: Any) -> Any:
        """PATCH the version that is there now."""
        return self.patch(address, document, If_Match=self.get(address)["ETag"])


def read_out(answer: Any) -> Any:
    """A streamed answer with its bytes in `body` and its file closed, as a server leaves it."""
    answer.body = b"".join(answer.streaming_content)
    for close in answer._resource_closers:
        close()
    return answer


def problem_of(answer: Any, status: int) -> dict[str, Any]:
    """The problem document of a refusal, held against RFC 9457."""
    assert answer.status_code == status, (answer.status_code, answer.content)
    document: dict[str, Any] = answer.json()
    assert broken_rules(document, http_status=status, media_type=answer["Content-Type"]) == []
    assert document["type"].startswith("/api/v1/problems/#")
    assert document["title"]
    assert document["detail"]
    return document


def fields_of(answer: Any, status: int) -> set[str]:
    """The fields that a refusal names; each says what was wrong and what would do."""
    errors = problem_of(answer, status)["errors"]
    for error in errors:
        assert error["problem"]
        assert error["remedy"]
    return {error["field"] for error in errors}


__all__ = ["V1", "Caller", "fields_of", "problem_of", "read_out"]
