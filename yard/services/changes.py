"""Changing what was entered: the yard's own settings, its people, the parts of its boats.

What is not named stays as it is. Callers hold the row's lock where two could change it at once.
"""

from __future__ import annotations

from calendar import day_name
from collections.abc import Callable, Mapping
from datetime import date, datetime
from decimal import Decimal
from functools import partial
from typing import Any, Final

from django.db import IntegrityError, transaction
from django.db.models import Model

from yard.locale_format import locale_check
from yard.models import Boat, Component, DeedKind, Member, Owner, PlanLevel, Role, Spot, VatClass, Yard
from yard.refusals import Refused
from yard.services.checks import (
    Sheet,
    choice_check,
    dates_check,
    decimal_check,
    email_check,
    hours_per_week_check,
    integer_check,
    text_check,
    time_zone_check,
    weekdays_check,
)
from yard.services.deeds import change_note, deed_note
from yard.working_days import WorkingCalendar

Check = Callable[[Any], object]


def _text(field: str, longest: int, *, blank: bool = False) -> Check:
    return partial(text_check, field=field, longest=longest, blank=blank)


def _degrees(field: str, limit: int) -> Check:
    def check(value: Any) -> Decimal | None:
        if value is None:
            return None
        return decimal_check(value, field=field, low=Decimal(-limit), high=Decimal(limit), places=5, unit="°")

    return check


def _day_or_none(field: str) -> Check:
    def check(value: Any) -> date | None:
        if value is None or isinstance(value, date):
            return value
        raise Refused(field, "is no day", "give a day like 2027-10-31, or nothing")

    return check


def _thousandths_or_none(field: str) -> Check:
    def check(value: Any) -> int | None:
        if value is None:
            return None
        return integer_check(value, field=field, low=0, high=1000, unit="thousandths of the plan")

    return check


# The currency is not among them: prices and quotes stand in it.
YARD: Final[Mapping[str, Check]] = {
    "name": _text("name", 120),
    "time_zone": time_zone_check,
    "vat_rate_pct": partial(
        decimal_check, field="vat_rate_pct", low=Decimal(0), high=Decimal(100), places=2, unit="%"
    ),
    "locale": lambda value: str(locale_check(value)),
    "working_weekdays": weekdays_check,
    "holiday_country": _text("holiday_country", 2, blank=True),
    "holiday_subdivision": _text("holiday_subdivision", 6, blank=True),
    "own_holidays": partial(dates_check, field="own_holidays"),
    "latitude": _degrees("latitude", 90),
    "longitude": _degrees("longitude", 180),
    "mail_from": partial(email_check, field="mail_from", blank=True),
    "quote_valid_days": partial(integer_check, field="quote_valid_days", low=1, high=365, unit="days"),
    "hours_per_week": hours_per_week_check,
}
OWNER: Final[Mapping[str, Check]] = {
    "name": _text("name", 120),
    "email": email_check,
    "phone": _text("phone", 40, blank=True),
    "locale": lambda value: str(locale_check(value)),
}
MEMBER: Final[Mapping[str, Check]] = {
    "name": _text("name", 120),
    "role": lambda value: choice_check(value, Role.values, field="role"),
    "left_on": _day_or_none("left_on"),
}
COMPONENT: Final[Mapping[str, Check]] = {
    "name": _text("name", 120),
    "position": _text("position", 120, blank=True),
    "species": _text("species", 60, blank=True),
    "finish": _text("finish", 60, blank=True),
}
SPOT: Final[Mapping[str, Check]] = {
    "name": _text("name", 120),
    "plan_x": _thousandths_or_none("plan_x"),
    "plan_y": _thousandths_or_none("plan_y"),
    "level": lambda value: choice_check(value, PlanLevel.values, field="level"),
}


@transaction.atomic
def yard_change(*, yard: Yard, changes: Mapping[str, object], at: datetime, by: Member | None = None) -> Yard:
    """Change settings of a yard.

    Raises:
        Refused: a field that can't be changed or a value that can't be; together, what contradicts itself.
    """
    before = _values(yard, changes)
    rate_before = yard.vat_rate_pct
    sheet = _read(yard, changes, YARD)
    if yard.vat_rate_pct != rate_before:
        told = VatClass.objects.of_yard(yard).filter(for_work=True, rates__isnull=False).first()
        remedy = "enter the rate there, with the day from which it holds"
        sheet.hold(told is None, Refused("vat_rate_pct", f"is told by the VAT class {told}", remedy))
    sheet.hold(
        (yard.latitude is None) == (yard.longitude is None),
        Refused("longitude" if yard.longitude is None else "latitude", "is missing", "give both or neither"),
    )
    # The calendar itself knows which countries and parts of them have holidays it can keep.
    sheet.read(lambda: _calendar(yard), None)
    sheet.close()
    yard.save(update_fields=list(changes))
    kind = DeedKind.SETTINGS_CHANGED
    change_note(row=yard, kind=kind, what="", before=before, after=_values(yard, changes), by=by, at=at)
    return yard


@transaction.atomic
def owner_change(*, owner: Owner, changes: Mapping[str, object], at: datetime, by: Member | None = None) -> Owner:
    """Change what is known of an owner.

    Raises:
        Refused: a value that can't be, or the address of another owner.
    """
    before, what = _values(owner, changes), owner.name
    _read(owner, changes, OWNER).close()
    taken = Refused("email", "belongs to another owner of this yard", "take that owner, or another address")
    if Owner.objects.of_yard(owner.yard_id).filter(email__iexact=owner.email).exclude(pk=owner.pk).exists():
        raise taken
    try:
        with transaction.atomic():
            owner.save(update_fields=list(changes))
    except IntegrityError as error:
        raise taken from error
    kind, after = DeedKind.OWNER_CHANGED, _values(owner, changes)
    change_note(row=owner, kind=kind, what=what, before=before, after=after, by=by, at=at)
    return owner


@transaction.atomic
def member_change(
    *, member: Member, changes: Mapping[str, object], at: datetime, by: Member | None = None
) -> Member:
    """Change a member's name, role, or the day they leave.

    Raises:
        Refused: a value that can't be; the last manager may not go; a boat would lose her decider.
    """
    was_manager = member.is_manager and member.left_on is None and member.user.is_active
    role_before, left_before, name_before = member.role, member.left_on, member.name
    sheet = _read(member, changes, MEMBER)
    sheet.close()
    if was_manager and (not member.is_manager or member.left_on is not None):
        manager_may_go(member, field="role" if not member.is_manager else "left_on")
    member.save(update_fields=list(changes))
    if member.name != name_before:
        told = f"{name_before} to {member.name}"
        deed_note(yard=member.yard_id, kind=DeedKind.NAME_CHANGED, by=by, about=member, told=told, at=at)
    if member.role != role_before:
        told = f"{member.name}: {Role(role_before).label} to {Role(member.role).label}"
        deed_note(yard=member.yard_id, kind=DeedKind.ROLE_CHANGED, by=by, about=member, told=told, at=at)
    if member.left_on != left_before:
        kind = DeedKind.REOPENED if member.left_on is None else DeedKind.CLOSED
        told = member.name if member.left_on is None else f"{member.name}, from {member.left_on.isoformat()} on"
        deed_note(yard=member.yard_id, kind=kind, by=by, about=member, told=told, at=at)
    return member


def manager_may_go(member: Member, *, field: str) -> None:
    """Hold that the yard is not left to nobody, and no boat without her decider. In the caller's transaction.

    Raises:
        Refused: the only manager, or who decides on a boat.
    """
    # Two managers don't leave the yard to nobody at the same time: the second waits here, and only then reads who
    # is left. (Rows that are held while they are read tell of their log-ins as they were before the wait.)
    Yard.objects.select_for_update(no_key=True).get(pk=member.yard_id)
    managers = Member.objects.of_yard(member.yard_id).filter(role=Role.MANAGER, left_on=None, user__is_active=True)
    if not managers.exclude(pk=member.pk).exists():
        raise Refused(field, f"{member.name} is the only manager", "make somebody else a manager first")
    decides = Boat.objects.filter(decider_member=member, left_on=None).values_list("name", flat=True)
    if decides:
        raise Refused(
            field, f"{member.name} decides on {', '.join(decides[:5])}", "name another decider for her first"
        )


@transaction.atomic
def component_change(
    *, component: Component, changes: Mapping[str, object], at: datetime, by: Member | None = None
) -> Component:
    """Change what is known of a part.

    Raises:
        Refused: a value that can't be, or the name and position of another part of the boat.
    """
    before, what = _values(component, changes), f"{component.boat.name}, {component}"
    _read(component, changes, COMPONENT).close()
    try:
        with transaction.atomic():
            component.save(update_fields=list(changes))
    except IntegrityError as error:
        raise Refused(
            "name",
            f"she has (or had) a part of this name and position: {component}",
            "give a position that tells the two apart",
        ) from error
    kind, after = DeedKind.PART_CHANGED, _values(component, changes)
    change_note(row=component, kind=kind, what=what, before=before, after=after, by=by, at=at)
    return component


@transaction.atomic
def spot_change(*, spot: Spot, changes: Mapping[str, object], at: datetime, by: Member | None = None) -> Spot:
    """Change a spot's name, or where it is on the plan. Its tag and its part stay: its history hangs on them.

    Raises:
        Refused: a value that can't be, or one coordinate without the other.
    """
    before, what = _values(spot, changes), f"{spot.component.boat.name}, {spot.component}: {spot.name}"
    sheet = _read(spot, changes, SPOT)
    sheet.hold(
        (spot.plan_x is None) == (spot.plan_y is None),
        Refused("plan_x" if spot.plan_x is None else "plan_y", "is missing", "give both coordinates or neither"),
    )
    sheet.close()
    spot.save(update_fields=list(changes))
    kind, after = DeedKind.SPOT_CHANGED, _values(spot, changes)
    change_note(row=spot, kind=kind, what=what, before=before, after=after, by=by, at=at)
    return spot


def _read(row: Model, changes: Mapping[str, object], checks: Mapping[str, Check]) -> Sheet:
    """Set the checked values on the row; what was refused is in the sheet."""
    sheet = Sheet()
    for name, value in changes.items():
        check = checks.get(name)
        if check is None:
            sheet.hold(False, Refused(name, "can't be changed", f"change only: {', '.join(checks)}"))
            continue
        setattr(row, name, sheet.read(partial(check, value), getattr(row, name)))
    return sheet


def _values(row: Model, changes: Mapping[str, object]) -> dict[str, Any]:
    """What the row has in the fields that are to be changed, as the deeds tell it."""
    values: dict[str, Any] = {name: getattr(row, name, None) for name in changes}
    if "working_weekdays" in values:
        values["working_weekdays"] = [day_name[day] for day in values["working_weekdays"]]
    return values


def _calendar(yard: Yard) -> WorkingCalendar:
    return WorkingCalendar(
        working_weekdays=frozenset(yard.working_weekdays),
        holiday_country=yard.holiday_country,
        holiday_subdivision=yard.holiday_subdivision,
    )


__all__ = ["component_change", "manager_may_go", "member_change", "owner_change", "yard_change"]
