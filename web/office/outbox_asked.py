"""What is asked of the outbox by its address, the same for the page and the spreadsheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db.models import QuerySet
from django.http import QueryDict

from web.base.asking import query_without, text_asked, word_asked
from yard.models import Mail, OutboxRow, Yard
from yard.words import with_words

IN_WORDS: Final = {
    "inspections.assess": "Judge what was recorded",
    "inspections.prepare_photo": "Make the small sizes of a photo",
    "inspections.rejudge_yard": "Judge anew what the date has changed",
    "inspections.rejudge_batch": "Judge a part of the yard anew",
    "workshop.propose_jobs": "Propose jobs from the findings",
    "workshop.make_report": "Make the report and write the mail with the link",
    "workshop.lapse_quotes": "End quotes that have run out",
    "workshop.remind_decider": "Remind a decider of a quote",
    "workshop.plan_digests": "Ask for Monday's mails of what is due",
    "workshop.send_digests": "Write the weekly mails of what is due",
    "yard.send_mail": "Send a mail",
    "yard.forget_done_work": "Forget work that was done two months ago",
    "api.forget_kept_answers": "Forget answers that were kept for a repetition",
}
# What is shown, and by which field it has its day.
SHOWS: Final = {
    "gave-up": ("Gave up", "failed_at"),
    "trying": ("Failed, and will be tried again", "not_before"),
    "refused": ("Mails that were refused", "created_at"),
}
ORDERS: Final = {"newest": "the newest first", "oldest": "the oldest first", "kind": "by what it is"}
ROW_TEXTS: Final = ("key", "last_error")
MAIL_TEXTS: Final = ("subject", "to_address", "refusal")


@dataclass(frozen=True, slots=True)
class OutboxLine:
    """A piece of work, or a mail, with what it is in words.

    Args:
        at: gave up, is tried again, or was written at this moment.
        key: of what can be sent again; None for a mail.
    """

    told: str
    to: str
    at: datetime
    tries: int | None
    why: str
    key: int | None


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to and how it is sorted. `rest` is the address without what is shown."""

    show: str
    task: str
    text: str
    order: str
    query: str
    rest: str

    @property
    def narrows(self) -> bool:
        return bool(self.task or self.text)

    def rows(self, yard: Yard) -> QuerySet[Any]:
        rows = shown_rows(yard, self.show)
        at, mails = SHOWS[self.show][1], self.show == "refused"
        if self.task and not mails:
            rows = rows.filter(task=self.task)
        orders = {
            "newest": (f"-{at}", "-pk"),
            "oldest": (at, "pk"),
            "kind": ("subject" if mails else "task", at, "pk"),
        }
        return with_words(rows, self.text, MAIL_TEXTS if mails else ROW_TEXTS).order_by(*orders[self.order])

    def lines(self, rows: Iterable[Any]) -> list[OutboxLine]:
        at = SHOWS[self.show][1]
        return [
            OutboxLine(row.subject, row.to_address, row.created_at, None, row.refusal, None)
            if isinstance(row, Mail)
            else OutboxLine(in_words(row), "", getattr(row, at), row.attempts, row.last_error, row.pk)
            for row in rows
        ]


def shown_rows(yard: Yard, show: str) -> QuerySet[Any]:
    """All that is of this kind."""
    if show == "refused":
        mails: QuerySet[Mail] = Mail.objects.of_yard(yard)
        return mails.filter(state=Mail.State.REFUSED).defer("text", "html")
    rows = OutboxRow.objects.filter(yard=yard)
    if show == "trying":
        return rows.open().filter(attempts__gt=0).exclude(last_error="")
    return rows.filter(failed_at__isnull=False)


def in_words(row: OutboxRow) -> str:
    return IN_WORDS.get(row.task, row.task)


def asked_of(given: QueryDict) -> Asked:
    """Read the address. A kind of work or an order that there is not narrows nothing."""
    return Asked(
        show=word_asked(given, "show", SHOWS, "gave-up"),
        task=word_asked(given, "task", IN_WORDS),
        text=text_asked(given),
        order=word_asked(given, "order", ORDERS, "newest"),
        query=query_without(given, "page"),
        rest=query_without(given, "page", "show"),
    )


__all__ = ["IN_WORDS", "ORDERS", "SHOWS", "Asked", "OutboxLine", "asked_of", "in_words", "shown_rows"]
