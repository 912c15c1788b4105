"""The template, version or draft of an address."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.urls import reverse

from inspections.models import Template, TemplateVersion
from web.base.members import MemberRequest, row_of
from web.templatetags.faying import moment

LARGEST_NUMBER = 32_767
DraftView = Callable[[MemberRequest, TemplateVersion], HttpResponse]
TemplateView = Callable[[MemberRequest, int], HttpResponse]


def template_of(request: MemberRequest, pk: int) -> Template:
    return row_of(Template.objects.select_related("component_class"), request.member, pk)


def versions(held: Template) -> Any:
    """The versions of a template, with all that a page tells of one."""
    return TemplateVersion.objects.filter(template=held).select_related(
        "yard", "template__component_class", "edited_by", "published_by"
    )


def version_of(request: MemberRequest, pk: int, number: int) -> TemplateVersion:
    held = template_of(request, pk)
    found: TemplateVersion | None = versions(held).filter(number=min(number, LARGEST_NUMBER)).first()
    if found is None:
        raise Http404
    return found


def draft_if_any(held: Template) -> TemplateVersion | None:
    found: TemplateVersion | None = versions(held).filter(published_at=None).first()
    return found


def for_draft(view: DraftView) -> TemplateView:
    """Hand in the draft of the address. Where it is gone, say so: perhaps a button was pressed twice."""

    @wraps(view)
    def found(request: MemberRequest, pk: int) -> HttpResponse:
        held = template_of(request, pk)
        draft = draft_if_any(held)
        if draft is not None:
            return view(request, draft)
        messages.info(request, what_became_of_it(held))
        return HttpResponseRedirect(reverse("web:template", args=[pk]))

    return found


def what_became_of_it(held: Template) -> str:
    """Why a template has no draft: its newest version says."""
    newest = versions(held).order_by("-number").first()
    if newest is None:
        raise Http404
    who = f" by {newest.published_by.name}" if newest.published_by is not None else ""
    at = moment(newest.published_at, held.yard)
    return f"There is no draft: version {newest.number} was published{who}, {at}, and nothing was begun since."


__all__ = ["draft_if_any", "for_draft", "template_of", "version_of", "versions", "what_became_of_it"]
