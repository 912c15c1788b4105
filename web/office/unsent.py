"""Loading the file in which a tablet saved what it could not send."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any, Final

from django import forms
from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from inspections.services.unsent import MOST_BYTES, Fate, Loaded, unsent_load
from web.base.forms import YardForm, first_refusal
from web.base.members import MemberRequest, for_managers
from web.base.pages import page
from yard.refusals import Refused

IN_WORDS: Final = {
    "taken": "taken",
    "already_there": "there already",
    "set_aside": "set aside for you to place",
    "refused": "refused",
}


class FileForm(YardForm):
    file = forms.FileField(
        label="File from the tablet",
        help_text="Its name begins with faying-unsent.",
        error_messages={"required": "is missing; choose the file that the tablet saved.", "empty": "is empty."},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def unsent(request: MemberRequest) -> HttpResponse:
    if request.method != "POST":
        return _shown(request, FileForm())
    form = FileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _shown(request, form, refused=first_refusal(form))
    try:
        document = _read(form.cleaned_data["file"])
        loaded = unsent_load(yard=request.member.yard, document=document, by=request.member, at=timezone.now())
    except Refused as refusal:
        return _shown(request, FileForm(), refused=refusal)
    return _shown(request, FileForm(), loaded=loaded)


def _read(file: Any) -> object:
    """What was uploaded, as JSON."""
    if (file.size or 0) > MOST_BYTES:
        raise Refused("file", "is too large", f"it may have {MOST_BYTES // 1024 // 1024} MiB")
    try:
        document: object = json.loads(file.read().decode("utf-8"))
    except (ValueError, RecursionError):
        raise Refused("file", "is no file of a tablet", "choose the file that the tablet saved") from None
    return document


def _shown(
    request: MemberRequest, form: FileForm, *, loaded: Loaded | None = None, refused: Refused | None = None
) -> HttpResponse:
    context = {"here": "tablets", "form": form, "loaded": loaded}
    if loaded is not None:
        context |= {
            "counts": [("entries", _counted(loaded.entries)), ("photos", _counted(loaded.photos))],
            "not_taken": [
                (fate, IN_WORDS[fate.outcome])
                for fate in (*loaded.entries, *loaded.photos)
                if fate.outcome in ("refused", "set_aside")
            ],
        }
    return page(request, "unsent.html", context, refused=refused)


def _counted(fates: Iterable[Fate]) -> list[tuple[int, str]]:
    """How many had which fate, in words; none of those that nobody had."""
    outcomes = [fate.outcome for fate in fates]
    return [(outcomes.count(outcome), words) for outcome, words in IN_WORDS.items() if outcome in outcomes]


__all__ = ["unsent"]
