"""The owner's link: a signed address for one quote of one boat, that expires and can be taken back.

The address carries the link's id and a signature over it; nothing that is kept would let anybody make one. Opening
it changes nothing but the log.
"""

from __future__ import annotations

import base64
import binascii
import uuid
from datetime import datetime, time, timedelta
from typing import Final, Literal

from django.conf import settings
from django.core import signing
from django.db import transaction
from django.urls import reverse

from workshop.models import LinkOpening, OwnerLink, Quote
from yard.models import DeedKind, Member, Owner
from yard.outbox import enqueue
from yard.refusals import Refused
from yard.services.deeds import deed_note

PAGE_ROUTE: Final = "web:owner-quote"
SALT: Final = "workshop.owner-link"

# The page goes on telling what was decided for a while after the quote has run out.
OUTLIVES_QUOTE: Final = timedelta(days=60)
USER_AGENT_LENGTH: Final = 300

Kind = Literal["wrong", "expired", "withdrawn"]

_REMEDIES: Final[dict[Kind, tuple[str, str]]] = {
    "wrong": ("is not a link of ours", "open the link from the mail again, or ask the yard for a new one"),
    "expired": ("has run out", "ask the yard for a new one"),
    "withdrawn": ("has been withdrawn", "look for a newer mail of the yard, or ask it"),
}


class LinkRefused(Refused):
    """A link that opens nothing. `kind` says why, and there is nothing else in it."""

    def __init__(self, kind: Kind) -> None:
        super().__init__("link", *_REMEDIES[kind])
        self.kind: Kind = kind


def link_create(*, quote: Quote, at: datetime) -> OwnerLink:
    """Make the link of a quote for the boat's decider. The database holds that only one is live."""
    decider = quote.boat.decider
    last_moment = datetime.combine(quote.valid_until, time.max, tzinfo=quote.yard.zone) + OUTLIVES_QUOTE
    link = OwnerLink(
        yard_id=quote.yard_id,
        boat_id=quote.boat_id,
        quote=quote,
        owner=decider if isinstance(decider, Owner) else None,
        member=None if isinstance(decider, Owner) else decider,
        created_at=at,
        expires_at=max(last_moment, at + timedelta(days=1)),
    )
    link.save(force_insert=True)
    return link


def link_token(link: OwnerLink) -> str:
    """What stands in the address: the id and its signature."""
    name = base64.urlsafe_b64encode(link.pk.bytes).rstrip(b"=").decode()
    return _signer().sign(name)


def link_url(link: OwnerLink) -> str:
    """The whole address, as it stands in the mail."""
    return f"{settings.PUBLIC_URL}{reverse(PAGE_ROUTE, args=[link_token(link)])}"


def link_find(token: str, at: datetime) -> OwnerLink:
    """The link of a token.

    Raises:
        LinkRefused: wrong, expired or withdrawn, in this order.
    """
    try:
        name = _signer().unsign(token)
        link_id = uuid.UUID(bytes=base64.urlsafe_b64decode(name + "=="))
    except (signing.BadSignature, binascii.Error, ValueError) as error:
        raise LinkRefused("wrong") from error
    link = (
        OwnerLink.objects.filter(pk=link_id)
        .select_related("yard", "boat", "quote__yard", "quote__boat", "owner", "member")
        .first()
    )
    if link is None:
        raise LinkRefused("wrong")
    if link.revoked_at is not None:
        raise LinkRefused("withdrawn")
    if at >= link.expires_at:
        raise LinkRefused("expired")
    return link


def link_opened(*, link: OwnerLink, at: datetime, from_address: str | None, user_agent: str) -> LinkOpening:
    """Note that somebody, or a mail scanner, opened the link."""
    opening = LinkOpening(
        yard_id=link.yard_id,
        link=link,
        opened_at=at,
        from_address=from_address,
        user_agent=user_agent[:USER_AGENT_LENGTH],
    )
    opening.save(force_insert=True)
    return opening


@transaction.atomic
def link_revoke(*, link: OwnerLink, at: datetime, by: Member | None = None) -> None:
    """Withdraw a link. Doing it again changes nothing."""
    if OwnerLink.objects.filter(pk=link.pk, revoked_at__isnull=True).update(revoked_at=at):
        told = f"{link.boat.name}, quote {link.quote.number}"
        deed_note(yard=link.yard_id, kind=DeedKind.LINK_REVOKED, by=by, told=told, at=at)


@transaction.atomic
def link_reissue(*, quote: Quote, at: datetime, by: Member | None = None) -> OwnerLink:
    """Withdraw the quote's link, make a new one and mail it.

    Raises:
        Refused: the quote is not with the decider.
    """
    locked = (
        Quote.objects.select_for_update(of=("self",), no_key=True).select_related("yard", "boat").get(pk=quote.pk)
    )
    if locked.state not in (Quote.State.SENT, Quote.State.DECIDED):
        raise Refused(
            "state", f"the quote is {locked.get_state_display()}", "a link leads to a quote that was sent"
        )
    OwnerLink.objects.filter(quote=locked, revoked_at__isnull=True).update(revoked_at=at)
    link = link_create(quote=locked, at=at)
    report_ask(quote=locked, link=link, at=at)
    told = f"{locked.boat.name}, quote {locked.number}"
    deed_note(yard=locked.yard_id, kind=DeedKind.LINK_REISSUED, by=by, told=told, at=at)
    return link


def report_ask(*, quote: Quote, link: OwnerLink, at: datetime) -> None:
    """Ask for the report and the mail that brings this link."""
    enqueue(
        task="workshop.make_report",
        arguments={"quote_id": quote.pk},
        key=f"workshop.make_report:{quote.pk}:{link.pk}",
        yard=quote.yard,
        at=at,
    )


def _signer() -> signing.Signer:
    return signing.Signer(salt=SALT, sep=".")


__all__ = [
    "LinkRefused",
    "link_create",
    "link_find",
    "link_opened",
    "link_reissue",
    "link_revoke",
    "link_token",
    "link_url",
    "report_ask",
]
