"""One template: its draft to be changed piece by piece, or a version to be read; its versions and their use."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inspections.models import TemplateVersion
from inspections.selectors.templates import version_uses
from inspections.services.templates import draft_drop, draft_start, template_rename
from inspections.templates.editing import CHECKS, STEPS
from web.base.members import MemberRequest, for_managers, for_members
from web.base.pages import page
from web.office.template_forms import ItemForm
from web.office.template_item_forms import form_asked
from web.office.template_rows import for_draft, template_of, version_of, versions
from web.office.template_told import item_views, read, words_of
from yard.refusals import Refused


@require_safe
@for_members
def template(request: MemberRequest, pk: int) -> HttpResponse:
    """The draft, else the newest version. A manager's address opens a step or a check to be changed in place."""
    held = template_of(request, pk)
    newest = versions(held).order_by("-number").first()
    if newest is None:
        raise Http404
    form = None
    if newest.published_at is None and request.member.is_manager:
        form = form_asked(newest, request.GET.dict())
    return template_page(request, newest, form=form)


@require_safe
@for_members
def version(request: MemberRequest, pk: int, number: int) -> HttpResponse:
    """A version as it stands."""
    return template_page(request, version_of(request, pk, number), only_read=True)


@require_POST
@for_managers
def start(request: MemberRequest, pk: int) -> HttpResponse:
    """Start the draft of the next version, or go on with the one there is."""
    draft_start(template=template_of(request, pk), by=request.member, at=timezone.now())
    return HttpResponseRedirect(reverse("web:template", args=[pk]))


@require_POST
@for_managers
@for_draft
def drop(request: MemberRequest, draft: TemplateVersion) -> HttpResponse:
    """Throw the draft away, and with the only one the template."""
    template = draft.template
    try:
        draft_drop(draft=draft, by=request.member, at=timezone.now())
    except Refused as refusal:
        messages.info(request, f"Nothing was thrown away: {refusal.problem}.")
        return HttpResponseRedirect(reverse("web:template", args=[template.pk]))
    messages.success(request, f"The draft of version {draft.number} of {template.title} is thrown away.")
    if draft.number == 1:
        return HttpResponseRedirect(reverse("web:templates"))
    return HttpResponseRedirect(reverse("web:template", args=[template.pk]))


@require_POST
@for_managers
def rename(request: MemberRequest, pk: int) -> HttpResponse:
    """Call the template otherwise."""
    held = template_of(request, pk)
    try:
        template_rename(template=held, title=request.POST.get("title", ""), by=request.member, at=timezone.now())
    except Refused as refusal:
        newest = versions(held).order_by("-number").first()
        if newest is None:
            raise Http404 from refusal
        return template_page(request, newest, refused=refusal)
    messages.success(request, "The template has its new title.")
    return HttpResponseRedirect(reverse("web:template", args=[pk]))


def template_page(
    request: MemberRequest,
    shown: TemplateVersion,
    *,
    form: ItemForm | None = None,
    refused: Refused | None = None,
    only_read: bool = False,
    status: int = 200,
) -> HttpResponse:
    """The page of a version: a draft's with its forms, a published one's to be read."""
    uses = version_uses(shown.template)
    items = item_views(shown, words_of(shown.yard, read(shown)))
    is_draft = shown.published_at is None
    return page(
        request,
        "template.html",
        {
            "here": "templates",
            "template": shown.template,
            "version": shown,
            "is_draft": is_draft,
            "editing": is_draft and not only_read and request.member.is_manager,
            "asked_by": next((use.version for use in uses if use.version.published_at is not None), None),
            "draft": next((use.version for use in uses if use.version.published_at is None), None),
            "next_number": uses[0].version.number + 1,
            "uses": uses,
            "steps": items[STEPS],
            "checks": items[CHECKS],
            "form": form,
            "typed_title": request.POST.get("title", shown.template.title),
            "form_key": "" if form is None else str(form["key"].value() or ""),
        },
        refused=refused,
        status=status,
    )


__all__ = ["drop", "rename", "start", "template", "template_page", "version"]
