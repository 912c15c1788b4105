"""Who saw what a tablet sends: who signed it in, or whom the entry names."""

from __future__ import annotations

from dataclasses import dataclass

from inspections.services.entry_places import NoPlaceAnyMore, Surroundings
from inspections.services.entry_sheet import EntrySheet, put_right
from inspections.services.step_sheet import StepSheet
from yard.locale_format import day_told
from yard.models import DeviceToken, Member
from yard.refusals import Refused


@dataclass(frozen=True, slots=True)
class Sender:
    """Who sends.

    Args:
        default: who is meant where an entry names nobody; None where it must name somebody.
        device: that sends, or that saved the file.
        from_file: the office loads what a tablet saved.
    """

    default: Member | None
    device: DeviceToken | None
    from_file: bool = False

    @property
    def must_name(self) -> bool:
        return self.default is None or (self.device is not None and self.device.shared)

    @property
    def may_name(self) -> bool:
        return self.from_file or self.default is None or self.device is not None


def author_of(sheet: EntrySheet | StepSheet, sender: Sender, around: Surroundings) -> Member:
    """The member who saw it.

    Raises:
        Refused: it names nobody and must, or somebody it can't speak for.
    """
    default = sender.default
    if sheet.author is None:
        if default is None or sender.must_name:
            raise Refused("author", "is missing, and several people share the tablet", "name the member who saw it")
        return default
    if default is not None and sheet.author == default.pk:
        return default
    if not sender.may_name:
        raise Refused("author", "is somebody else", "leave it out; only a tablet speaks for its users")
    author = around.members.get(sheet.author)
    if author is None:
        raise Refused("author", f"there is no member {sheet.author}", "name a member of the yard")
    return author


def refuse_who_had_left(author: Member, sheet: EntrySheet | StepSheet, around: Surroundings) -> None:
    """
    Raises:
        NoPlaceAnyMore: the author no longer worked at the yard on that day.
    """
    if author.left_on is None:
        return
    seen_on = put_right(sheet.observed_at, sheet.clock_offset_ms).astimezone(around.inspection.yard.zone).date()
    if seen_on >= author.left_on:
        raise NoPlaceAnyMore(
            f"{author.name} had left the yard on {day_told(author.left_on, around.inspection.yard.locale)}"
        )


__all__ = ["author_of", "refuse_who_had_left"]
