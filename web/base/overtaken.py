"""Two people at one form: nothing is written over what somebody else has set since it was drawn, unseen.

A form that remembers what it showed (`remembers_shown`) is held field by field against what stands now, under the
row's lock. One that names a row by its key carries a digest of each row instead. Either way the refused form keeps
what was typed and carries what stands now: sent again, it does put its own in the place of the other's.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from functools import wraps
from typing import Any, Final, ParamSpec

from django import forms
from django.db import models, transaction
from django.forms import BoundField
from django.http import HttpResponseBase, QueryDict

from web.base.forms import YardForm
from web.base.members import MemberRequest, Page, Row
from yard.models import Yard
from yard.selectors import who_changed
from yard.told_changes import field_words, value_told

P = ParamSpec("P")

REMEDY: Final = "send yours again to put it in the place of theirs, or open the page anew"
_DIGEST_DIGITS: Final = 16


def in_one_go(page: Page[P]) -> Page[P]:
    """Do a POST in one transaction, so that the row it is about can be held."""

    @wraps(page)
    def held(request: MemberRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if request.method != "POST":
            return page(request, *args, **kwargs)
        with transaction.atomic():
            return page(request, *args, **kwargs)

    return held


def holding(rows: models.QuerySet[Row], request: MemberRequest) -> models.QuerySet[Row]:
    """The rows to take one of, held until the transaction ends where something is to be changed."""
    return rows.select_for_update(of=("self",)) if request.method == "POST" else rows


def overtaken(form: YardForm, *, yard: Yard, thing: str) -> bool:
    """Whether somebody else has set what is changed here, which the form then says. For a form that is valid.

    Args:
        form: its `initial` is what stands now, read under the row's lock.
        thing: the row, as the deeds name it: they know who it was.
    """
    carries = [form[name] for name in form.fields if form[name].html_initial_name in form.data]
    if not carries:
        return False
    shown = {bound.name: bound for bound in map(form.__getitem__, form.fields) if bound in carries or _many(bound)}
    moved = {name for name, bound in shown.items() if bound.field.has_changed(_now(bound), _as_shown(bound))}
    touched = moved & set(form.changed_data)
    for group in form.one_thing:
        if moved & group and group & set(form.changed_data):
            touched |= moved & group
    _show_now(form, moved, moved - touched)
    refused = [name for name in form.fields if name in touched and _differs(form[name])]
    for name in refused:
        who = who_changed(yard, thing, field_words(name)) or "somebody else"
        form.add_error(
            name,
            f"was set to {_told(form[name])} by {who} since this page was opened; {REMEDY}.",
        )
    return bool(refused)


def _now(bound: BoundField) -> Any:
    return bound.form.get_initial_for_field(bound.field, bound.name)


def _as_shown(bound: BoundField) -> Any:
    form = bound.form
    return bound.field.hidden_widget().value_from_datadict(form.data, form.files, bound.html_initial_name)


def _differs(bound: BoundField) -> bool:
    return bool(bound.field.has_changed(_now(bound), bound.data))


def _many(bound: BoundField) -> bool:
    """A choice of several, of which none was shown, carries nothing along."""
    return bound.field.show_hidden_initial and issubclass(bound.field.hidden_widget, forms.MultipleHiddenInput)


def _show_now(form: YardForm, moved: set[str], not_mine: set[str]) -> None:
    """Let the form carry what stands now; where nothing was typed, show it too."""
    assert isinstance(form.data, QueryDict)
    data = form.data.copy()
    for name in moved:
        bound = form[name]
        value = bound.field.prepare_value(_now(bound))
        if _many(bound):
            texts = [str(each) for each in value or ()]
        else:
            texts = [str(bound.field.widget.format_value(value) or "")]
        data.setlist(bound.html_initial_name, texts)
        if name in not_mine:
            data.setlist(bound.html_name, texts)
    form.data = data


def _told(bound: BoundField) -> str:
    """What stands now, as a person reads it."""
    field: Any = bound.field
    now = _now(bound)
    if isinstance(field, forms.ModelMultipleChoiceField):
        return value_told([field.label_from_instance(each) for each in now])
    if isinstance(field, forms.ChoiceField):
        choices: Any = field.choices
        names = {str(value): str(name) for value, name in choices}
        if isinstance(now, list | tuple):
            return value_told([names.get(str(each), each) for each in now])
        return names.get(str(now), str(now))
    return value_told(now)


class KeyedForm(YardForm):
    """A form that enters a row by its key, or changes the one that has it. `seen` carries each row's digest."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    @property
    def entered(self) -> dict[str, Any]:
        """What was typed, without what the form carries. For a form that is valid."""
        return {name: value for name, value in self.cleaned_data.items() if name != "seen"}

    def overtaken(self, key: object, now: object) -> bool:
        """Whether the row of the key is another than the one that was shown; from here on the form has seen it.

        Args:
            now: its values, read under a lock; None where there is none.
        """
        try:
            seen = json.loads(self.cleaned_data["seen"])
        except ValueError:
            return False
        if not isinstance(seen, dict):
            return False
        stands = "" if now is None else digest_of(now)
        if seen.get(str(key), "") == stands:
            return False
        assert isinstance(self.data, QueryDict)
        data = self.data.copy()
        data["seen"] = json.dumps({**seen, str(key): stands})
        self.data = data
        return True


def seen_of(rows: Mapping[Any, object]) -> str:
    """What `seen` carries when the form is drawn: the digest of each row's values, by its key."""
    return json.dumps({str(key): digest_of(values) for key, values in rows.items()})


def digest_of(values: object) -> str:
    """Values in a few signs, so that a later change by others is seen."""
    told = json.dumps(values, sort_keys=True, default=str)
    return hashlib.sha256(told.encode()).hexdigest()[:_DIGEST_DIGITS]


__all__ = ["REMEDY", "KeyedForm", "digest_of", "holding", "in_one_go", "overtaken", "seen_of"]
