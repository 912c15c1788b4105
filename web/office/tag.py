"""What the QR code of a tag leads to."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import path, reverse
from django.views.decorators.http import require_safe

from web.base.members import MemberRequest, for_members
from yard.models import Spot
from yard.refusals import Refused
from yard.tag_codes import tag_check, tag_display


@require_safe
@for_members
def tag(request: MemberRequest, code: str) -> HttpResponse:
    """The page of the spot that carries it; the boats where none of the yard's does yet."""
    try:
        read = tag_check(code)
    except Refused:
        messages.warning(request, "That is no tag. Read the eight characters on the sticker again.")
        return HttpResponseRedirect(reverse("web:boats"))
    found = Spot.objects.of_yard(request.member.yard).filter(tag=read).first()
    if found is None:
        messages.info(
            request, f"Tag {tag_display(read)} is on no spot yet. Name it with the first finding at its place."
        )
        return HttpResponseRedirect(reverse("web:boats"))
    return HttpResponseRedirect(reverse("web:spot", args=[found.pk]))


urlpatterns = [path("t/<str:code>/", tag, name="tag")]

__all__ = ["tag", "urlpatterns"]
