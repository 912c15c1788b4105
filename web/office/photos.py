"""A picture of the yard's, for its members."""

from __future__ import annotations

from django.http import Http404, HttpResponseBase
from django.views.decorators.http import require_safe

from inspections.models import Photo
from web.base.members import MemberRequest, for_members
from web.base.photos import photo_response


@require_safe
@for_members
def photo(request: MemberRequest, sha256: str, size: str) -> HttpResponseBase:
    """Found by its digest among the yard's own."""
    found = Photo.objects.of_yard(request.member.yard).filter(sha256=sha256).first()
    if found is None:
        raise Http404
    return photo_response(found, size)


__all__ = ["photo"]
