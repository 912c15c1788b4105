"""The pictures of a finding, and of its spot in an earlier year."""

from __future__ import annotations

from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from datetime import date

from django.utils.translation import gettext

from inspections.judgement.speech import label_in
from inspections.judgement.vocabulary import Condition
from workshop.quoting.document import EarlierPart, FindingPart
from workshop.report.views import Picture
from yard.languages import Language
from yard.locale_format import date_text


def pictures_of(
    finding: FindingPart,
    photos: AbstractSet[str] | Mapping[str, object],
    locale: str,
    language: Language = "en",
) -> tuple[Picture, ...]:
    """What was taken now; the first is large, and says its day where an older one stands beside it.

    Args:
        finding: as it was sent.
        photos: SHA-256 of those that can be shown; any other becomes a marked blank.
        locale: of the days.
        language: of the words.
    """
    count = len(finding.photos)
    what = ", ".join(finding.signs) or label_in(Condition(finding.condition), language)
    pictures = []
    for position, sha256 in enumerate(finding.photos, start=1):
        alt = (
            gettext("Photo ({position} of {count}) of {place}: {what}")
            if count > 1
            else gettext("Photo of {place}: {what}")
        )
        now = position == 1 and _look_with_photo(finding) is not None
        pictures.append(
            Picture(
                sha256=sha256,
                alt=alt.format(position=position, count=count, place=finding.place, what=what),
                caption=_caption(gettext("Now"), finding.seen_on, locale) if now else "",
                shown=sha256 in photos,
            )
        )
    return tuple(pictures)


def picture_then(
    finding: FindingPart, photos: AbstractSet[str] | Mapping[str, object], locale: str
) -> Picture | None:
    """The newest picture of the spot from an earlier year, to be laid beside today's; None where either lacks."""
    look = _look_with_photo(finding)
    if look is None or not finding.photos:
        return None
    caption = _caption(gettext("Then"), look.on, locale)
    alt = gettext("Photo of {place} as it was on {day}").format(place=finding.place, day=date_text(look.on, locale))
    return Picture(look.photo, alt, caption, shown=look.photo in photos)


def _look_with_photo(finding: FindingPart) -> EarlierPart | None:
    return next((look for look in reversed(finding.earlier) if look.photo), None)


def _caption(word: str, day: date | None, locale: str) -> str:
    return word if day is None else f"{word}: {date_text(day, locale)}"


__all__ = ["picture_then", "pictures_of"]
