"""Sheets of stickers: the tags of spots, and tags printed ahead."""

from __future__ import annotations

from collections.abc import Sequence

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request

from api.base import OfMember
from api.permissions import IsManager
from api.queries import Count, Query, asked
from workshop.report.label_grids import GRIDS, grid_named
from workshop.report.making import english
from workshop.report.rendering import Rendered
from workshop.report.tag_sheets import MOST_TAGS, Sticker, stickers_unused, tag_sheet_render
from yard.models import Yard

PDF = {(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY)}
A_SHEET = "a4-3x8"


class TagSheetQuery(Query):
    grid = serializers.ChoiceField(
        choices=list(GRIDS), default=A_SHEET, help_text="columns × rows of the label sheet; common label grids"
    )
    used = Count(0, 64, default=0, help_text="stickers of the first sheet that are gone already")


class UnusedTagsQuery(TagSheetQuery):
    count = Count(1, MOST_TAGS, required=False, help_text="how many; what the first sheet has left when left out")


class UnusedTags(OfMember):
    permission_classes = [IsManager]

    @extend_schema(
        summary="Stickers printed ahead; one becomes the tag of the new spot that it is stuck to",
        parameters=[UnusedTagsQuery],
        responses=PDF,
    )
    def get(self, request: Request) -> HttpResponse:
        """New codes each time, which no spot of the yard carries. Name one as the `tag` of a new spot."""
        given = asked(request, UnusedTagsQuery)
        count = given.pop("count", None) or max(1, GRIDS[given["grid"]].stickers - given["used"])
        return tag_sheet_answer(
            stickers_unused(self.yard, count),
            yard=self.yard,
            title=f"Unused tags of {self.yard.name}",
            name="tags-unused.pdf",
            **given,
        )


def tag_sheet_answer(
    stickers: Sequence[Sticker], *, yard: Yard, title: str, name: str, grid: str, used: int
) -> HttpResponse:
    """The sheets as a PDF.

    Raises:
        Refused: more stickers are used than the sheet has.
    """
    rendered = tag_sheet_render(stickers, grid_named(grid), title=title, language=english(yard), used=used)
    return pdf_answer(rendered, name)


def pdf_answer(rendered: Rendered, name: str) -> HttpResponse:
    """A PDF to look at or to print, made for this reader and for now."""
    headers = {
        "Content-Disposition": f'inline; filename="{name}"',
        "Cache-Control": "private, no-store",
        "X-Content-Type-Options": "nosniff",
    }
    return HttpResponse(rendered.pdf, content_type="application/pdf", headers=headers)


__all__ = ["PDF", "TagSheetQuery", "UnusedTags", "pdf_answer", "tag_sheet_answer"]
