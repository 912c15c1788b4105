"""The list of templates: what is asked of each class of part, and by which version."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inspections.selectors.templates import TemplateRow, template_rows
from inspections.services.templates import template_create
from web.base import downloads
from web.base.forms import YardForm
from web.base.members import MemberRequest, for_managers, for_members
from web.base.pages import page
from web.office.templates_asked import ORDERS, STATES, asked_of
from yard.models import ComponentClass, Yard
from yard.refusals import Refused

ROWS_A_PAGE = 100
HEAD = (
    "class", "name", "group", "version", "published_on", "published_by", "draft", "draft_saved_on",
    "draft_saved_by", "open_inspections",
)  # fmt: skip


class BeginForm(YardForm):
    component_class = forms.ChoiceField(
        label="Class of part",
        error_messages={
            "required": "is not chosen; choose one of the list.",
            "invalid_choice": "is not one without a template; choose one of the list.",
        },
    )
    title = forms.CharField(
        label="Title", max_length=120, required=False, help_text="Empty: the name of the class."
    )

    def __init__(self, rows: list[TemplateRow], *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        bare = [row.component_class for row in rows if row.template is None]
        self.fields["component_class"].choices = [(one.code, one.name) for one in bare]  # type: ignore[attr-defined]


@require_safe
@for_members
def templates(request: MemberRequest) -> HttpResponse:
    """Every class; the address narrows and sorts them."""
    return _shown(request)


@require_safe
@for_members
def spreadsheet(request: MemberRequest) -> HttpResponse:
    """What the address asks for, as CSV."""
    yard = request.member.yard
    rows = template_rows(yard)
    return downloads.spreadsheet(
        HEAD, (_cells(row, yard) for row in asked_of(request.GET, rows).rows(rows)), "templates.csv"
    )


@require_POST
@for_managers
def begin(request: MemberRequest) -> HttpResponse:
    """Begin a template for a class that has none."""
    form = BeginForm(template_rows(request.member.yard), request.POST)
    if not form.is_valid():
        return _shown(request, form)
    held = ComponentClass.objects.of_yard(request.member.yard).get(code=form.cleaned_data["component_class"])
    try:
        draft = template_create(
            component_class=held,
            title=form.cleaned_data["title"] or held.name,
            by=request.member,
            at=timezone.now(),
        )
    except Refused as refusal:
        form.refuse(refusal)
        return _shown(request, form)
    messages.success(request, "The template is begun. Add its checks, or copy them from a class that is like it.")
    return HttpResponseRedirect(reverse("web:template", args=[draft.template_id]))


def _shown(request: MemberRequest, form: BeginForm | None = None) -> HttpResponse:
    rows = template_rows(request.member.yard)
    asked = asked_of(request.GET, rows)
    fitting = asked.rows(rows)
    sheet = Paginator(fitting, ROWS_A_PAGE).get_page(request.GET.get("page"))
    bare = any(row.template is None for row in rows)
    return page(
        request,
        "templates.html",
        {
            "here": "templates",
            "rows": rows,
            "sheet": sheet,
            "asked": asked,
            "groups": sorted({row.component_class.group for row in rows if row.component_class.group}),
            "states": [(key, told) for key, (told, _) in STATES.items()],
            "orders": [(key, told) for key, (told, _) in ORDERS.items()],
            "drafts": sum(row.draft is not None for row in rows),
            "form": (form or BeginForm(rows)) if bare and request.member.is_manager else None,
        },
        status=422 if form is not None and form.errors else 200,
    )


def _cells(row: TemplateRow, yard: Yard) -> tuple[str, ...]:
    published, draft = row.published, row.draft
    return (
        row.component_class.code,
        row.component_class.name,
        row.component_class.group,
        "" if published is None else str(published.number),
        "" if published is None else downloads.day_cell(published.published_at, yard),
        "" if published is None or published.published_by is None else published.published_by.name,
        "" if draft is None else str(draft.number),
        "" if draft is None else downloads.day_cell(draft.edited_at, yard),
        "" if draft is None or draft.edited_by is None else draft.edited_by.name,
        str(row.open_inspections),
    )


__all__ = ["begin", "spreadsheet", "templates"]
