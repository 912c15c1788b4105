"""One finding: what was seen, what it means and why, a manager's word against it, and what is done about it."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inspections.judgement.vocabulary import Priority
from inspections.models import Assessment, Entry, Finding, FindingJoin, Overruling
from inspections.services.overruling import finding_overrule, overruling_withdraw
from inspections.services.second_look_asks import asks_not_answered
from web.base.forms import DayField, TextField, YardForm
from web.base.members import MemberRequest, for_managers, for_members, row_of
from web.base.pages import UNPROCESSABLE, page
from web.office.entry_views import entry_views
from web.office.place_marks import spot_plan
from workshop.models import Job, Treatment
from workshop.services.quote_words import place_of
from workshop.services.standing import standing_of
from yard.refusals import Refused


class OverruleForm(YardForm):
    """A manager's word against the rules."""

    priority = forms.ChoiceField(label="Priority", choices=Priority.choices())
    due_back_on = DayField(label="Due back by")
    reason = TextField(label="Reason", max_length=2000, help_text="The owner reads it in the report.")


@require_safe
@for_members
def finding(request: MemberRequest, pk: UUID) -> HttpResponse:
    return finding_shown(request, finding_of(request, pk))


@require_POST
@for_managers
def overrule(request: MemberRequest, pk: UUID) -> HttpResponse:
    """Say otherwise than the computed judgement."""
    held = finding_of(request, pk)
    form = OverruleForm(request.POST, auto_id="overrule-%s")
    if form.is_valid():
        try:
            finding_overrule(finding=held, by=request.member, at=timezone.now(), **form.cleaned_data)
        except Refused as refusal:
            if held.ended_at is not None:  # the form is not there any more
                return finding_shown(request, held, refused=refusal)
            form.refuse(refusal)
        else:
            messages.success(request, "Your word stands now, beside what the rules say.")
            return HttpResponseRedirect(reverse("web:finding", args=[held.pk]))
    return finding_shown(request, held, form=form, status=UNPROCESSABLE)


@require_POST
@for_managers
def withdraw(request: MemberRequest, pk: UUID) -> HttpResponse:
    """Let the computed judgement hold again."""
    held = finding_of(request, pk)
    standing = Overruling.objects.filter(finding=held, withdrawn_at__isnull=True).first()
    if standing is not None:
        overruling_withdraw(overruling=standing, at=timezone.now())
        messages.success(request, "What the rules say holds again.")
    return HttpResponseRedirect(reverse("web:finding", args=[held.pk]))


def finding_of(request: MemberRequest, pk: UUID) -> Finding:
    """The finding of the address, with all that its page tells."""
    rows = Finding.objects.select_related(
        "boat", "component", "spot__component", "inspection", "entry__component", "entry__spot", "entry__author",
        "entry__yard",
    )  # fmt: skip
    return row_of(rows, request.member, pk)


def finding_shown(
    request: MemberRequest,
    held: Finding,
    *,
    form: OverruleForm | None = None,
    refused: Refused | None = None,
    status: int = 200,
) -> HttpResponse:
    yard = request.member.yard
    standing = standing_of([held]).get(held.pk)
    place = place_of(held.component, held.entry.elsewhere, held.spot)
    (seen,) = entry_views(yard, [(place, held.entry)])
    assessments = list(Assessment.objects.of_yard(yard).filter(finding=held).order_by("-made_at"))
    may_overrule = request.member.is_manager and held.ended_at is None and standing is not None
    if form is None and may_overrule and standing is not None:
        form = OverruleForm(
            auto_id="overrule-%s",
            initial={"priority": standing.priority.value, "due_back_on": standing.due_back_on},
        )
    codes = standing.assessment.treatments if standing is not None else []
    names = dict(Treatment.objects.of_yard(yard).filter(code__in=codes).values_list("code", "name"))
    return page(
        request,
        "finding.html",
        {
            "here": "findings",
            "finding": held,
            **_of_the_office(held),
            "place": place,
            "seen": seen,
            "standing": standing,
            "advised": [names.get(code, code) for code in codes],
            "plan": spot_plan(held.boat, held.spot, str(standing.priority.value) if standing else "")
            if held.spot is not None
            else None,
            "earlier_assessments": [each for each in assessments if each.superseded_at is not None],
            "overrulings": list(
                Overruling.objects.of_yard(yard).filter(finding=held).select_related("by").order_by("-made_at")
            ),
            "form": form if may_overrule else None,
            "jobs": list(Job.objects.of_yard(yard).filter(operations__finding=held).distinct().order_by("id")),
            "earlier_entries": _chain(held.entry),
            "other_years": list(
                Finding.objects.of_yard(yard)
                .filter(spot=held.spot_id)
                .exclude(pk=held.pk)
                .select_related("inspection")
                .order_by("-found_at")
            )
            if held.spot_id is not None
            else [],
            "verifications": list(
                held.verifications.select_related("by", "second_look_by", "second_look__by").order_by("-turn")
            ),
        },
        refused=refused,
        status=status,
    )


def _of_the_office(held: Finding) -> dict[str, Any]:
    """What the office has made of a finding: whether it is new, who was asked back, what it is joined to."""
    acknowledged = list(held.acknowledgements.select_related("by"))
    others = Finding.objects.of_yard(held.yard_id).filter(component=held.component_id, state__in=Finding.LASTING)
    joins = FindingJoin.objects.filter(undone_at__isnull=True).select_related("by")
    return {
        "acknowledged": acknowledged,
        "is_new": held.state in (*Finding.LASTING, Finding.State.JOINED)
        and all(each.entry_id != held.entry_id for each in acknowledged),
        "asked": asks_not_answered([held.pk]).get(held.pk),
        "join": joins.filter(joined=held).first(),
        "doubles": list(joins.filter(kept=held).select_related("by", "joined__entry__author")),
        "others": list(
            others.filter(boat=held.boat_id)
            .exclude(pk=held.pk)
            .select_related("spot", "entry", "inspection")
            .order_by("-found_at")
        )
        if held.ended_at is None and held.component_id is not None
        else [],
    }


def _chain(entry: Entry) -> list[Entry]:
    """The entries that this one took the place of, the newest first."""
    chain: list[Entry] = []
    before = entry.supersedes
    while before is not None and before not in chain:
        chain.append(before)
        before = before.supersedes
    return chain


__all__ = ["finding", "finding_of", "finding_shown", "overrule", "withdraw"]
