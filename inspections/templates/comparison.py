"""What differs between two versions of a template, step by step and check by check.

Pure. Steps and checks are the same where their keys are: by its key a place is found again next year.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, Final, Generic, TypeVar

from inspections.templates.document import Check, OpeningStep, TemplateDocument

Part = TypeVar("Part", OpeningStep, Check)
SAME, CHANGED, ADDED, GONE = "same", "changed", "added", "gone"
# What the order within a field says nothing about.
_UNORDERED: Final = frozenset({"usual_signs", "contact", "after"})


@dataclass(frozen=True, slots=True)
class Pair(Generic[Part]):
    """A step or a check as it was and as it is.

    Args:
        before, after: None where it is not there.
        changed: names of the fields that differ, in their order.
        moved: it stands elsewhere among those that both versions have.
    """

    before: Part | None
    after: Part | None
    changed: tuple[str, ...] = ()
    moved: bool = False

    @property
    def outcome(self) -> str:
        if self.before is None:
            return ADDED
        if self.after is None:
            return GONE
        return CHANGED if self.changed else SAME

    @property
    def shown(self) -> Part:
        """As it is, or as it was where it is gone."""
        shown = self.after if self.after is not None else self.before
        assert shown is not None
        return shown

    @property
    def differs(self) -> bool:
        return self.moved or self.outcome != SAME


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two versions in the order of the later one; what is gone stands behind what it followed."""

    opening_steps: tuple[Pair[OpeningStep], ...]
    checks: tuple[Pair[Check], ...]

    @property
    def differs(self) -> bool:
        return any(pair.differs for pair in self.opening_steps) or any(pair.differs for pair in self.checks)

    def counted(self) -> dict[str, int]:
        """How many steps and checks were added, changed, moved and taken out."""
        pairs: list[Pair[OpeningStep] | Pair[Check]] = [*self.opening_steps, *self.checks]
        counted = {outcome: sum(pair.outcome == outcome for pair in pairs) for outcome in (ADDED, CHANGED, GONE)}
        return counted | {"moved": sum(pair.moved for pair in pairs)}


def compare(before: TemplateDocument, after: TemplateDocument) -> Comparison:
    """What became of one text in another."""
    return Comparison(
        opening_steps=_pairs(before.opening_steps, after.opening_steps),
        checks=_pairs(before.checks, after.checks),
    )


def differing_fields(before: Part, after: Part) -> tuple[str, ...]:
    """The names of the fields in which two editions of a step or a check differ, the key apart."""
    names = [field.name for field in fields(before) if field.name != "key"]
    return tuple(name for name in names if _plain(name, before) != _plain(name, after))


def _plain(name: str, part: Any) -> object:
    value = getattr(part, name)
    return frozenset(value) if name in _UNORDERED else value


def _pairs(before: Sequence[Part], after: Sequence[Part]) -> tuple[Pair[Part], ...]:
    was: Mapping[str, Part] = {part.key: part for part in before}
    now = {part.key for part in after}
    stayed = _longest_in_order([part.key for part in before if part.key in now], [part.key for part in after])
    pairs: list[Pair[Part]] = []
    for part in after:
        old = was.get(part.key)
        if old is None:
            pairs.append(Pair(None, part))
        else:
            pairs.append(Pair(old, part, differing_fields(old, part), part.key not in stayed))
    for place, part in enumerate(before):
        if part.key not in now:
            pairs.insert(_behind(pairs, before[:place]), Pair(part, None))
    return tuple(pairs)


def _behind(pairs: Sequence[Pair[Part]], earlier: Sequence[Part]) -> int:
    """Where something that is gone is shown: behind the nearest of those before it that is shown."""
    places = {pair.shown.key: place for place, pair in enumerate(pairs)}
    return next((places[part.key] + 1 for part in reversed(earlier) if part.key in places), 0)


def _longest_in_order(before: Sequence[str], after: Sequence[str]) -> frozenset[str]:
    """The most keys that stand in the same order in both: all the others were moved."""
    place = {key: number for number, key in enumerate(before)}
    turns = [place[key] for key in after if key in place]
    best: list[tuple[int, ...]] = []
    for turn in turns:
        longest = max((chain for chain in best if chain[-1] < turn), key=len, default=())
        best.append((*longest, turn))
    return frozenset(before[turn] for turn in max(best, key=len, default=()))


__all__ = ["ADDED", "CHANGED", "GONE", "SAME", "Comparison", "Pair", "compare", "differing_fields"]
