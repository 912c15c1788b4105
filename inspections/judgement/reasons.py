"""The judgement in short plain sentences for an owner, the weightiest first."""

from __future__ import annotations

from collections.abc import Iterator

from inspections.judgement.case import Case
from inspections.judgement.circumstances import WORSE_TRENDS
from inspections.judgement.evidence import Evidence
from inspections.judgement.treatments import Advice
from inspections.judgement.unseen import cap_has_passed
from inspections.judgement.vocabulary import Condition, DueBackKind, Load, Priority, RiskLevel, Sides, Trend, Water
from inspections.judgement.wording import (
    HOW_LIKELY,
    IF_IT_FAILS,
    RISK_IN_WORDS,
    TO_DO,
    TREND_IN_WORDS,
    WHAT_IT_IS,
    WHEN,
    day_in_words,
    joined,
    odds,
    within_a_sentence,
)

# what the sentence about the condition says already
SAID = frozenset({(Condition.SPLIT_IN_LOAD_PATH, Evidence.IN_LOAD_PATH)})


def _seen(case: Case, advice: Advice) -> Iterator[str]:
    names = sorted({sign.name for sign in case.finding.signs if sign.name})
    if names:
        yield f"Seen: {joined([within_a_sentence(name) for name in names])}."


def _what(case: Case, advice: Advice) -> Iterator[str]:
    weighed = case.deciding.weighed
    if weighed.condition is Condition.FINISH_ONLY and not weighed.named_by:
        yield "A mark: nothing that was recorded speaks for damage that goes on."
        return
    because = [evidence.label for evidence in weighed.speaks_for if (weighed.condition, evidence) not in SAID]
    sentence = WHAT_IT_IS[weighed.condition]
    if weighed.condition is Condition.SPLIT_IN_LOAD_PATH and Evidence.NO_LOAD in weighed.speaks_against:
        sentence = "The wood is split, though nothing loads it"
    yield f"{sentence}: {joined(because)}." if because else f"{sentence}."


def _besides(case: Case, advice: Advice) -> Iterator[str]:
    others = [
        line.weighed.condition.label
        for line in case.lines
        if line is not case.deciding and line.weighed.condition is not Condition.FINISH_ONLY
    ]
    if others:
        yield f"Besides: {joined(others)}."


def _weighed_and_set_aside(case: Case, advice: Advice) -> Iterator[str]:
    for weighed in case.weighed:
        if not weighed.holds and weighed.speaks_against:
            against = joined([evidence.label for evidence in weighed.speaks_against])
            yield f"Looked into and set aside: {weighed.condition.label}, because {against}."


def _size(case: Case, advice: Advice) -> Iterator[str]:
    finding, trend = case.finding, case.around.trend
    before = finding.measured_before
    if finding.size_mm is not None and before is not None and before.size_mm is not None:
        then = day_in_words(before.seen_on)
        if case.around.measured_still or finding.size_mm <= before.size_mm:
            yield f"It measured {before.size_mm:g} mm on {then} and measures {finding.size_mm:g} mm now."
        else:
            yield f"It grew from {before.size_mm:g} mm to {finding.size_mm:g} mm since {then}."
        return
    told = []
    if finding.size_mm is not None:
        told.append(f"measures {finding.size_mm:g} mm")
    if trend is not Trend.UNKNOWN:
        told.append(TREND_IN_WORDS[trend])
    if told:
        yield f"It {joined(told)}."


def _moisture(case: Case, advice: Advice) -> Iterator[str]:
    here, beside = case.finding.moisture_pct, case.finding.moisture_beside_pct
    if here is None:
        return
    if beside is None:
        yield f"The meter shows {here:g} % here; nobody took a reading beside it."
    else:
        yield f"The meter shows {here:g} % here and {beside:g} % in sound wood beside it."
    if case.around.read_again:
        yield "Weather or salt may explain that: wash it, let it dry and read it again before paying for more."


def _out_of_sight(case: Case, advice: Advice) -> Iterator[str]:
    months = case.around.unseen_months
    if months is None:
        if case.deciding.weighed.condition is Condition.UNSEEN:
            yield "Nothing tells when the hidden part was last seen."
        return
    matters = (
        case.deciding.weighed.condition is Condition.UNSEEN
        or cap_has_passed(months, case.component)
        or case.due.kind is DueBackKind.OPEN_UP
    )
    if matters:
        yield (
            f"Nobody has seen the hidden part for {months:.0f} months; a part like this is opened up at least "
            f"every {case.component.open_up_months} months."
        )


def _what_works_on_it(case: Case, advice: Advice) -> Iterator[str]:
    around = case.around
    works = []
    if around.water_reaches:
        works.append(around.water.label)
    if around.load_works:
        works.append(around.load.label)
    if works and case.deciding.risk is not RiskLevel.ELIMINATED:
        yield f"At work there: {joined(works)}."
    if around.trend in WORSE_TRENDS and case.finding.size_mm is not None and not case.finding.measured_before:
        yield "It is getting worse, though nobody measured by how much."


def _stake(case: Case, advice: Advice) -> Iterator[str]:
    line = case.deciding
    if line.risk is RiskLevel.ELIMINATED:
        return
    yield f"{IF_IT_FAILS[case.around.role]} (severity {line.severity}, from 1 the gravest to 4)."
    shown = line.likelihood.probability >= case.rules.progression.shown_from
    figure = f"{odds(line.likelihood.probability)}; " if shown else ""
    yield f"{HOW_LIKELY[line.level]} ({figure}likelihood {line.level}, from A to E): {RISK_IN_WORDS[line.risk]}."


def _when(case: Case, advice: Advice) -> Iterator[str]:
    if case.left_alone:
        only_a_mark = case.deciding.weighed.condition is Condition.FINISH_ONLY
        yield f"It can be left as it is: {'a mark is no defect' if only_a_mark else 'nothing works on it'}."
    elif (
        case.pressing.priority is Priority.NEXT_LAYUP and case.due.kind is DueBackKind.OPEN_UP and case.due.overdue
    ):
        yield "Repairs, if it wants any, can wait for the next lay-up."
    else:
        yield f"{WHEN[case.pressing.priority]}: {case.pressing.because}."


def _days(case: Case, advice: Advice) -> Iterator[str]:
    due, priority = case.due, case.pressing.priority
    if priority is Priority.BEFORE_LAUNCH:
        if case.finding.observed_on >= due.launch_on:
            yield "The boat is in the water already: put no load on it and stay in the harbour until then."
        elif due.put_right_on is not None and due.put_right_on >= due.launch_on:
            yield f"No working day is left before {day_in_words(due.launch_on)}: the launch has to wait."
        else:
            yield f"The launch is on {day_in_words(due.launch_on)}."
    elif priority is Priority.NEXT_LAYUP:
        yield f"The next lay-up begins on {day_in_words(due.layup_on)}."
    if due.overdue and due.kind is DueBackKind.OPEN_UP:
        yield f"It was to be opened by {day_in_words(due.by_the_rules)} and is overdue. {TO_DO[due.kind]} now."
    elif due.overdue:
        yield f"It was due on {day_in_words(due.by_the_rules)} and is overdue. {TO_DO[due.kind]} now."
    else:
        yield f"{TO_DO[due.kind]} by {day_in_words(due.on)}."
    if due.put_right_on is not None and due.kind is not DueBackKind.PUT_RIGHT and due.put_right_on > due.on:
        yield f"What is found is put right by {day_in_words(due.put_right_on)}."


def _drying(case: Case, advice: Advice) -> Iterator[str]:
    wait = case.drying
    if wait is None:
        return
    target = f"{wait.target_pct:g} %"
    washed = "Washed and under cover" if wait.wash_first else "Under cover"
    if wait.likely_on is None:
        yield f"{washed} in the open air it does not dry to {target}, so it can't be sealed there."
    else:
        latest = (
            f"with ill luck on {day_in_words(wait.cautious_on)}"
            if wait.cautious_on
            else "with ill luck not within three years"
        )
        yield (
            f"{washed} in the open air it is likely dry enough to seal ({target}) on "
            f"{day_in_words(wait.likely_on)}, {latest}."
        )
    if wait.shed_likely_on is not None and wait.shed_likely_on != wait.likely_on:
        yield f"In a heated shed that is likely on {day_in_words(wait.shed_likely_on)}."
    if wait.too_late and case.due.put_right_on is not None:
        by = day_in_words(case.due.put_right_on)
        yield f"In the open air that is too late for {by}: dry it in a shed, or only open, wash and air it by then."


def _harm(case: Case, advice: Advice) -> Iterator[str]:
    yield from advice.do_not


def _meanwhile(case: Case, advice: Advice) -> Iterator[str]:
    if advice.hold is not None:
        yield (
            f"If a tool or a part is missing, {advice.hold.say} meanwhile; the proper repair is due by "
            f"{day_in_words(advice.hold.until)}."
        )


def _come_back_sooner(case: Case, advice: Advice) -> Iterator[str]:
    if case.pressing.priority is Priority.WATCH and case.deciding.risk is not RiskLevel.ELIMINATED:
        yield (
            f"Come back sooner if it is {case.rules.growth.grown_mm:g} mm larger, reads "
            f"{case.rules.moisture.contrast_points:g} points wetter, or shows any play."
        )


def _contradiction(case: Case, advice: Advice) -> Iterator[str]:
    if case.contradiction:
        yield "What was recorded contradicts itself. The worse reading counts until somebody looks once more."


def _faces(case: Case, advice: Advice) -> Iterator[str]:
    condition, sides = case.deciding.weighed.condition, case.finding.sides
    weakens = case.rules.conditions[condition].structural and condition is not Condition.UNSEEN
    if weakens and sides is Sides.ONE:
        yield "Only one face of it was seen: look at the other before the work is settled."
    elif weakens and sides is Sides.NONE:
        yield "No face of it was seen: look at both before the work is settled."


def _taken_for_the_worst(case: Case, advice: Advice) -> Iterator[str]:
    if case.deciding.risk is RiskLevel.ELIMINATED:
        return
    taken = []
    if case.finding.water in (None, Water.UNKNOWN) and case.around.water is not Water.NONE:
        taken.append(f"water ({case.around.water.label})")
    if case.finding.load is None and case.around.load is not Load.NONE:
        taken.append(f"load ({case.around.load.label})")
    if taken:
        yield f"Not recorded, so the worst that such a part meets was taken: {joined(taken)}."


# in the order in which they are told
PARTS = (
    _seen,
    _what,
    _besides,
    _weighed_and_set_aside,
    _size,
    _moisture,
    _out_of_sight,
    _what_works_on_it,
    _stake,
    _when,
    _days,
    _drying,
    _harm,
    _meanwhile,
    _come_back_sooner,
    _contradiction,
    _faces,
    _taken_for_the_worst,
)


def reasons_for_owner(case: Case, advice: Advice) -> tuple[str, ...]:
    """What it is, what was measured, what is at stake, how likely, when, by which day, and what was not known."""
    return tuple(sentence for part in PARTS for sentence in part(case, advice))


__all__ = ["reasons_for_owner"]
