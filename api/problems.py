"""Every refusal is a problem document (RFC 9457) that names the field, what was wrong and what would do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from http import HTTPStatus
from typing import Any

import structlog
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.core.signals import got_request_exception
from django.db import IntegrityError
from django.http import Http404, HttpRequest, JsonResponse, UnreadablePostError
from django.utils.encoding import escape_uri_path
from django.views.decorators.csrf import csrf_exempt
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.views import set_rollback

from inspections.services.templates import EditedMeanwhile
from workshop.services.decisions import AlreadyDecided
from yard.refusals import Refused, RefusedMany

log = structlog.get_logger(__name__)

MEDIA_TYPE = "application/problem+json"
NOTHING_KEPT = "Nothing of this request was kept; the same request may be sent again."

# What each kind means. A problem's `type` is the address of its line in `/api/v1/problems/`.
KINDS: dict[str, tuple[HTTPStatus, str]] = {
    "bad-request": (HTTPStatus.BAD_REQUEST, "The request can't be read."),
    "bad-input": (HTTPStatus.UNPROCESSABLE_ENTITY, "Some of what was sent can't be taken."),
    "not-signed-in": (HTTPStatus.UNAUTHORIZED, "Nobody is signed in."),
    "not-allowed": (HTTPStatus.FORBIDDEN, "You may not do this."),
    "not-found": (HTTPStatus.NOT_FOUND, "There is nothing here that you may see."),
    "wrong-method": (HTTPStatus.METHOD_NOT_ALLOWED, "This address does not take that method."),
    "not-acceptable": (HTTPStatus.NOT_ACCEPTABLE, "This can't be answered in the media type asked for."),
    "conflict": (HTTPStatus.CONFLICT, "This contradicts what is already there."),
    "changed-meanwhile": (HTTPStatus.PRECONDITION_FAILED, "Somebody else changed this meanwhile."),
    "too-large": (HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "What was sent is too large."),
    "wrong-media-type": (HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "This address does not take that media type."),
    "say-which-version": (HTTPStatus.PRECONDITION_REQUIRED, "Say which version you are changing."),
    "too-many": (HTTPStatus.TOO_MANY_REQUESTS, "Too many requests."),
    "broken": (HTTPStatus.INTERNAL_SERVER_ERROR, "Something broke at the yard's end."),
}
WHAT_WOULD_DO = {
    "bad-request": "Look at the schema of the address; errors name what does not fit its types.",
    "bad-input": "It could be read, but a rule of the yard speaks against it; errors say which, and what would do.",
    "not-signed-in": "Sign the device in at /api/v1/devices/ and send its key as Authorization: Bearer.",
    "not-allowed": "Ask a manager of the yard.",
    "not-found": "Check the address. What belongs to another yard is answered in just this way.",
    "wrong-method": "The header Allow names the methods of this address.",
    "not-acceptable": "Ask for application/json, or leave Accept out.",
    "conflict": "Read again what is there, then decide whether the request still makes sense.",
    "changed-meanwhile": "Read it again, make the change there, and send it with the new ETag.",
    "too-large": "Send less at once; detail names the limit.",
    "wrong-media-type": "Send application/json, or for a photo its own media type.",
    "say-which-version": "Two people may be changing this: send If-Match with the ETag that reading it gave.",
    "too-many": "Wait as many seconds as the header Retry-After says.",
    "broken": "Nothing of the request was kept. Send it again; if it happens again, tell the yard.",
}
KIND_OF_STATUS = {status.value: kind for kind, (status, _) in KINDS.items()}

# What would do, by the code of a serializer's objection.
REMEDIES = {
    "required": "send this field",
    "null": "send a value, or leave the field out",
    "blank": "send at least one character",
    "invalid": "send a value of the kind the schema names",
    "invalid_choice": "send one of the values the schema lists",
    "does_not_exist": "send the id of something that exists in your yard",
    "incorrect_type": "send an id",
    "max_length": "send fewer characters",
    "min_length": "send more characters",
    "max_value": "send a smaller value",
    "min_value": "send a larger value",
    "max_digits": "send fewer digits",
    "max_decimal_places": "send fewer decimals",
    "max_whole_digits": "send a smaller number",
    "unique": "choose another value",
    "not_a_list": "send a list",
    "parse_error": "send valid JSON",
}


class Conflict(exceptions.APIException):
    status_code = HTTPStatus.CONFLICT
    default_detail = "This contradicts what is already there."
    default_code = "conflict"


class ChangedMeanwhile(exceptions.APIException):
    status_code = HTTPStatus.PRECONDITION_FAILED
    default_detail = "Somebody else changed this meanwhile; read it again and send your change with its new ETag."
    default_code = "changed_meanwhile"


class VersionRequired(exceptions.APIException):
    status_code = HTTPStatus.PRECONDITION_REQUIRED
    default_detail = "Send an If-Match header with the ETag of the version you are changing."
    default_code = "version_required"


def problem_document(
    kind: str, *, detail: str, instance: str, errors: Sequence[Mapping[str, str]] = (), **more: Any
) -> dict[str, Any]:
    status, title = KINDS[kind]
    document: dict[str, Any] = {
        "type": f"/api/v1/problems/#{kind}",
        "title": title,
        "status": status.value,
        "detail": detail,
        "instance": escape_uri_path(instance),
        **more,
    }
    if errors:
        document["errors"] = list(errors)
    return document


def problem_response(kind: str, *, detail: str, instance: str, **more: Any) -> Response:
    document = problem_document(kind, detail=detail, instance=instance, **more)
    return Response(document, status=document["status"], content_type=MEDIA_TYPE)


def refusal_errors(refusals: Sequence[Refused]) -> list[dict[str, str]]:
    return [{"field": each.field, "problem": each.problem, "remedy": each.remedy} for each in refusals]


def exception_handler(exc: Exception, context: dict[str, Any]) -> Response:
    """Turn whatever a view raised into a problem document; what nobody expected goes to the log and becomes 500."""
    instance = context["request"].path
    if isinstance(exc, RefusedMany):
        response = _refused(exc.refusals, instance)
    elif isinstance(exc, EditedMeanwhile):
        response = problem_response("changed-meanwhile", detail=str(exc), instance=instance)
    elif isinstance(exc, AlreadyDecided):
        response = problem_response("conflict", detail=str(exc), instance=instance, errors=refusal_errors([exc]))
    elif isinstance(exc, Refused):
        response = _refused([exc], instance)
    elif isinstance(exc, Http404):
        response = problem_response("not-found", detail="Nothing of your yard is here.", instance=instance)
    elif isinstance(exc, PermissionDenied):
        response = problem_response("not-allowed", detail=str(exc) or "You may not do this.", instance=instance)
    elif isinstance(exc, IntegrityError):
        # A rule of the database said no after every check had said yes: somebody else was first.
        response = problem_response(
            "conflict",
            detail="Somebody else was first, or a rule forbids it; read again and retry.",
            instance=instance,
        )
    elif isinstance(exc, exceptions.ValidationError):
        errors = list(_serializer_errors(exc.detail))
        response = problem_response("bad-request", detail=_count(errors), instance=instance, errors=errors)
    elif isinstance(exc, exceptions.APIException):
        kind = KIND_OF_STATUS.get(exc.status_code, "bad-request")
        more = getattr(exc, "more", {})
        response = problem_response(kind, detail=str(exc.detail), instance=instance, **more)
        response.status_code = exc.status_code
        if (wait := getattr(exc, "wait", None)) is not None:
            response["Retry-After"] = str(int(wait) + 1)
        if (challenge := getattr(exc, "auth_header", None)) is not None:
            response["WWW-Authenticate"] = challenge
    elif isinstance(exc, SuspiciousOperation):
        response = problem_response("bad-request", detail="This request can't be taken.", instance=instance)
    elif isinstance(exc, UnreadablePostError):
        response = problem_response(
            "bad-request", detail="The request broke off; send it again.", instance=instance
        )
    else:
        return _broken(exc, context)
    set_rollback()
    return response


def _broken(exc: Exception, context: dict[str, Any]) -> Response:
    """What nobody expected: told to the log and to whoever listens for it, as Django's own handler does."""
    request = context["request"]._request
    got_request_exception.send(sender=None, request=request)
    log.error("request_broke", path=request.path, exc_info=exc)
    set_rollback()
    return problem_response("broken", detail=NOTHING_KEPT, instance=request.path)


def _refused(refusals: Sequence[Refused], instance: str) -> Response:
    errors = refusal_errors(refusals)
    return problem_response("bad-input", detail=_count(errors), instance=instance, errors=errors)


def _count(errors: Sequence[Mapping[str, str]]) -> str:
    if len(errors) == 1:
        only = errors[0]
        return f"{only['field']}: {only['problem']}; {only['remedy']}"
    return f"{len(errors)} things can't be taken; each is named in errors."


def _serializer_errors(detail: Any, path: str = "") -> Iterator[dict[str, str]]:
    """Flatten a serializer's nested objections to one line each, with a path like `checks[2].unit`."""
    if isinstance(detail, Mapping):
        for name, inner in detail.items():
            if isinstance(name, int):  # the place in a list of texts or numbers
                here = f"{path}[{name}]"
            else:
                here = path if name == "non_field_errors" else f"{path}.{name}" if path else str(name)
            yield from _serializer_errors(inner, here)
    elif isinstance(detail, list):
        for index, inner in enumerate(detail):
            yield from _serializer_errors(inner, path if isinstance(inner, str) else f"{path}[{index}]")
    else:
        code = str(getattr(detail, "code", ""))
        remedy = getattr(detail, "remedy", REMEDIES.get(code, "see the schema at /api/v1/docs/"))
        yield {"field": path or "body", "problem": str(detail), "remedy": remedy}


@csrf_exempt
def no_such_address(request: HttpRequest, *_: object, **__: object) -> JsonResponse:
    detail = "The API has no such address; its addresses are at /api/v1/docs/ and end with a slash."
    document = problem_document("not-found", detail=detail, instance=request.path)
    return JsonResponse(document, status=404, content_type=MEDIA_TYPE)
