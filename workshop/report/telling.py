"""The reasons of a judgement, sorted the way a surveyor reads them.

Each sentence stays as it was written and is told once. Judgement says itself what each is about; in a quote of the
second format, which is English, that follows from the judgement's own fields: a sentence that must not be done is
named there, and the others are known by the figure or the day they carry. What can't be told apart stays with the
sentence before it, so a quote of the first format reads as one paragraph.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django.utils.translation import gettext, gettext_noop

from inspections.judgement.speech.english import day_in_words
from inspections.judgement.vocabulary import ReasonGroup
from workshop.quoting.document import DryingPart, FindingPart, JudgedPart

# What a report writes beside each group; the first has nothing and says what it means.
LABELS: Final = {
    ReasonGroup.WHAT: "",
    ReasonGroup.GO_BY: gettext_noop("What we go by"),
    ReasonGroup.LIKELY: gettext_noop("How likely"),
    ReasonGroup.WHEN: gettext_noop("When"),
    ReasonGroup.DO_NOT: gettext_noop("Not to be done"),
    ReasonGroup.MEANWHILE: gettext_noop("Meanwhile"),
    ReasonGroup.SEALED: gettext_noop("To be sealed"),
    ReasonGroup.BESIDES: gettext_noop("Besides"),
}


@dataclass(frozen=True, slots=True)
class Told:
    """Sentences under a label; the first group has none and says what it means."""

    label: str
    sentences: tuple[str, ...]


def told(finding: FindingPart) -> tuple[Told, ...]:
    """The reasons of a finding in groups; every sentence is in one of them, as it was written."""
    said, judged = finding.reasons, finding.judged
    if finding.reason_groups:
        about = tuple(zip(finding.reason_groups, said, strict=True))
        return tuple(
            Told(gettext(LABELS[group]) if LABELS[group] else "", sentences)
            for group in ReasonGroup
            if (sentences := tuple(sentence for each, sentence in about if each == group))
        )
    if judged is None:
        return (Told("", said),)
    stake = _first(said, 0, lambda each: f"(severity {finding.severity}," in each)
    likely = None if stake is None else _first(said, stake, lambda each: _is_likely(each, finding))
    after = 0 if likely is None else likely + 1
    drying = _drying(said, after, judged.drying)
    harm = {place for place in range(after, len(said)) if said[place] in judged.do_not}
    hold = {
        place for place in range(after, len(said)) if judged.hold is not None and judged.hold.say in said[place]
    }
    claimed = drying | harm | hold
    due = _last_day(said, after, min(claimed, default=len(said)), judged)
    when_to = min(claimed, default=len(said) if due is None else due + 1)
    when_from = after if likely is not None else (when_to if due is None else due)
    measured = _measured(said, when_from if stake is None else stake, finding)
    likely_from = when_from if stake is None else stake
    # what was seen is told with what was measured, unless nothing else would be left to say what it means
    seen = 1 if measured > 1 and finding.signs and _names_all(said[0], finding.signs) else 0
    groups = (
        (ReasonGroup.WHAT, range(seen, measured)),
        (ReasonGroup.GO_BY, [*range(seen), *range(measured, likely_from)]),
        (ReasonGroup.LIKELY, range(likely_from, when_from)),
        (ReasonGroup.WHEN, range(when_from, when_to)),
        (ReasonGroup.DO_NOT, sorted(harm)),
        (ReasonGroup.MEANWHILE, sorted(hold - harm)),
        (ReasonGroup.SEALED, sorted(drying - harm - hold)),
        (ReasonGroup.BESIDES, [place for place in range(when_to, len(said)) if place not in claimed]),
    )
    return tuple(
        Told(gettext(LABELS[group]) if LABELS[group] else "", tuple(said[place] for place in places))
        for group, places in groups
        if places
    )


def _names_all(sentence: str, signs: Sequence[str]) -> bool:
    return all(sign.lower() in sentence.lower() for sign in signs)


def _is_likely(sentence: str, finding: FindingPart) -> bool:
    return f"likelihood {finding.probability_level}," in sentence


def _measured(said: Sequence[str], end: int, finding: FindingPart) -> int:
    """Where the figures begin: the first sentence that carries the size or a reading of the spot."""
    figures = [] if finding.size_mm is None else [_figure(finding.size_mm, "mm")]
    figures += [_figure(reading.value, "%") for reading in finding.readings if reading.unit in {"pct", "%"}]
    # the first sentence is what was seen or what it is
    place = _first(said[:end], 1, lambda each: any(figure in each for figure in figures))
    return end if place is None else place


def _drying(said: Sequence[str], start: int, drying: DryingPart | None) -> set[int]:
    """The sentences of the drying: the one with the moisture to be reached, and those its other fields call for."""
    if drying is None:
        return set()
    target = _english(drying.target_pct) + " %"
    first = _first(said, start, lambda each: target in each)
    if first is None:
        return set()
    in_shed = drying.shed_likely_on is not None and drying.shed_likely_on != drying.likely_on
    return set(range(first, min(first + 1 + in_shed + drying.too_late, len(said))))


def _last_day(said: Sequence[str], start: int, end: int, judged: JudgedPart) -> int | None:
    day = day_in_words(judged.due_on)
    return max((place for place in range(start, end) if day in said[place]), default=None)


def _first(said: Sequence[str], start: int, fits: Callable[[str], bool]) -> int | None:
    places: Iterable[int] = range(start, len(said))
    return next((place for place in places if fits(said[place])), None)


def _figure(value: Decimal, unit: str) -> str:
    return f" {_english(value)} {unit}"


def _english(number: Decimal) -> str:
    return format(number.normalize(), "f")


__all__ = ["Told", "told"]
