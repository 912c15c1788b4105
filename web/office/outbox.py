"""Work in the background: what waits, what gave up, and sending it again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Min
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from web.base.members import MemberRequest, for_managers
from web.base.pages import page
from yard.models import Mail, OutboxRow
from yard.outbox import send_again
from yard.refusals import Refused

ROWS_A_PAGE: Final = 50
IN_WORDS: Final = {
    "inspections.assess": "Judge what was recorded",
    "inspections.prepare_photo": "Make the small sizes of a photo",
    "inspections.rejudge_yard": "Judge anew what the date has changed",
    "inspections.rejudge_batch": "Judge a part of the yard anew",
    "workshop.propose_jobs": "Propose jobs from the findings",
    "workshop.make_report": "Make the report and write the mail with the link",
    "workshop.lapse_quotes": "End quotes that have run out",
    "workshop.plan_digests": "Ask for Monday's mails of what is due",
    "workshop.send_digests": "Write the weekly mails of what is due",
    "yard.send_mail": "Send a mail",
    "yard.forget_done_work": "Forget work that was done two months ago",
}


@dataclass(frozen=True, slots=True)
class OutboxLine:
    """A piece of work with what it is in words."""

    row: OutboxRow
    told: str


@require_safe
@for_managers
def outbox(request: MemberRequest) -> HttpResponse:
    return _shown(request)


@require_POST
@for_managers
def again(request: MemberRequest, pk: int) -> HttpResponse:
    """Give a piece of work all its tries again."""
    row = OutboxRow.objects.filter(yard=request.member.yard, pk=pk).first()
    if row is None:
        raise Http404
    try:
        send_again(row, at=timezone.now())
    except Refused as refusal:
        return _shown(request, refused=refusal)
    messages.success(request, f"{_told(row)}: it is tried again.")
    return HttpResponseRedirect(reverse("web:outbox"))


def _shown(request: MemberRequest, *, refused: Refused | None = None) -> HttpResponse:
    yard, now = request.member.yard, timezone.now()
    rows = OutboxRow.objects.filter(yard=yard)
    sheet = Paginator(rows.filter(failed_at__isnull=False).order_by("-failed_at", "-pk"), ROWS_A_PAGE).get_page(
        request.GET.get("page")
    )
    due = rows.open().filter(not_before__lte=now)
    tried = rows.open().filter(attempts__gt=0).exclude(last_error="").order_by("not_before")
    return page(
        request,
        "outbox.html",
        {
            "here": "outbox",
            "sheet": sheet,
            "given_up": [OutboxLine(row, _told(row)) for row in sheet],
            "waiting": due.count(),
            "oldest": due.aggregate(first=Min("created_at"))["first"],
            "in_trouble": [OutboxLine(row, _told(row)) for row in tried[:ROWS_A_PAGE]],
            "mails_refused": list(
                Mail.objects.of_yard(yard).filter(state=Mail.State.REFUSED).order_by("-created_at")[:ROWS_A_PAGE]
            ),
        },
        refused=refused,
    )


def _told(row: OutboxRow) -> str:
    return IN_WORDS.get(row.task, row.task)


__all__ = ["again", "outbox"]
