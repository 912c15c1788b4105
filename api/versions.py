"""ETag and If-Match on things that two people edit: the second to save is told, and nothing is overwritten."""

from __future__ import annotations

import hashlib
from typing import Any

from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request

from api.problems import ChangedMeanwhile, VersionRequired


def etag_of(representation: Any) -> str:
    """A strong ETag of what a reader sees."""
    return f'"{hashlib.sha256(JSONRenderer().render(representation)).hexdigest()[:32]}"'


def if_match(request: Request, representation: Any) -> None:
    """Go on only if the client changes the version that is there now.

    Raises:
        VersionRequired: no If-Match was sent (428).
        ChangedMeanwhile: the version is another one (412).
    """
    header = request.headers.get("If-Match")
    if header is None:
        raise VersionRequired
    named = {tag.strip() for tag in header.split(",")}
    if "*" not in named and etag_of(representation) not in named:
        raise ChangedMeanwhile
