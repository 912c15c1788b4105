"""How the office tells a template in words: steps, checks, what differs between two of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from inspections.models import Sign, TemplateVersion
from inspections.templates import document
from inspections.templates.comparison import ADDED, CHANGED, GONE, Pair, compare
from inspections.templates.document import AnswerKind, Check, OpeningStep, ReadingAsked
from inspections.templates.editing import CHECKS, STEPS, digest_of
from inspections.templates.quantities import BY_CODE, UNITS
from web.office.template_words import FIELDS, KINDS
from yard.models import Yard

BECAME: Final = {ADDED: "added", CHANGED: "changed", GONE: "taken out"}


@dataclass(frozen=True, slots=True)
class Words:
    """What codes and keys are called.

    Args:
        signs: names by code.
        steps: texts by key.
    """

    signs: Mapping[str, str]
    steps: Mapping[str, str]

    def told(self, name: str, value: Any) -> str:
        """The value of a field of a step or a check, in words."""
        if name == "usual_signs":
            return ", ".join(self.signs.get(code, f"{code}, which is no sign of the yard") for code in value)
        if name == "after":
            return "; ".join(self.steps.get(key, key) for key in value)
        if name == "contact":
            return ", ".join(contact.label for contact in value)
        if name == "answer_kind":
            return KINDS[value].name
        if name == "kind":
            return str(value.label)
        if name == "shares":
            return shares_told(value)
        if isinstance(value, ReadingAsked):
            return reading_told(value)
        if isinstance(value, bool):
            return "yes" if value else "no"
        return str(value or "")


@dataclass(frozen=True, slots=True)
class ItemView:
    """A step or a check as a page shows it.

    Args:
        seen: digest of what it says, for the forms that change it.
        facts: pairs of a name and what stands there; what says nothing is left out.
        waiting: how many checks come after it, where it is a step.
    """

    key: str
    title: str
    kind: str
    seen: str
    facts: tuple[tuple[str, str], ...]
    waiting: int = 0


@dataclass(frozen=True, slots=True)
class PairView:
    """A step or a check as it was and as it is.

    Args:
        became: added, changed, taken out; empty where it only moved or stayed.
        lines: name, before and after of each field that differs.
    """

    title: str
    became: str
    moved: bool
    lines: tuple[tuple[str, str, str], ...]
    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ComparisonView:
    steps: tuple[PairView, ...]
    checks: tuple[PairView, ...]
    same: tuple[str, ...]
    counted: str

    @property
    def differs(self) -> bool:
        return bool(self.steps or self.checks)


def read(version: TemplateVersion) -> document.TemplateDocument:
    return document.read(version.opening_steps, version.checks, unfinished=True)


def words_of(yard: Yard, *texts: document.TemplateDocument) -> Words:
    """The words for these texts; of two that name the same step, the later one's."""
    signs = dict(Sign.objects.of_yard(yard).values_list("code", "name"))
    return Words(signs, {step.key: step.text for text in texts for step in text.opening_steps})


def item_views(version: TemplateVersion, words: Words) -> dict[str, list[ItemView]]:
    """All steps and checks of a version, in their order."""
    text = read(version)
    waiting = [key for check in text.checks for key in check.after]
    digests = {
        part: {item["key"]: digest_of(item) for item in items}
        for part, items in ((STEPS, version.opening_steps), (CHECKS, version.checks))
    }
    return {
        STEPS: [
            ItemView(
                key=step.key,
                title=step.text,
                kind=step.kind.label,
                seen=digests[STEPS][step.key],
                facts=_facts(step, words),
                waiting=waiting.count(step.key),
            )
            for step in text.opening_steps
        ],
        CHECKS: [
            ItemView(
                key=check.key,
                title=check.prompt,
                kind=_answer_told(check),
                seen=digests[CHECKS][check.key],
                facts=_facts(check, words),
            )
            for check in text.checks
        ],
    }


def comparison_view(yard: Yard, before: TemplateVersion, after: TemplateVersion) -> ComparisonView:
    """What differs between two versions, in words."""
    texts = read(before), read(after)
    words, found = words_of(yard, *texts), compare(*texts)
    counted = {name: count for name, count in found.counted().items() if count}
    told = {"added": "added", "changed": "changed", "gone": "taken out", "moved": "moved"}
    same = [pair for pair in found.opening_steps if not pair.differs], [p for p in found.checks if not p.differs]
    return ComparisonView(
        steps=tuple(_pair_view(pair, words) for pair in found.opening_steps if pair.differs),
        checks=tuple(_pair_view(pair, words) for pair in found.checks if pair.differs),
        same=(*(pair.shown.text for pair in same[0]), *(pair.shown.prompt for pair in same[1])),
        counted=", ".join(f"{count} {told[name]}" for name, count in counted.items()),
    )


def lines_between(
    before: Any, after: Any, changed: tuple[str, ...], words: Words
) -> tuple[tuple[str, str, str], ...]:
    """Name, before and after of each field that differs."""
    return tuple(
        (FIELDS[name], words.told(name, getattr(before, name)), words.told(name, getattr(after, name)))
        for name in changed
    )


def reading_told(asked: ReadingAsked) -> str:
    known = BY_CODE.get(asked.quantity)
    name = known.name if known is not None else asked.quantity.replace("_", " ").capitalize()
    return f"{name}, {asked.minimum:f} to {asked.maximum:f} {UNITS.get(asked.unit, asked.unit)}"


def shares_told(shares: str) -> str:
    return shares.replace("_", " ")


def _answer_told(check: Check) -> str:
    if check.answer_kind is AnswerKind.READING and check.reading is not None:
        return f"A reading: {reading_told(check.reading)}"
    return KINDS[check.answer_kind].name


def _pair_view(pair: Pair[Any], words: Words) -> PairView:
    part = pair.shown
    return PairView(
        title=part.text if isinstance(part, OpeningStep) else part.prompt,
        became=BECAME.get(pair.outcome, ""),
        moved=pair.moved,
        lines=lines_between(pair.before, pair.after, pair.changed, words),
        facts=_facts(part, words) if pair.outcome in (ADDED, GONE) else (),
    )


def _facts(part: OpeningStep | Check, words: Words) -> tuple[tuple[str, str], ...]:
    names: tuple[str, ...] = ("shares",)
    if isinstance(part, Check):
        names = ("look_for", "usual_signs", "after", "contact", "both_sides", "photo_wanted")
    told = ((name, words.told(name, getattr(part, name))) for name in names if getattr(part, name))
    return tuple((FIELDS[name], text) for name, text in told)


__all__ = [
    "ComparisonView",
    "ItemView",
    "PairView",
    "Words",
    "comparison_view",
    "item_views",
    "lines_between",
    "read",
    "reading_told",
    "shares_told",
    "words_of",
]
