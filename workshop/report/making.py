"""Making the report of a sent quote, and the mail that brings it. The slow part needs no transaction."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import datetime

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from workshop.models import OwnerLink, Quote, Report
from workshop.quoting.document import QuoteDocument
from workshop.report.context import report_view
from workshop.report.drawings import report_drawing
from workshop.report.mailing import quote_mail_write
from workshop.report.pictures import report_pictures
from workshop.report.rendering import Paper, Rendered, paper_of, report_render
from workshop.services.quotes import quote_document, quote_prepare
from yard.languages import figures_locale, language_of
from yard.models import Owner
from yard.refusals import Refused

Finish = Callable[[datetime], None]


def report_make(quote_id: int) -> Finish | None:
    """Render the report of a quote unless it is there, and hand back what stores it and writes the mail.

    None where there is nothing to do: the quote was taken back before its report was made.
    """
    quote = Quote.objects.select_related("yard", "boat").get(pk=quote_id)
    link = (
        OwnerLink.objects.filter(quote=quote, revoked_at__isnull=True)
        .select_related("owner", "member__user")
        .first()
    )
    if link is None:
        return None
    document = quote_document(quote)
    there = Report.objects.filter(quote=quote).first()
    if there is not None and default_storage.exists(str(there.file.name)):

        def mail_only(now: datetime) -> None:
            quote_mail_write(quote=quote, document=document, link=link, report=there, at=now)

        return mail_only
    reader = link.owner or quote.yard
    rendered = render(
        quote,
        document,
        locale=figures_locale(reader.locale, language_of(document.language)),
        paper=paper_of(reader.locale),
    )
    sha256 = hashlib.sha256(rendered.pdf).hexdigest()
    name = _kept(f"reports/{quote.yard_id}/{quote.number}-{sha256[:20]}.pdf", rendered.pdf)

    def finish(now: datetime) -> None:
        report, _ = Report.objects.update_or_create(
            quote=quote,
            defaults={
                "yard_id": quote.yard_id,
                "boat_id": quote.boat_id,
                "inspection_id": quote.inspection_id,
                "file": name,
                "sha256": sha256,
                "pages": rendered.pages,
                "made_at": now,
            },
        )
        quote_mail_write(quote=quote, document=document, link=link, report=report, at=now)

    return finish


def report_preview(quote: Quote, *, at: datetime) -> Rendered:
    """The report as it would go out with a draft now, marked on each page as not sent. Nothing is stored.

    Raises:
        Refused: it is no draft, or as for `quote_prepare`.
    """
    if quote.state != Quote.State.DRAFT:
        raise Refused("state", f"the quote is {quote.get_state_display()}", "open the report that went out with it")
    document = quote_prepare(quote=quote, at=at).document
    decider = quote.boat.decider
    reader = decider if isinstance(decider, Owner) else quote.yard
    locale = figures_locale(reader.locale, language_of(document.language))
    return render(quote, document, locale=locale, paper=paper_of(reader.locale))


def render(quote: Quote, document: QuoteDocument, *, locale: str, paper: Paper | None = None) -> Rendered:
    """The report of a quote, on the paper of that locale's country unless another is asked for.

    One that was not sent has no digest yet; its report says so on each page.
    """
    photos = report_pictures(quote.yard, document.pictures)
    drawing = report_drawing(quote.boat_id)
    view = report_view(
        document,
        digest=quote.digest,
        locale=locale,
        photos=photos.keys(),
        ground=None if drawing is None else drawing.ground,
    )
    files = {} if drawing is None else drawing.files
    return report_render(view, photos=photos, paper=paper or paper_of(locale), drawings=files)


def english(reader: Owner | object) -> str:
    """How figures and dates stand among English words for a reader."""
    return figures_locale(str(getattr(reader, "locale", "")), "en")


def _kept(name: str, data: bytes) -> str:
    """Put the file into the storage. Its name comes from its content: repeating it changes nothing."""
    return name if default_storage.exists(name) else default_storage.save(name, ContentFile(data))


__all__ = ["english", "render", "report_make", "report_preview"]
