"""The judgement in short plain sentences for an owner, the weightiest first.

What is said is chosen here, once for all languages; how it is said stands in `inspections.judgement.speech`. Each
sentence belongs to a group, by which a report sorts them.
"""

from __future__ import annotations

from collections.abc import Iterator

from inspections.judgement.case import Case
from inspections.judgement.circumstances import WORSE_TRENDS
from inspections.judgement.evidence import Evidence
from inspections.judgement.judgement import Reason
from inspections.judgement.speech import SPEECHES, Speech
from inspections.judgement.treatments import Advice
from inspections.judgement.unseen import cap_has_passed
from inspections.judgement.vocabulary import (
    Condition,
    DueBackKind,
    Load,
    Priority,
    ReasonGroup,
    RiskLevel,
    Sides,
    Trend,
    Water,
)

# what the sentence about the condition says already
SAID = frozenset({(Condition.SPLIT_IN_LOAD_PATH, Evidence.IN_LOAD_PATH)})


def _seen(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    signs = sorted({sign for sign in case.finding.signs if sign.name}, key=lambda sign: sign.name)
    names = list(dict.fromkeys(speech.sign(sign) for sign in signs))
    if names:
        yield speech.say("seen", signs=speech.listed(names))


def _what(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    weighed = case.deciding.weighed
    if weighed.condition is Condition.FINISH_ONLY and not weighed.named_by:
        yield speech.say("mark")
        return
    because = [speech.label(each) for each in weighed.speaks_for if (weighed.condition, each) not in SAID]
    what = speech.what_it_is[weighed.condition]
    if weighed.condition is Condition.SPLIT_IN_LOAD_PATH and Evidence.NO_LOAD in weighed.speaks_against:
        what = speech.split_but_unloaded
    if because:
        yield speech.say("what_because", what=what, because=speech.because_of(because))
    else:
        yield speech.say("what", what=what)


def _besides(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    others = [
        speech.label(line.weighed.condition)
        for line in case.lines
        if line is not case.deciding and line.weighed.condition is not Condition.FINISH_ONLY
    ]
    if others:
        yield speech.say("besides", conditions=speech.listed(others))


def _weighed_and_set_aside(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    for weighed in case.weighed:
        if not weighed.holds and weighed.speaks_against:
            against = speech.because_of([speech.label(evidence) for evidence in weighed.speaks_against])
            yield speech.say("set_aside", condition=speech.label(weighed.condition), against=against)


def _size(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    finding, trend = case.finding, case.around.trend
    before = finding.measured_before
    now = None if finding.size_mm is None else speech.number(finding.size_mm)
    if finding.size_mm is not None and before is not None and before.size_mm is not None:
        held = case.around.measured_still or finding.size_mm <= before.size_mm
        key = "size_held" if held else "size_grew"
        yield speech.say(key, before=speech.number(before.size_mm), day=speech.day(before.seen_on), now=now)
    elif now is not None and trend is not Trend.UNKNOWN:
        yield speech.say("size_and_trend", now=now, trend=speech.trend[trend])
    elif now is not None:
        yield speech.say("size", now=now)
    elif trend is not Trend.UNKNOWN:
        yield speech.say("trend", trend=speech.trend[trend])


def _moisture(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    here, beside = case.finding.moisture_pct, case.finding.moisture_beside_pct
    if here is None:
        return
    if beside is None:
        yield speech.say("moisture", here=speech.number(here))
    else:
        yield speech.say("moisture_beside", here=speech.number(here), beside=speech.number(beside))
    if case.around.read_again:
        yield speech.say("read_again")


def _out_of_sight(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    months = case.around.unseen_months
    if months is None:
        if case.deciding.weighed.condition is Condition.UNSEEN:
            yield speech.say("unseen_unknown")
        return
    matters = (
        case.deciding.weighed.condition is Condition.UNSEEN
        or cap_has_passed(months, case.component)
        or case.due.kind is DueBackKind.OPEN_UP
    )
    if matters:
        yield speech.say("unseen", months=speech.months(months), cap=case.component.open_up_months)


def _what_works_on_it(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    around = case.around
    works = []
    if around.water_reaches:
        works.append(speech.label(around.water))
    if around.load_works:
        works.append(speech.label(around.load))
    if works and case.deciding.risk is not RiskLevel.ELIMINATED:
        yield speech.say("at_work", works=speech.listed(works))
    if around.trend in WORSE_TRENDS and case.finding.size_mm is not None and not case.finding.measured_before:
        yield speech.say("worse_unmeasured")


def _stake(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    line = case.deciding
    if line.risk is RiskLevel.ELIMINATED:
        return
    yield speech.say("stake", if_it_fails=speech.if_it_fails[case.around.role], severity=line.severity)
    likely, level, risk = speech.how_likely[line.level], line.level, speech.risk[line.risk]
    if line.likelihood.probability >= case.rules.progression.shown_from:
        odds = speech.odds(line.likelihood.probability)
        yield speech.say("likely_figure", how_likely=likely, odds=odds, level=level, risk=risk)
    else:
        yield speech.say("likely", how_likely=likely, level=level, risk=risk)


def _when(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    pressing, due = case.pressing, case.due
    if case.left_alone:
        only_a_mark = case.deciding.weighed.condition is Condition.FINISH_ONLY
        yield speech.say("left_mark" if only_a_mark else "left_alone")
    elif pressing.priority is Priority.NEXT_LAYUP and due.kind is DueBackKind.OPEN_UP and due.overdue:
        yield speech.say("repairs_can_wait")
    else:
        yield speech.say("when", when=speech.when[pressing.priority], because=speech.because[pressing.because])


def _days(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    due, priority = case.due, case.pressing.priority
    if priority is Priority.BEFORE_LAUNCH:
        if case.finding.observed_on >= due.launch_on:
            yield speech.say("afloat")
        elif due.put_right_on is not None and due.put_right_on >= due.launch_on:
            yield speech.say("launch_waits", day=speech.day(due.launch_on))
        else:
            yield speech.say("launch", day=speech.day(due.launch_on))
    elif priority is Priority.NEXT_LAYUP:
        yield speech.say("layup", day=speech.day(due.layup_on))
    if due.overdue:
        key = "overdue_opening" if due.kind is DueBackKind.OPEN_UP else "overdue"
        yield speech.say(key, day=speech.day(due.by_the_rules), to_do_now=speech.to_do_now[due.kind])
    else:
        yield speech.to_do_by[due.kind].format(day=speech.day(due.on))
    if due.put_right_on is not None and due.kind is not DueBackKind.PUT_RIGHT and due.put_right_on > due.on:
        yield speech.say("found_put_right", day=speech.day(due.put_right_on))


def _drying(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    wait = case.drying
    if wait is None:
        return
    target, washed = speech.number(wait.target_pct), "_washed" if wait.wash_first else ""
    if wait.likely_on is None:
        yield speech.say(f"never_dry{washed}", target=target)
    else:
        cautious = wait.cautious_on
        latest = speech.say("latest", day=speech.day(cautious)) if cautious else speech.say("latest_never")
        yield speech.say(f"dry{washed}", target=target, likely=speech.day(wait.likely_on), latest=latest)
    if wait.shed_likely_on is not None and wait.shed_likely_on != wait.likely_on:
        yield speech.say("dry_in_shed", day=speech.day(wait.shed_likely_on))
    if wait.too_late and case.due.put_right_on is not None:
        yield speech.say("dry_too_late", day=speech.day(case.due.put_right_on))


def _harm(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    for said in advice.do_not:
        yield said.inside(speech.language)


def _meanwhile(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    if advice.hold is not None:
        hold = advice.hold.say.inside(speech.language)
        yield speech.say("meanwhile", hold=hold, day=speech.day(advice.hold.until))


def _come_back_sooner(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    if case.pressing.priority is Priority.WATCH and case.deciding.risk is not RiskLevel.ELIMINATED:
        grown, points = case.rules.growth.grown_mm, case.rules.moisture.contrast_points
        yield speech.say("sooner", grown=speech.number(grown), points=speech.number(points))


def _contradiction(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    if case.contradiction:
        yield speech.say("contradiction")


def _faces(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    condition, sides = case.deciding.weighed.condition, case.finding.sides
    weakens = case.rules.conditions[condition].structural and condition is not Condition.UNSEEN
    if weakens and sides is Sides.ONE:
        yield speech.say("one_face")
    elif weakens and sides is Sides.NONE:
        yield speech.say("no_face")


def _taken_for_the_worst(case: Case, advice: Advice, speech: Speech) -> Iterator[str]:
    if case.deciding.risk is RiskLevel.ELIMINATED:
        return
    taken = []
    if case.finding.water in (None, Water.UNKNOWN) and case.around.water is not Water.NONE:
        taken.append(speech.say("taken_water", label=speech.label(case.around.water)))
    if case.finding.load is None and case.around.load is not Load.NONE:
        taken.append(speech.say("taken_load", label=speech.label(case.around.load)))
    if taken:
        yield speech.say("taken", taken=speech.listed(taken))


# in the order in which they are told, each with the group that a report puts it in
PARTS = (
    (_seen, ReasonGroup.GO_BY),
    (_what, ReasonGroup.WHAT),
    (_besides, ReasonGroup.WHAT),
    (_weighed_and_set_aside, ReasonGroup.WHAT),
    (_size, ReasonGroup.GO_BY),
    (_moisture, ReasonGroup.GO_BY),
    (_out_of_sight, ReasonGroup.GO_BY),
    (_what_works_on_it, ReasonGroup.GO_BY),
    (_stake, ReasonGroup.LIKELY),
    (_when, ReasonGroup.WHEN),
    (_days, ReasonGroup.WHEN),
    (_drying, ReasonGroup.SEALED),
    (_harm, ReasonGroup.DO_NOT),
    (_meanwhile, ReasonGroup.MEANWHILE),
    (_come_back_sooner, ReasonGroup.BESIDES),
    (_contradiction, ReasonGroup.BESIDES),
    (_faces, ReasonGroup.BESIDES),
    (_taken_for_the_worst, ReasonGroup.BESIDES),
)


def reasons_for_owner(case: Case, advice: Advice) -> tuple[Reason, ...]:
    """What it is, what was measured, what is at stake, how likely, when, by which day, and what was not known.

    Every language says the same, sentence by sentence.
    """
    english, german = SPEECHES["en"], SPEECHES["de"]
    return tuple(
        Reason(group, in_english, in_german)
        for part, group in PARTS
        for in_english, in_german in zip(part(case, advice, english), part(case, advice, german), strict=True)
    )


__all__ = ["reasons_for_owner"]
