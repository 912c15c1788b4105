"""`Idempotency-Key` on POST: the same request twice has the effect, and the answer, of one.

After the IETF draft "The Idempotency-Key HTTP Header Field": the key with the same request again replays the
first answer; with another request it is refused (422); while the first is still under way it is a conflict
(409). The answer is kept for two days, in the transaction of the effect, so that neither exists without the other.
Where the draft leaves room: a request that was refused had no effect and frees its key, so that the mended request
may use it.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from django.db import IntegrityError, transaction
from django.utils import timezone
from rest_framework.exceptions import ValidationError
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from api.fields import Remedied
from api.models import KeptAnswer
from api.permissions import member_of
from api.problems import Conflict
from yard.models import Member
from yard.refusals import Refused

if TYPE_CHECKING:
    from rest_framework.views import APIView

    Base = APIView
else:
    Base = object

HEADER = "Idempotency-Key"
# Longer than any request may take; a server that died in the middle frees its key after this.
UNDER_WAY = timedelta(seconds=120)
KEPT_HEADERS = ("Location", "ETag")
KEPT_FOR = timedelta(hours=48)


class Idempotent(Base):
    """A view whose POST honours the header."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        member = member_of(request)
        handler: Callable[..., Response] | None = getattr(self, "post", None)
        if request.method != "POST" or handler is None or HEADER not in request.headers or member is None:
            return
        kept, replay = _begin(request, member)
        if replay is not None:
            setattr(self, "post", lambda *_args, **_kwargs: replay)  # noqa: B010
        else:
            setattr(self, "post", _keeping(handler, kept))  # noqa: B010


# A string of RFC 9651, section 3.3.3: printable ASCII in quotes, with \" and \\ for the two that would end it.
QUOTED = re.compile(r'"((?:[ !#-\[\]-~]|\\["\\])*)"')
# Without quotes, as many clients send it: no blank, quote, comma or backslash, which belong to other grammars.
BARE = re.compile(r"[!#-+\--\[\]-~]+")


def key_of(request: Request) -> str:
    """The header's key: a structured-field string in quotes as the draft has it, or bare."""
    raw = request.headers[HEADER].strip(" ")
    quoted = QUOTED.fullmatch(raw)
    key = re.sub(r"\\(.)", r"\1", quoted[1]) if quoted else raw if BARE.fullmatch(raw) else ""
    if not 1 <= len(key) <= 255:
        remedy = "send 1 to 255 printable ASCII characters in double quotes, a UUID for example"
        raise ValidationError({HEADER: [Remedied("is no key", remedy)]})
    return key


def fingerprint_of(request: Request) -> str:
    body = json.dumps(request.data, sort_keys=True, default=str, separators=(",", ":"))
    return hashlib.sha256(f"{request.method} {request.get_full_path()}\n{body}".encode()).hexdigest()


def _begin(request: Request, member: Member) -> tuple[KeptAnswer, Response | None]:
    key, fingerprint, now = key_of(request), fingerprint_of(request), timezone.now()
    try:
        with transaction.atomic():
            return KeptAnswer.objects.create(
                yard=member.yard,
                member=member,
                key=key,
                method=request.method or "",
                path=request.path[:300],
                fingerprint=fingerprint,
                started_at=now,
            ), None
    except IntegrityError:
        kept = KeptAnswer.objects.filter(member=member, key=key).first()
    if kept is None:  # the first request was refused in this very moment and freed the key
        raise Conflict("The same key was under way a moment ago; send the request again.")
    if kept.fingerprint != fingerprint:
        raise Refused(HEADER, "this key was used for another request", "use a new key for a new request")
    if kept.status is not None:
        return kept, _replay(kept)
    if kept.started_at > now - UNDER_WAY:
        raise Conflict("The first request with this key is still under way; ask again in a moment.")
    taken = KeptAnswer.objects.filter(pk=kept.pk, status=None, started_at=kept.started_at).update(started_at=now)
    if not taken:
        raise Conflict("The first request with this key is still under way; ask again in a moment.")
    kept.started_at = now
    return kept, None


def _keeping(handler: Callable[..., Response], kept: KeptAnswer) -> Callable[..., Response]:
    def post(request: Request, *args: Any, **kwargs: Any) -> Response:
        try:
            with transaction.atomic():
                response = handler(request, *args, **kwargs)
                if response.status_code < 400:
                    body = "" if response.data is None else JSONRenderer().render(response.data).decode()
                    headers = {name: response[name] for name in KEPT_HEADERS if response.has_header(name)}
                    KeptAnswer.objects.filter(pk=kept.pk).update(
                        status=response.status_code, body=body, headers=headers
                    )
        except BaseException:
            _free(kept)
            raise
        if response.status_code >= 400:
            _free(kept)
        return response

    return post


def _free(kept: KeptAnswer) -> None:
    KeptAnswer.objects.filter(pk=kept.pk, status=None).delete()


def _replay(kept: KeptAnswer) -> Response:
    response = Response(json.loads(kept.body) if kept.body else None, status=kept.status)
    for name, value in kept.headers.items():
        response[name] = value
    response["Idempotency-Replayed"] = "true"
    return response


def kept_answers_forget(*, yard_id: int, at: datetime) -> int:
    """Drop a yard's answers that are older than two days; a client that retries later asks a person first."""
    forgotten, _ = KeptAnswer.objects.of_yard(yard_id).filter(started_at__lt=at - KEPT_FOR).delete()
    return forgotten
