"""A reminder that the office sends itself, as the morning before the last day sends one by the clock.

It keeps to what a reader may expect: nobody who ended reminders gets one, and nobody two within a few days.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction

from workshop.models import Quote, ReminderStop
from workshop.selectors.questions import questions_open
from workshop.services.quotes import decider_address, quote_locked, undecided_lines
from workshop.services.reminder_times import DAYS_BETWEEN
from workshop.services.reminders import link_live, reminder_mail, reminders_of
from yard.locale_format import date_text
from yard.models import Mail, Member, Owner
from yard.refusals import Refused


@transaction.atomic
def reminder_send(*, quote: Quote, by: Member, at: datetime) -> Mail:
    """Remind the decider of what is open now. Again on the same day hands back the mail that was written.

    Raises:
        Refused: the quote is not with its decider, or its last day is past; no link of theirs is open; they have no
            address, or want no reminders; the yard's own answer is what is waited for; or the last mail that asked
            for their word is too fresh.
    """
    quote = quote_locked(quote, Quote.State.SENT, doing="reminded of")
    if by.yard_id != quote.yard_id:
        raise Refused("member", f"{by} is not of this yard", "name a member of the yard")
    today = at.astimezone(quote.yard.zone).date()
    key = f"reminder:{quote.pk}:{today.isoformat()}"
    there = reminders_of(quote).filter(key=key).first()
    if there is not None:
        return there
    if today > quote.valid_until:
        raise Refused("valid_until", "is past", "draw the quote up anew with a later day")
    link, decider = link_live(quote), quote.boat.decider
    if link is None:
        raise Refused("link", "none is open", "mail a new link; that says what the quote is about as well")
    if decider != (link.owner or link.member):
        raise Refused("decider", f"of {quote.boat.name} is now {decider.name}", "draw the quote up anew for them")
    _refuse_unwanted(quote, decider)
    open_lines = {line.pk for line in undecided_lines(quote)}
    if open_lines <= set(questions_open(quote.yard).filter(quote=quote).values_list("pk", flat=True)):
        raise Refused("question", f"{decider.name} waits for the yard's answer", "answer what was asked first")
    last_on = _last_asked(quote, link.created_at).astimezone(quote.yard.zone).date()
    again_on = last_on + timedelta(days=DAYS_BETWEEN)
    if today < again_on:
        told, again = (date_text(day, quote.yard.locale) for day in (last_on, again_on))
        raise Refused("reminder", f"the last mail about it went on {told}", f"remind them again from {again} on")
    return reminder_mail(quote=quote, link=link, decider=decider, key=key, at=at)


def _refuse_unwanted(quote: Quote, decider: Owner | Member) -> None:
    if not decider_address(decider):
        raise Refused("decider", f"{decider.name} has no mail address", "enter one, or call them")
    whose = {"owner": decider} if isinstance(decider, Owner) else {"member": decider}
    stop = ReminderStop.objects.filter(**whose).first()
    if stop is not None:
        day = date_text(stop.stopped_at.astimezone(quote.yard.zone).date(), quote.yard.locale)
        raise Refused("decider", f"{decider.name} wants no reminders since {day}", "call them, or write yourself")


def _last_asked(quote: Quote, link_made: datetime) -> datetime:
    """When the decider last got a mail that asks for their word: the quote, a new link, or a reminder."""
    written = reminders_of(quote).order_by("-created_at").values_list("created_at", flat=True).first()
    return link_made if written is None else max(link_made, written)


__all__ = ["reminder_send"]
