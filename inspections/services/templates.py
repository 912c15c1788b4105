"""Templates: a draft is edited, then published as the next version, and never changes again."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from inspections.models import Sign, Template, TemplateVersion
from inspections.templates import document
from inspections.templates.quantities import unit_refusals
from yard.models import ComponentClass, DeedKind, Member
from yard.refusals import Refused, RefusedMany
from yard.services.deeds import deed_note, thing_of

MOST_NOTE = 200


class EditedMeanwhile(Refused):
    """Somebody else has saved since the sender read the draft: nothing is written over theirs."""


@transaction.atomic
def template_create(
    *, component_class: ComponentClass, title: str, by: Member | None, at: datetime
) -> TemplateVersion:
    """Begin a template for a class that has none.

    Returns:
        Its empty first draft.

    Raises:
        Refused: no title, or the class has a template already.
    """
    title = _title(title)
    held = ComponentClass.objects.select_for_update(no_key=True).get(pk=component_class.pk)
    if Template.objects.filter(component_class=held).exists():
        raise Refused("component_class", f"{held.name} has a template already", "start a draft of that one")
    template = Template.objects.create(yard_id=held.yard_id, component_class=held, title=title)
    return _draft(template, number=1, opening_steps=[], checks=[], by=by, at=at)


@transaction.atomic
def draft_start(*, template: Template, by: Member | None, at: datetime) -> TemplateVersion:
    """The draft of a template's next version, with the text of the last one; the one there is, if there is one."""
    held = Template.objects.select_for_update(no_key=True).get(pk=template.pk)
    last = held.versions.first()  # newest number first
    if last is not None and last.published_at is None:
        return last
    return _draft(
        held,
        number=last.number + 1 if last else 1,
        opening_steps=last.opening_steps if last else [],
        checks=last.checks if last else [],
        by=by,
        at=at,
    )


@transaction.atomic
def draft_save(
    *,
    draft: TemplateVersion,
    opening_steps: object,
    checks: object,
    note: str,
    by: Member | None,
    edited_at: datetime,
    at: datetime,
) -> TemplateVersion:
    """Save a draft.

    Args:
        edited_at: when the draft that the sender changed was last saved.

    Raises:
        EditedMeanwhile: it has been saved since.
        RefusedMany: the text makes no sense; each refusal names its place.
        Refused: the version is published already.
    """
    held = draft_hold(draft)
    refuse_edited_meanwhile(held, edited_at)
    held.note = _note(note)
    return text_keep(held, opening_steps, checks, by=by, at=at)


@transaction.atomic
def draft_publish(
    *,
    draft: TemplateVersion,
    by: Member | None,
    at: datetime,
    edited_at: datetime | None = None,
    note: str | None = None,
) -> TemplateVersion:
    """Publish a draft: from now on inspections are made from it, and it never changes.

    Args:
        edited_at: as for `draft_save`; None where the publisher takes the draft as it is.
        note: what changed, in a sentence for whoever wonders next year; None leaves what the draft says.

    Raises:
        EditedMeanwhile: it has been saved since.
        RefusedMany: the text makes no sense, or names a sign that the yard no longer has.
        Refused: it is published already, or the note is empty or too long.
    """
    held = draft_hold(draft)
    if edited_at is not None:
        refuse_edited_meanwhile(held, edited_at)
    if note is not None:
        held.note = _note(note)
        if not held.note:
            raise Refused("note", "is missing", "say in a few words what changed and why")
    text_read(held, held.opening_steps, held.checks)
    held.published_at = at
    held.published_by = by
    held.save(update_fields=["note", "published_at", "published_by"])
    return held


@transaction.atomic
def draft_drop(*, draft: TemplateVersion, at: datetime, by: Member | None = None) -> None:
    """Throw a draft away, and with the only one the template: it can be begun anew.

    Raises:
        Refused: it is published already.
    """
    held = draft_hold(draft)
    template = Template.objects.select_for_update(no_key=True).get(pk=held.template_id)
    told, thing = f"{template.title}, version {held.number}", thing_of(template)
    held.delete()
    if not template.versions.exists():
        template.delete()
        thing = ""  # there is no page of it any more
    deed_note(yard=held.yard_id, kind=DeedKind.DRAFT_DROPPED, by=by, told=told, thing=thing, at=at)


@transaction.atomic
def template_rename(*, template: Template, title: str, at: datetime, by: Member | None = None) -> Template:
    """Call a template otherwise; its versions and what was made from them stay.

    Raises:
        Refused: no title, or one that is too long.
    """
    held: Template = Template.objects.select_for_update(no_key=True).get(pk=template.pk)
    before, held.title = held.title, _title(title)
    held.save(update_fields=["title"])
    if held.title != before:
        told, thing = f"{before} to {held.title}", thing_of(held)
        deed_note(yard=held.yard_id, kind=DeedKind.TEMPLATE_RENAMED, by=by, told=told, thing=thing, at=at)
    return held


def _draft(
    template: Template,
    *,
    number: int,
    opening_steps: object,
    checks: object,
    by: Member | None,
    at: datetime,
) -> TemplateVersion:
    version: TemplateVersion = TemplateVersion.objects.create(
        yard_id=template.yard_id,
        template=template,
        number=number,
        opening_steps=opening_steps,
        checks=checks,
        created_at=at,
        edited_at=at,
        edited_by=by,
    )
    return version


def draft_hold(draft: TemplateVersion) -> TemplateVersion:
    """The draft as it stands, held until the transaction ends.

    Raises:
        Refused: it is published by now, or thrown away.
    """
    held: TemplateVersion | None = (
        TemplateVersion.objects.select_for_update(no_key=True).filter(pk=draft.pk).first()
    )
    if held is None:
        raise Refused("version", "the draft was thrown away by somebody else", "start a new draft")
    if held.published_at is not None:
        raise Refused("version", f"version {held.number} is published and never changes", "start a new draft")
    return held


def text_read(
    version: TemplateVersion, opening_steps: object, checks: object, *, unfinished: bool = False
) -> document.TemplateDocument:
    """The text as the yard of a version can use it.

    Raises:
        RefusedMany: it makes no sense, or names a sign or a unit that is not known.
    """
    codes = frozenset(Sign.objects.of_yard(version.yard_id).values_list("code", flat=True))
    text = document.read(opening_steps, checks, sign_codes=codes, unfinished=unfinished)
    if units := tuple(unit_refusals(text)):
        raise RefusedMany(units)
    return text


def text_keep(
    held: TemplateVersion,
    opening_steps: object,
    checks: object,
    *,
    by: Member | None,
    at: datetime,
    nothing_new: bool = False,
) -> TemplateVersion:
    """Write a text into a draft that is held.

    Args:
        nothing_new: it stood there already and was put in order. A sign that the yard has given up since is told
            when the check is changed or the draft published, and does not hold up the order.

    Raises:
        RefusedMany: as for `text_read`; a draft may ask nothing yet.
    """
    if nothing_new:
        text = document.read(opening_steps, checks, unfinished=True)
    else:
        text = text_read(held, opening_steps, checks, unfinished=True)
    held.opening_steps = text.opening_steps_json()
    held.checks = text.checks_json()
    held.edited_at = at
    held.edited_by = by
    held.save(update_fields=["opening_steps", "checks", "note", "edited_at", "edited_by"])
    return held


def refuse_edited_meanwhile(held: TemplateVersion, edited_at: datetime) -> None:
    """
    Raises:
        EditedMeanwhile: the draft was saved after that moment.
    """
    if held.edited_at != edited_at:
        who = held.edited_by.name if held.edited_by is not None else "somebody else"
        raise EditedMeanwhile(
            "edited_at",
            f"the draft was saved by {who} at {held.edited_at.isoformat()}",
            "read it again and make the change there",
        )


def _title(title: str) -> str:
    title = " ".join(title.split())
    if not 1 <= len(title) <= 120:
        raise Refused("title", "is missing or too long", "give a title of 1 to 120 characters")
    return title


def _note(note: str) -> str:
    note = " ".join(note.split())
    if len(note) > MOST_NOTE:
        raise Refused("note", f"has {len(note)} characters", f"shorten it to {MOST_NOTE}")
    return note


__all__ = [
    "EditedMeanwhile",
    "draft_drop",
    "draft_hold",
    "draft_publish",
    "draft_save",
    "draft_start",
    "refuse_edited_meanwhile",
    "template_create",
    "template_rename",
    "text_keep",
    "text_read",
]
