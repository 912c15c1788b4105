"""What others ask the ground floor."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Final

from django.db.models import Q, QuerySet

from yard.models import Boat, Deed, Member, Owner, Season, VatRate, Yard, YardOwned
from yard.refusals import Refused
from yard.words import with_words
from yard.working_days import WorkingCalendar


def today_at(yard: Yard, now: datetime) -> date:
    """The day it is at the yard at this moment."""
    return now.astimezone(yard.zone).date()


def season_of(yard: Yard, on_date: date) -> Season:
    """The season that a day belongs to: from the day after one lay-up to the next lay-up.

    Raises:
        Refused: no season that ends on this day or later has been entered.
    """
    season: Season | None = Season.objects.of_yard(yard).filter(layup_on__gte=on_date).order_by("layup_on").first()
    if season is None:
        raise Refused(
            "season",
            f"none has been entered that {on_date.isoformat()} could belong to",
            "enter the season with its launch and lay-up days first",
        )
    return season


def who_changed(yard: Yard, thing: str, words: str = "") -> str:
    """Who was the last to do something to a row, by the deeds; empty where nobody can be told.

    Args:
        thing: as the deeds name it.
        words: what is told of it, such as the field that was changed.
    """
    rows = Deed.objects.of_yard(yard).filter(thing=thing, told__contains=words).order_by("-at", "-pk")
    name: str | None = rows.values_list("by__name", flat=True).first()
    return name or ""


@dataclass(frozen=True, slots=True)
class VatRates:
    """VAT rates of a day [%]: on the yard's work, and by the key of a class."""

    work: Decimal
    by_class: Mapping[int, Decimal]

    def of(self, vat_class: int | None) -> Decimal:
        """The rate of a class; what is in none, or in one whose first rate has not begun, goes with the work."""
        return self.work if vat_class is None else self.by_class.get(vat_class, self.work)


def vat_rates_on(yard: Yard, on_date: date) -> VatRates:
    """The rates that hold on a day, in one query. Until a class for work has begun, the yard's own rate holds."""
    work, by_class = yard.vat_rate_pct, {}
    begun = VatRate.objects.of_yard(yard).filter(valid_from__lte=on_date).select_related("vat_class")
    for rate in begun.order_by("valid_from"):
        by_class[rate.vat_class_id] = rate.rate_pct
        if rate.vat_class.for_work:
            work = rate.rate_pct
    return VatRates(work, by_class)


def working_calendar_of(yard: Yard) -> WorkingCalendar:
    """The yard's working week, public holidays and own closed days."""
    return WorkingCalendar(
        working_weekdays=frozenset(yard.working_weekdays),
        own_holidays=frozenset(date.fromisoformat(day) for day in yard.own_holidays),
        holiday_country=yard.holiday_country,
        holiday_subdivision=yard.holiday_subdivision,
    )


def at_work(today: date) -> Q:
    """Of members: who works at the yard on this day, and may sign in."""
    return Q(Q(left_on=None) | Q(left_on__gt=today), user__is_active=True)


def members_at_work(yard: Yard, now: datetime) -> list[Member]:
    """Who works at the yard today, by name."""
    return list(Member.objects.of_yard(yard).filter(at_work(today_at(yard, now))).order_by("name", "pk"))


def boats_named(yard: Yard, model: type[YardOwned], field: str = "boat") -> list[Boat]:
    """The boats that rows of a model name, by name: to one of these a list of such rows can be narrowed."""
    named = model.objects.of_yard(yard).order_by().values(field)
    return list(Boat.objects.of_yard(yard).filter(pk__in=named).order_by("name", "pk"))


def members_named(yard: Yard, model: type[YardOwned], field: str) -> list[Member]:
    """The same for members, who may have left."""
    named = model.objects.of_yard(yard).order_by().values(field)
    return list(Member.objects.of_yard(yard).filter(pk__in=named).order_by("name", "pk"))


BOAT_TEXTS: Final = ("name", "material", "owners__name", "decider_owner__name", "decider_member__name")


def boats_narrowed(
    boats: QuerySet[Boat],
    *,
    text: str = "",
    build: str = "",
    decider: Owner | Member | None = None,
    left: bool | None = None,
) -> QuerySet[Boat]:
    """The boats that fit all that is asked for.

    Args:
        text: each of its words stands in her name, her material, an owner's or the decider's name.
        build: built so.
        decider: who decides on her.
        left: those that left the yard, or those that are in its care; None for both.
    """
    if build:
        boats = boats.filter(build=build)
    if decider is not None:
        boats = boats.filter(**{"decider_owner" if isinstance(decider, Owner) else "decider_member": decider})
    if left is not None:
        boats = boats.filter(left_on__isnull=not left)
    return with_words(boats, text, BOAT_TEXTS, to_several=True)
