"""Jobs that exclude each other or need each other, on the rooms of jobs, quotes and decisions."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.addresses import address_of
from api.fields import OfYard, Sha256, Sheet, Text, YesNo
from api.rooms.operations import OperationLine
from workshop.models import Job, OptionGroup, QuoteLine
from workshop.services.decisions import choice_decline
from workshop.services.option_groups import option_group_dissolve, option_group_set

ALONG = "lines that this word settles as well, each agreed to by its id"


class AlternativeSheet(Sheet):
    title = Text(max_length=200)
    operations = serializers.ListField(child=OperationLine(), min_length=1, max_length=100)
    means = Text(max_length=2000, help_text="what choosing this way means, in the owner's words")
    proper_by = serializers.DateField(
        required=False, allow_null=True, help_text="this only holds her: by when the proper repair is due then"
    )
    opening_up = Text(max_length=200, required=False, allow_blank=True)
    if_left = Text(max_length=2000, required=False, help_text="the first job's words when left out")


class NeedsSheet(Sheet):
    needs = OfYard(queryset=Job.objects.all(), many=True, allow_empty=True, help_text="all that it needs; none: []")


class OptionsSheet(Sheet):
    title = Text(max_length=120, help_text="what is to be chosen, as the decider reads it")
    jobs = OfYard(queryset=Job.objects.all(), many=True, allow_empty=False, help_text="two or more of the quote")
    recommended = OfYard(
        queryset=Job.objects.all(), required=False, help_text="the way that is advised; the first when left out"
    )


class NoneSheet(Sheet):
    option_group = OfYard(queryset=OptionGroup.objects.select_related("quote"))
    digest = Sha256(help_text="of the quote as it was read")
    read = YesNo(required=False, help_text="what leaving it means was read; needed where it is unsafe to leave")
    along = OfYard(queryset=QuoteLine.objects.all(), many=True, required=False, help_text=ALONG)


class OptionGroupOut(serializers.ModelSerializer[OptionGroup]):
    class Meta:
        model = OptionGroup
        fields = ["id", "title"]
        read_only_fields = fields


def ids_of(given: dict[str, Any]) -> dict[str, Any]:
    """What was sent, with the lines along as their ids."""
    return given | {"along": [line.pk for line in given.get("along", ())]}


def options_make(view: Any) -> Response:
    """Make a choice of jobs of a draft."""
    quote = view.row()
    option_group_set(quote=quote, **view.read(OptionsSheet))
    response: Response = view.answer(quote)
    return response


def options_dissolve(view: Any, group: int) -> Response:
    """Let the jobs of a choice stand for themselves again."""
    quote = view.row()
    held = get_object_or_404(OptionGroup.objects.of_yard(view.yard).select_related("quote"), pk=group, quote=quote)
    option_group_dissolve(group=held)
    response: Response = view.answer(quote)
    return response


def none_of_them(view: Any, request: Request) -> Any:
    """The decision that none of the ways is wanted."""
    given = ids_of(view.read(NoneSheet))
    group = given.pop("option_group")
    return choice_decline(group=group, member=view.member, at=view.now, from_address=address_of(request), **given)


__all__ = [
    "ALONG",
    "AlternativeSheet",
    "NeedsSheet",
    "NoneSheet",
    "OptionGroupOut",
    "OptionsSheet",
    "ids_of",
    "none_of_them",
    "options_dissolve",
    "options_make",
]
