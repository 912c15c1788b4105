"""Sheets of spot tags: for the known spots of a boat, and ahead for spots that nobody has found yet.

A tag printed ahead is not kept anywhere. It becomes the tag of the spot whose first entry names it. Two equal ones
are as good as excluded: among 2,000 codes of one yard, printed or in use, the chance that any two are the same is
2,000² / (2 × 23⁷), about 1 in 1,700; no code of a spot is printed again, none stands twice on what is printed at
once, and should it happen all the same, the second sticker is refused where it is stuck on, with a word to take
another.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from django.conf import settings
from django.urls import reverse

from workshop.report.label_grids import Grid, place_on
from workshop.report.rendering import Rendered
from workshop.report.sheet_rendering import sheet_render
from yard.models import Boat, Spot, Yard
from yard.refusals import Refused
from yard.tag_codes import tag_display, tag_new

MOST_TAGS: Final = 300
TAG_ROUTE: Final = "web:tag"


@dataclass(frozen=True, slots=True)
class Sticker:
    """What stands on one sticker.

    Args:
        tag: the code as it is stored.
        where: the boat, or the yard for one printed ahead.
        what: part and spot; empty for one printed ahead.
    """

    tag: str
    where: str
    what: str = ""

    @property
    def shown(self) -> str:
        return tag_display(self.tag)


def stickers_of(boat: Boat) -> tuple[Sticker, ...]:
    """One sticker for each spot of a boat on a part that she still has, part by part.

    Raises:
        Refused: no spot is marked on her, or more than can be printed at once.
    """
    spots = (
        Spot.objects.of_yard(boat.yard_id)
        .filter(component__boat=boat, component__removed_on__isnull=True)
        .select_related("component")
        .order_by("component__name", "component__position", "created_at", "id")[: MOST_TAGS + 1]
    )
    found = tuple(Sticker(spot.tag, boat.name, f"{spot.component}: {spot.name}") for spot in spots)
    if not found:
        raise Refused("boat", "has no spot yet", "print unused tags, and stick one to the first finding")
    if len(found) > MOST_TAGS:
        raise Refused(
            "boat", f"has more than {MOST_TAGS} spots", "print the tags of single spots as they are needed"
        )
    return found


def stickers_unused(yard: Yard, count: int, *, random_source: random.Random | None = None) -> tuple[Sticker, ...]:
    """Stickers with new codes that no spot of the yard carries, each another.

    Args:
        yard: whose they are.
        count: how many, 1 to 300.
        random_source: as in `tag_new`.

    Raises:
        Refused: too many or none.
    """
    if not 1 <= count <= MOST_TAGS:
        raise Refused("count", f"is {count}", f"give 1 to {MOST_TAGS}")
    fresh: dict[str, None] = {}
    while len(fresh) < count:
        drawn = dict.fromkeys(tag_new(random_source) for _ in range(count - len(fresh)))
        taken = set(Spot.objects.of_yard(yard).filter(tag__in=list(drawn)).values_list("tag", flat=True))
        fresh.update((tag, None) for tag in drawn if tag not in taken)
    return tuple(Sticker(tag, yard.name) for tag in fresh)


def tag_url(tag: str) -> str:
    """The page that a tag's QR code leads to."""
    return f"{settings.PUBLIC_URL}{reverse(TAG_ROUTE, args=[tag])}"


def tag_sheet_render(
    stickers: Sequence[Sticker], grid: Grid, *, title: str, language: str, used: int = 0
) -> Rendered:
    """Lay stickers out on the sheets of a grid.

    Raises:
        Refused: more stickers of the first sheet are used than it has.
    """
    sheets = place_on(grid, stickers, used=used)
    code_mm = min(grid.height_mm - 3, grid.width_mm * 0.46)
    context = {
        "title": title,
        "language": language.replace("_", "-"),
        "grid": grid,
        "sheets": sheets,
        "lefts": tuple(enumerate(grid.lefts_mm)),
        "tops": tuple(enumerate(grid.tops_mm)),
        "code_mm": round(code_mm, 2),
        "words_mm": round(grid.width_mm - code_mm - 4.5, 2),
        "small": grid.height_mm < 30,
        "narrow": grid.width_mm < 50,
    }
    return sheet_render("tag_sheet", context, {sticker.tag: tag_url(sticker.tag) for sticker in stickers})


__all__ = ["MOST_TAGS", "Sticker", "stickers_of", "stickers_unused", "tag_sheet_render", "tag_url"]
