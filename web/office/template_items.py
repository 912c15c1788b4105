"""Changing a draft piece by piece. Whoever saves what another has changed meanwhile gets both texts, to choose."""

from __future__ import annotations

from datetime import datetime

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.models import Template, TemplateVersion
from inspections.services.template_drafts import draft_item_move, draft_item_remove, draft_item_save, was_published
from inspections.services.templates import EditedMeanwhile, draft_start
from inspections.templates.editing import CHECKS, STEPS, digest_of, item_of
from web.base.members import MemberRequest, for_managers
from web.base.pages import UNPROCESSABLE, page
from web.office.template import template_page
from web.office.template_conflict import both_told
from web.office.template_forms import ItemForm, in_words
from web.office.template_item_forms import ASKED, item_form
from web.office.template_rows import draft_if_any, for_draft, template_of, versions, what_became_of_it
from web.templatetags.faying import moment
from yard.refusals import Refused

CONFLICT = 409
PARTS = {name: part for part, name in ASKED.items()}


@require_POST
@for_managers
def save_step(request: MemberRequest, pk: int) -> HttpResponse:
    return _save(request, pk, STEPS)


@require_POST
@for_managers
def save_check(request: MemberRequest, pk: int) -> HttpResponse:
    return _save(request, pk, CHECKS)


@require_POST
@for_managers
@for_draft
def move(request: MemberRequest, draft: TemplateVersion) -> HttpResponse:
    """One place up or down."""
    part, key = _named(request)
    try:
        if part is None or request.POST.get("way") not in ("up", "down"):
            raise Refused("way", "is neither up nor down", "press one of the buttons")
        draft_item_move(
            draft=draft,
            part=part,
            key=key,
            places=-1 if request.POST["way"] == "up" else 1,
            edited_at=_moment(request.POST.get("opened", "")),
            by=request.member,
            at=timezone.now(),
        )
    except EditedMeanwhile:
        now = draft_if_any(draft.template) or draft
        return template_page(request, now, refused=_saved_by_others(now))
    except Refused as refusal:
        return template_page(request, draft, refused=in_words(refusal))
    return _back(draft, part, key)


@require_POST
@for_managers
@for_draft
def remove(request: MemberRequest, draft: TemplateVersion) -> HttpResponse:
    """Take a step or a check out of the draft."""
    part, key = _named(request)
    item = None if part is None else item_of(getattr(draft, part), key)
    try:
        if part is None:
            raise Refused("part", "is neither a step nor a check", "press one of the buttons")
        draft_item_remove(
            draft=draft,
            part=part,
            key=key,
            seen=request.POST.get("seen", ""),
            by=request.member,
            at=timezone.now(),
        )
    except EditedMeanwhile:
        told = Refused(
            ASKED[part or CHECKS],
            f"{_who(draft)} has changed it since you opened the page",
            "read it below, and take it out if it still is to go",
        )
        return template_page(request, draft, refused=told)
    except Refused as refusal:
        return template_page(request, draft, refused=in_words(refusal))
    what = "step" if part == STEPS else "check"
    if item is None or was_published(draft, part, key):
        messages.success(request, f"The {what} is out of the draft. Inspections that are open already keep it.")
    else:
        # Nothing else will ever tell of it: no version has it, and what is compared are versions.
        said = item["text" if part == STEPS else "prompt"]
        messages.success(
            request,
            f"“{said}” is out of the draft. It had never been published, so no version and no comparison has it.",
        )
    return HttpResponseRedirect(f"{reverse('web:template', args=[draft.template_id])}#{what}s")


def _save(request: MemberRequest, pk: int, part: str) -> HttpResponse:
    held = template_of(request, pk)
    draft = draft_if_any(held)
    if draft is None and request.POST.get("start") != "yes":
        return _without_draft(request, held, part)
    if draft is None:
        draft_start(template=held, by=request.member, at=timezone.now())
        draft = draft_if_any(held)
    if draft is None:
        raise Http404
    key = request.POST.get("key", "")
    item = item_of(getattr(draft, part), key) if key else None
    form = item_form(draft, part, item, request.POST)
    if not form.is_valid():
        return template_page(request, draft, form=form, status=UNPROCESSABLE)
    try:
        key = draft_item_save(
            draft=draft,
            part=part,
            said=form.said(),
            key=key or None,
            # Without it the sender has read that the item is gone, and puts it back.
            seen=form.cleaned_data["seen"] or None,
            by=request.member,
            at=timezone.now(),
        )
    except EditedMeanwhile:
        return _both(request, draft_if_any(held) or draft, part, key)
    except Refused as refusal:
        keys = [one["key"] for one in getattr(draft, part)]
        form.refuse_at(refusal, keys.index(key) if key in keys else len(keys))
        return template_page(request, draft, form=form, status=UNPROCESSABLE)
    _tell(request, draft, form)
    return _back(draft, part, key)


def _tell(request: MemberRequest, draft: TemplateVersion, form: ItemForm) -> None:
    """That it is kept, and where somebody else has been at the draft too, that."""
    what = "step" if form.part == STEPS else "check"
    told = f"The {what} is kept in the draft of version {draft.number}."
    if draft.edited_by_id != request.member.pk and draft.edited_at.isoformat() != form.cleaned_data["opened"]:
        told += f" {_who(draft)} saved the draft as well while you wrote, and not this {what}: look over the rest."
    messages.success(request, told)


def _both(request: MemberRequest, draft: TemplateVersion, part: str, key: str) -> HttpResponse:
    """What the other made of it beside what was typed here, which can be changed further and put in its place."""
    item = item_of(getattr(draft, part), key)
    form = item_form(draft, part, item, request.POST, seen="" if item is None else digest_of(item))
    form.is_valid()
    return page(
        request,
        "template_conflict.html",
        {
            "here": "templates",
            "template": draft.template,
            "version": draft,
            "form": form,
            "what": "step" if part == STEPS else "check",
            "who": _who(draft),
            "both": both_told(draft, part, item, form),
        },
        status=CONFLICT,
    )


def _without_draft(request: MemberRequest, held: Template, part: str) -> HttpResponse:
    """The draft was published or thrown away while somebody wrote: their text stays before them, for a new one."""
    newest = versions(held).order_by("-number").first()
    if newest is None:
        raise Http404
    item = item_of(getattr(newest, part), request.POST.get("key", ""))
    form = item_form(newest, part, item, request.POST)
    form.is_valid()
    return page(
        request,
        "template_conflict.html",
        {
            "here": "templates",
            "template": held,
            "version": newest,
            "form": form,
            "what": "step" if part == STEPS else "check",
            "no_draft": what_became_of_it(held),
            "next_number": newest.number + 1,
        },
        status=CONFLICT,
    )


def _named(request: MemberRequest) -> tuple[str | None, str]:
    return PARTS.get(request.POST.get("part", "")), request.POST.get("key", "")


def _moment(text: str) -> datetime:
    """When the draft had been saved that the sender saw; what is none stands for a page of another time."""
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        found = None
    return (
        found
        if found is not None and found.tzinfo is not None
        else datetime.min.replace(tzinfo=timezone.get_current_timezone())
    )


def _who(draft: TemplateVersion) -> str:
    return draft.edited_by.name if draft.edited_by is not None else "Somebody else"


def _saved_by_others(draft: TemplateVersion) -> Refused:
    return Refused(
        "draft",
        f"{_who(draft)} saved it at {moment(draft.edited_at, draft.yard)}, and the order may be another",
        "it stands below as it is now; look, and move it again",
    )


def _back(draft: TemplateVersion, part: str | None, key: str) -> HttpResponse:
    address = reverse("web:template", args=[draft.template_id])
    return HttpResponseRedirect(f"{address}#{ASKED[part or CHECKS]}-{key}")


__all__ = ["move", "remove", "save_check", "save_step"]
