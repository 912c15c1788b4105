"""What is changed by hand in the back room is told among the deeds of the yard that it was changed at."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from django.db.models import Model
from django.forms import BaseForm, ModelChoiceField
from django.http import HttpRequest
from django.utils import timezone

from yard.models import Boat, Component, Deed, DeedKind, Member, Owner, Spot, User, Yard
from yard.services.deeds import deed_note, thing_of
from yard.told_changes import changes_told

WHERE: Final = "in the back room"
KINDS: Final[Mapping[type[Model], DeedKind]] = {
    Boat: DeedKind.BOAT_CHANGED,
    Component: DeedKind.PART_CHANGED,
    Owner: DeedKind.OWNER_CHANGED,
    Spot: DeedKind.SPOT_CHANGED,
}


def back_room_note(request: HttpRequest, row: Any, form: BaseForm, formsets: Iterable[Any]) -> Deed | None:
    """Tell from what to what a row, and the lines below it, were changed; nothing where nothing was."""
    told = [_told(form), *(line for formset in formsets for line in _lines(formset))]
    said = "; ".join(each for each in told if each)
    if not said:
        return None
    yard_id = row.pk if isinstance(row, Yard) else row.yard_id
    return deed_note(
        yard=yard_id,
        kind=KINDS.get(type(row), DeedKind.SETTINGS_CHANGED),
        by=_by(request, yard_id),
        about=row if isinstance(row, Member) else None,
        told=f"{WHERE}, {row._meta.verbose_name} {row}: {said}",
        thing=thing_of(row),
        at=timezone.now(),
    )


def log_in_note(request: HttpRequest, user: User, fields: Sequence[str]) -> Deed | None:
    """Tell that a log-in was changed; nothing for one without a yard, where nobody would read it."""
    member = Member.objects.filter(user=user).first()
    if member is None or not fields:
        return None
    kind = DeedKind.NAME_CHANGED
    if "password" in fields:
        kind = DeedKind.PASSWORD_SET
    elif "is_active" in fields:
        kind = DeedKind.REOPENED if user.is_active else DeedKind.CLOSED
    return deed_note(
        yard=member.yard_id,
        kind=kind,
        by=_by(request, member.yard_id),
        about=member,
        told=f"{WHERE}, log-in of {member.name}: {', '.join(each.replace('_', ' ') for each in fields)}",
        at=timezone.now(),
    )


def _by(request: HttpRequest, yard_id: int) -> Member | None:
    """Whoever runs the service need not work at the yard."""
    return Member.objects.filter(user=request.user.pk, yard=yard_id).first()


def _lines(formset: Any) -> Iterable[str]:
    gone = set(formset.deleted_objects)
    for line in formset.forms:
        if line.instance not in gone and line.has_changed():
            yield f"{line.instance._meta.verbose_name} {line.instance}: {_told(line)}"
    for row in gone:
        yield f"{row._meta.verbose_name} {row} taken out"


def _told(form: Any) -> str:
    names = [name for name in form.changed_data if name in form.cleaned_data]
    before = {name: _shown(form, name, form.initial[name]) for name in names if name in form.initial}
    return changes_told(before, {name: _shown(form, name, form.cleaned_data[name]) for name in names})


def _shown(form: Any, name: str, value: Any) -> Any:
    """As a person reads it: rows that are pointed to by their name."""
    field = form.fields[name]
    if isinstance(value, str | bytes) or value is None:
        return value
    if hasattr(value, "all") or isinstance(value, list | tuple):
        return sorted(str(each) for each in value)
    if isinstance(field, ModelChoiceField) and not isinstance(value, Model):
        found = field.queryset.filter(pk=value).first() if field.queryset is not None else None
        return str(found) if found is not None else str(value)
    return str(value) if isinstance(value, Model) else value


__all__ = ["back_room_note", "log_in_note"]
