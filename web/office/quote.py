"""One quote from draft to decision: ticking jobs, looking it over, sending it, and what came back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from django.contrib import messages
from django.db.models import Count, Max
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone, translation
from django.views.decorators.http import require_POST, require_safe

from web.base.drawings import drawing_of, ground_at
from web.base.forms import DayField, YardForm, first_refusal
from web.base.members import MemberRequest, for_managers, for_members, row_of
from web.base.pages import page
from web.office.job_lines import job_lines
from web.office.quote_building import build_lines, draft_build, offered_findings
from web.owner.language import Reader, office_reader, reader_of
from web.owner.questions import Asked, asked_of
from workshop.models import Decision, Job, JobNeed, OwnerLink, Quote, Report, Treatment
from workshop.models.quotes import Verdict
from workshop.report.making import report_preview
from workshop.report.plan import Ground
from workshop.selectors.quote_history import quote_history
from workshop.services.links import link_reissue, link_revoke
from workshop.services.quotes import (
    Prepared,
    quote_document,
    quote_prepare,
    quote_send,
    quote_supersede,
    quote_withdraw,
)
from workshop.services.threads import reply_write
from yard.refusals import Refused


class DraftForm(YardForm):
    """What can be changed in a draft besides its jobs."""

    valid_until = DayField(label="Open until")


@require_safe
@for_members
def quote(request: MemberRequest, pk: int) -> HttpResponse:
    return shown(request, held_quote(request, pk))


@require_safe
@for_members
def preview(request: MemberRequest, pk: int) -> HttpResponse:
    """Exactly what the decider will see, or sees, without the buttons."""
    held = held_quote(request, pk)
    reader = reader_of(request, held.boat.decider, held.yard)
    her = drawing_of(held.boat)
    ground = None if her is None else ground_at(reverse("api:boat-drawing", args=[held.boat_id]), her)
    try:
        with translation.override(reader.language):
            asked, digest = _document(held, reader, ground)
    except Refused as refusal:
        return shown(request, held, refused=refusal)
    context = {
        "asked": asked, "quote": held, "yard": held.yard, "member": request.member, "preview": True,
        "may_answer": False, "digest": digest, "reader": reader, "tag": reader.tag,
    }  # fmt: skip
    with translation.override(reader.language):
        return render(request, "web/office/preview.html", context)


@require_POST
@for_managers
def change(request: MemberRequest, pk: int) -> HttpResponse:
    """Keep the ticked jobs, make those of the ticked findings, and set the last day."""
    held = held_quote(request, pk)
    form = DraftForm(request.POST)

    def keep(now: datetime) -> None:
        if not form.is_valid():
            raise first_refusal(form)
        last_day = form.cleaned_data["valid_until"]
        draft_build(held, request.POST, by=request.member, at=now, valid_until=last_day)

    return done(request, held, keep, "Kept.")


@require_POST
@for_managers
def send(request: MemberRequest, pk: int) -> HttpResponse:
    """Freeze it and mail it to the decider, if it still is what the sender has seen."""
    held = held_quote(request, pk)
    if held.state == Quote.State.SENT:  # a second click
        return HttpResponseRedirect(_address(held))

    def out(now: datetime) -> None:
        quote_send(quote=held, by=request.member, at=now, seen_digest=request.POST.get("seen_digest", "") or "none")

    told = f"Sent. The report is being made, and {held.boat.decider.name} gets it with the link by mail."
    return done(request, held, out, told)


@require_POST
@for_managers
def withdraw(request: MemberRequest, pk: int) -> HttpResponse:
    """Take it back; what was decided stays decided."""
    held = held_quote(request, pk)

    def back(now: datetime) -> None:
        quote_withdraw(quote=held, at=now)

    return done(request, held, back, "Taken back.")


@require_POST
@for_managers
def revise(request: MemberRequest, pk: int) -> HttpResponse:
    """Take it back and draw up a new one with what is not decided yet."""
    held = held_quote(request, pk)
    try:
        new = quote_supersede(quote=held, by=request.member, at=timezone.now())
    except Refused as refusal:
        return shown(request, held, refused=refusal)
    messages.success(request, f"Quote {held.number} is taken back; this is its successor.")
    return HttpResponseRedirect(_address(new))


@require_POST
@for_managers
def revoke_link(request: MemberRequest, pk: int) -> HttpResponse:
    """Shut the link."""
    held = held_quote(request, pk)

    def shut(now: datetime) -> None:
        for link in OwnerLink.objects.filter(quote=held, revoked_at__isnull=True):
            link_revoke(link=link, by=request.member, at=now)

    return done(request, held, shut, "The link opens nothing any more.")


@require_POST
@for_managers
def reissue_link(request: MemberRequest, pk: int) -> HttpResponse:
    """Shut the link and mail a new one."""
    held = held_quote(request, pk)

    def anew(now: datetime) -> None:
        link_reissue(quote=held, by=request.member, at=now)

    return done(request, held, anew, "A new link is on its way by mail.")


@require_POST
@for_managers
def reply(request: MemberRequest, pk: int, line: int) -> HttpResponse:
    """Answer what the decider asked about one job."""
    held = held_quote(request, pk)
    found = held.lines.filter(pk=line).first()
    if found is None:
        raise Http404
    try:
        reply_write(line=found, text=request.POST.get("text", ""), by=request.member, at=timezone.now())
    except Refused as refusal:
        return shown(request, held, refused=refusal, reply_line=line)
    messages.success(request, f"Answered; {held.boat.decider.name} gets it by mail and sees it on the page.")
    return HttpResponseRedirect(_address(held))


@require_safe
@for_members
def report(request: MemberRequest, pk: int) -> HttpResponseBase:
    """The PDF as the decider got it."""
    held = held_quote(request, pk)
    found = Report.objects.filter(quote=held).first()
    if found is None:
        raise Http404
    response = FileResponse(found.file.open("rb"), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="report-{held.number}.pdf"'
    return response


@require_safe
@for_members
def report_draft(request: MemberRequest, pk: int) -> HttpResponse:
    """The PDF as the decider would get it now, marked as not sent."""
    held = held_quote(request, pk)
    try:
        rendered = report_preview(held, at=timezone.now())
    except Refused as refusal:
        return shown(request, held, refused=refusal)
    response = HttpResponse(rendered.pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="preview-{held.number}.pdf"'
    return response


def held_quote(request: MemberRequest, pk: int) -> Quote:
    rows = Quote.objects.select_related(
        "yard", "boat__decider_owner", "boat__decider_member__user", "inspection__yard", "created_by", "sent_by",
        "adds_to", "replaces", "replaced_by",
    )  # fmt: skip
    return row_of(rows, request.member, pk)


def _address(held: Quote) -> str:
    return reverse("web:quote", args=[held.pk])


def done(request: MemberRequest, held: Quote, change: Callable[[datetime], None], told: str) -> HttpResponse:
    """Do it and lead back to the page, or say there why it was not done."""
    try:
        change(timezone.now())
    except Refused as refusal:
        return shown(request, held_quote(request, held.pk), refused=refusal)
    messages.success(request, told)
    return HttpResponseRedirect(_address(held))


def _document(held: Quote, reader: Reader, ground: Ground | None = None) -> tuple[Asked, str]:
    """What was sent, or what would go out now."""
    if held.sent_at is not None:
        return asked_of(held, quote_document(held), held.digest, reader=reader, ground=ground), held.digest
    prepared: Prepared = quote_prepare(quote=held, at=timezone.now())
    return asked_of(held, prepared.document, prepared.digest, reader=reader, ground=ground), prepared.digest


def _choices(held: Quote, draft: bool) -> dict[str, object]:
    """Ways, needs and addenda, for the forms beside them."""
    lines = list(held.lines.select_related("job", "option_group").order_by("position")) if draft else []
    may_add = Decision.objects.filter(line__quote=held, verdict=Verdict.APPROVE).exists()
    return {
        "lines": lines,
        "groups": list(held.option_groups.prefetch_related("lines__job")) if draft else [],
        "needs": list(
            JobNeed.objects.filter(job__in=[line.job_id for line in lines]).select_related("job", "needed")
        ),
        "treatments": list(Treatment.objects.of_yard(held.yard_id).order_by("name")) if draft else [],
        "may_add": may_add,
        "extra": job_lines(held.inspection) if may_add else [],
        "addenda": list(held.addenda.order_by("number")),
    }


def shown(
    request: MemberRequest, held: Quote, *, refused: Refused | None = None, reply_line: int | None = None
) -> HttpResponse:
    draft = held.state == Quote.State.DRAFT
    again = refused is not None and "valid_until" in request.POST  # the form of the draft, with what was typed
    asked, digest, not_ready = None, "", None
    if draft or held.sent_at is not None:
        try:
            asked, digest = _document(held, office_reader(held.yard))
        except Refused as refusal:
            not_ready = refusal
    links = list(
        OwnerLink.objects.filter(quote=held)
        .annotate(times=Count("openings"), last_opened=Max("openings__opened_at"))
        .order_by("-created_at")
    )
    return page(
        request,
        "quote.html",
        {
            "here": "quotes",
            "quote": held,
            "boat": held.boat,
            "decider": held.boat.decider,
            "draft": draft,
            "asked": asked,
            "digest": digest,
            "not_ready": not_ready,
            **_choices(held, draft),
            "proposed": build_lines(held, typed=request.POST.getlist("jobs") if again else None) if draft else [],
            "offered": offered_findings(held.inspection) if draft else [],
            "ticked": request.POST.getlist("findings"),
            "form": DraftForm(
                request.POST if again else None,
                initial={"valid_until": held.valid_until},
            ),
            "links": links,
            "live": next((link for link in links if link.revoked_at is None), None),
            "history": () if draft else quote_history(held),
            "report": Report.objects.filter(quote=held).first(),
            "threads": [question for question in asked.questions if question.thread] if asked is not None else [],
            "may_reply": held.state != Quote.State.SUPERSEDED,
            "reply_line": reply_line,
            "typed": request.POST.get("text", "") if refused is not None else "",
            "may_reissue": held.state in (Quote.State.SENT, Quote.State.DECIDED),
            "open_jobs": Job.objects.filter(quote_lines__quote=held, state=Job.State.QUOTED).count(),
        },
        refused=refused,
    )


__all__ = [
    "change",
    "done",
    "held_quote",
    "preview",
    "quote",
    "reissue_link",
    "reply",
    "report",
    "report_draft",
    "revise",
    "revoke_link",
    "send",
    "shown",
    "withdraw",
]
