"""From a draft to the next version: what differs, a note on it, checks of other classes brought in, the preview."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from inspections.models import TemplateVersion
from inspections.selectors.templates import version_uses
from inspections.services.template_drafts import draft_copy
from inspections.services.templates import EditedMeanwhile, draft_publish, text_read
from inspections.templates.editing import CHECKS, STEPS
from web.base.forms import YardForm
from web.base.members import MemberRequest, for_managers, for_members
from web.base.pages import UNPROCESSABLE, page
from web.office.template_forms import in_words
from web.office.template_rows import draft_if_any, for_draft, template_of, version_of, versions
from web.office.template_told import comparison_view, item_views, read, words_of
from web.templatetags.faying import moment
from yard.refusals import Refused


class PublishForm(YardForm):
    """What changed, for whoever wonders next year."""

    note = forms.CharField(
        label="What changed, and why",
        max_length=200,
        help_text="Stands beside the version. Such as: sill added after the rot of last spring.",
        error_messages={"required": "is empty; say in a few words what changed and why."},
    )
    opened = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
@for_draft
def publish(request: MemberRequest, draft: TemplateVersion) -> HttpResponse:
    opened = draft.edited_at.isoformat()
    note = draft.note or ("first version" if draft.number == 1 else "")
    if request.method != "POST":
        return _publish_page(request, draft, PublishForm(initial={"note": note, "opened": opened}))
    form = PublishForm(request.POST)
    if not form.is_valid():
        return _publish_page(request, draft, form)
    try:
        if form.cleaned_data["opened"] != opened:
            raise _changed(draft)
        draft_publish(
            draft=draft,
            by=request.member,
            at=timezone.now(),
            edited_at=draft.edited_at,
            note=form.cleaned_data["note"],
        )
    except EditedMeanwhile:
        now = draft_if_any(draft.template) or draft
        return _publish_page(request, now, form, refused=_changed(now))
    except Refused as refusal:
        if refusal.field == "note":
            form.refuse(refusal)
            return _publish_page(request, draft, form)
        return _publish_page(request, draft, form, refused=in_words(refusal))
    earlier = sum(use.open_inspections for use in version_uses(draft.template))
    kept = f" {earlier} open inspection{' keeps its' if earlier == 1 else 's keep their'} own." if earlier else ""
    messages.success(
        request, f"Version {draft.number} is published. Inspections opened from now on ask by it.{kept}"
    )
    return HttpResponseRedirect(reverse("web:template", args=[draft.template_id]))


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
@for_draft
def copy(request: MemberRequest, draft: TemplateVersion) -> HttpResponse:
    """Tick checks and steps of another class, or of an earlier version of the same one."""
    sources = _sources(draft)
    asked = (request.POST if request.method == "POST" else request.GET).get("from", "")
    source = next((one for one in sources if str(one.pk) == asked), None)
    refused = None
    ticked = set(request.POST.getlist("check")), set(request.POST.getlist("step"))
    if request.method == "POST":
        try:
            if source is None:
                raise Refused("from", "is none of the yard's versions", "choose one of the list")
            came = draft_copy(
                draft=draft, source=source, checks=ticked[0], steps=ticked[1], by=request.member, at=timezone.now()
            )
        except Refused as refusal:
            refused = in_words(refusal)
        else:
            messages.success(request, _came(came, source))
            return HttpResponseRedirect(f"{reverse('web:template', args=[draft.template_id])}#checks")
    items = {STEPS: [], CHECKS: []} if source is None else item_views(source, words_of(draft.yard, read(source)))
    return page(
        request,
        "template_copy.html",
        {
            "here": "templates",
            "template": draft.template,
            "version": draft,
            "sources": sources,
            "source": source,
            "steps": [(item, item.key in ticked[1]) for item in items[STEPS]],
            "checks": [(item, item.key in ticked[0]) for item in items[CHECKS]],
        },
        refused=refused,
    )


@require_safe
@for_members
def compare(request: MemberRequest, pk: int) -> HttpResponse:
    """Two versions beside each other: those of the address, else the newest and the one before."""
    held = template_of(request, pk)
    rows = list(versions(held).order_by("-number"))
    by_number = {str(row.number): row for row in rows}
    later = by_number.get(request.GET.get("with", ""), rows[0])
    before = next((row for row in rows if row.number < later.number), rows[-1])
    earlier = by_number.get(request.GET.get("of", ""), before)
    return page(
        request,
        "template_compare.html",
        {
            "here": "templates",
            "template": held,
            "rows": rows,
            "earlier": earlier,
            "later": later,
            "found": comparison_view(held.yard, earlier, later),
        },
    )


@require_safe
@for_members
def preview(request: MemberRequest, pk: int, number: int) -> HttpResponse:
    """The tablet's own page, with an imagined boat that has one part of this class."""
    shown = version_of(request, pk, number)
    if not shown.checks:
        messages.info(request, "There is nothing to show on a tablet yet: add a check first.")
        return HttpResponseRedirect(reverse("web:template", args=[pk]))
    return page(request, "template_preview.html", {"template": shown.template, "version": shown})


def _publish_page(
    request: MemberRequest, draft: TemplateVersion, form: PublishForm, *, refused: Refused | None = None
) -> HttpResponse:
    """What differs from the version that is asked by now, and what stands in the way."""
    if refused is not None:
        # Having read what is there now, they may say it again.
        form = PublishForm({"note": form["note"].value() or "", "opened": draft.edited_at.isoformat()})
    before = versions(draft.template).filter(published_at__isnull=False).order_by("-number").first()
    try:
        text_read(draft, draft.opening_steps, draft.checks)
        in_the_way: tuple[Refused, ...] = ()
    except Refused as refusal:
        in_the_way = in_words(refusal).refusals
    return page(
        request,
        "template_publish.html",
        {
            "here": "templates",
            "template": draft.template,
            "version": draft,
            "before": before,
            "found": None if before is None else comparison_view(draft.yard, before, draft),
            "in_the_way": in_the_way,
            "form": form,
        },
        refused=refused,
        status=UNPROCESSABLE if form.errors else 200,
    )


def _came(things: int, source: TemplateVersion) -> str:
    if things == 0:
        return "Nothing was copied: all of it stands in the draft already, word for word."
    came = "1 thing was copied" if things == 1 else f"{things} things were copied"
    return f"{came} from {source.template.title}, to the end of each list."


def _changed(draft: TemplateVersion) -> Refused:
    who = draft.edited_by.name if draft.edited_by is not None else "somebody else"
    return Refused(
        "draft",
        f"{who} saved it at {moment(draft.edited_at, draft.yard)}, after you opened this page",
        "read below what differs now, and publish it if that is right",
    )


def _sources(draft: TemplateVersion) -> list[TemplateVersion]:
    """What can be copied from: each other class's newest published version, and the template's own earlier ones."""
    rows = (
        TemplateVersion.objects.of_yard(draft.yard)
        .filter(published_at__isnull=False)
        .select_related("template__component_class")
        .order_by("template__title", "template", "-number")
    )
    seen: set[int] = set()
    sources = []
    for row in rows:
        if row.template_id == draft.template_id or row.template_id not in seen:
            sources.append(row)
        seen.add(row.template_id)
    return sources


__all__ = ["PublishForm", "compare", "copy", "preview", "publish"]
