"""Looks at a place in earlier years: what was seen there, when, and what it was judged to be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.db.models import Q

from inspections.judgement.facts import EarlierLook
from inspections.judgement.vocabulary import Answer
from inspections.models import Assessment, Entry
from inspections.models.findings import FindingState
from inspections.selectors.entries import standing
from yard.models import Yard

# The component and the key of a check: the same question at the same part, in every year.
PlaceOfCheck = tuple[int, str]


@dataclass(frozen=True, slots=True)
class Look:
    """A look that saw a place, sound or not.

    Args:
        condition: what it was judged to be, by the newest judgement; None where it was sound, is not judged, or was
            put right and found sound since.
        signs: codes of what was seen; empty where it was sound.
    """

    inspection_year: int
    seen_on: date
    size_mm: Decimal | None
    condition: str | None
    signs: tuple[str, ...]

    def as_fact(self) -> EarlierLook:
        return EarlierLook(
            seen_on=self.seen_on,
            size_mm=None if self.size_mm is None else float(self.size_mm),
            condition=self.condition,  # type: ignore[arg-type]
        )


@dataclass(frozen=True, slots=True)
class Looks:
    """All looks at some places, oldest first, by spot and by the component and key of a check."""

    at_spot: Mapping[UUID, Sequence[Look]]
    at_check: Mapping[PlaceOfCheck, Sequence[Look]]

    def before(self, season_year: int, spot_id: UUID | None, check: PlaceOfCheck | None) -> list[Look]:
        """Those of earlier inspections at a place: a spot, or where there is none, a check of a component."""
        if spot_id is not None:
            looks = self.at_spot.get(spot_id, ())
        else:
            looks = self.at_check.get(check, ()) if check is not None else ()
        return [look for look in looks if look.inspection_year < season_year]


def looks_at(yard: Yard, spots: Collection[UUID], checks: Collection[PlaceOfCheck]) -> Looks:
    """Every standing look that saw one of these places; two queries, however many places there are."""
    if not spots and not checks:
        return Looks({}, {})
    same_place = Q(spot__in=spots) | Q(
        answers__component__in={component for component, _ in checks},
        answers__key__in={key for _, key in checks},
        answers__spot__isnull=True,
    )
    at_places = standing(Entry.objects.of_yard(yard).filter(same_place, answer__in=[Answer.SOUND, Answer.FINDING]))
    seen = list(
        at_places.values_list(
            "pk", "spot_id", "answers__component_id", "answers__key", "inspection__season_year",
            "observed_at", "received_at", "size_mm", "signs",
        )
    )  # fmt: skip
    conditions = dict(
        Assessment.objects.of_yard(yard)
        .filter(entry__in=at_places.values("pk"))  # there may be many looks at a place
        # What was put right and found sound afterwards does not run on; what a second look did not find, neither.
        .exclude(finding__state__in=[FindingState.VERIFIED, FindingState.WITHDRAWN])
        .order_by("made_at", "pk")
        .values_list("entry_id", "condition")
    )
    at_spot: dict[UUID, list[Look]] = defaultdict(list)
    at_check: dict[PlaceOfCheck, list[Look]] = defaultdict(list)
    for pk, spot_id, component_id, key, year, observed_at, received_at, size_mm, signs in seen:
        seen_on = seen_on_at(yard, observed_at, received_at)
        look = Look(year, seen_on, size_mm, conditions.get(pk), tuple(signs))
        if spot_id is not None:
            at_spot[spot_id].append(look)
        if key is not None:
            at_check[component_id, key].append(look)
    return Looks(at_spot, at_check)


def seen_on_at(yard: Yard, observed_at: datetime, received_at: datetime) -> date:
    """The day of a look, at the yard. A tablet whose clock runs ahead can't have looked after it has sent."""
    return min(observed_at, received_at).astimezone(yard.zone).date()


__all__ = ["Look", "Looks", "PlaceOfCheck", "looks_at", "seen_on_at"]
