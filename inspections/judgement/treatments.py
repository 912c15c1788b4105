"""Which operations suit, in the order of work (open, prepare, mend); which do harm; and what holds it meanwhile."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inspections.judgement.case import Case
from inspections.judgement.judgement import Hold
from inspections.judgement.rules.treatment_rows import Fit, MustNot, TreatmentRow
from inspections.judgement.speech.tables import Words
from inspections.judgement.vocabulary import Condition, DueBackKind, Priority, Water

OPENING = 0


@dataclass(frozen=True, slots=True)
class Holding:
    """What holds it meanwhile, in every language."""

    treatment: str
    say: Words
    until: date

    def in_english(self) -> Hold:
        return Hold(self.treatment, self.say.en, self.until)


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do.

    Args:
        treatments: codes of the advised operations, in the order of work.
        do_not: what must not be done there, each a whole sentence.
        hold: what holds it where the tool or the part is missing.
    """

    treatments: tuple[str, ...]
    do_not: tuple[Words, ...]
    hold: Holding | None


def advice_for(case: Case) -> Advice:
    """What to do, what not, and what holds it meanwhile. What is left alone gets nothing."""
    if case.left_alone:
        return Advice((), (), None)
    holding = frozenset(line.weighed.condition for line in case.lines)
    forbidding = [
        rule
        for rule in case.rules.must_not
        if _suits(rule.fits, case, holding) and (not rule.fits.conditions or rule.fits.conditions & holding)
    ]
    return Advice(
        treatments=_treatments(case, holding, forbidding),
        do_not=tuple(rule.say for rule in forbidding),
        hold=_hold(case, holding),
    )


def _treatments(case: Case, holding: frozenset[Condition], forbidding: Sequence[MustNot]) -> tuple[str, ...]:
    """For every condition that is to be put right the first row of each phase that fits.

    Where nothing is to be put right a doubtful reading is still prepared for (washed, dried, read again) and the
    place is watched. What does harm there is left out, and what must come before an operation is put before it.
    """
    rules = case.rules
    harmful = frozenset[str]().union(*(rule.treatments for rule in forbidding if not rule.before))
    suiting = [row for row in rules.treatments if row.treatment not in harmful and _suits(row.fits, case, holding)]
    rows: dict[TreatmentRow, None] = {}
    for line in case.lines:
        if line.priority is Priority.WATCH:
            continue
        taken: set[int] = set()
        for row in suiting:
            if row.phase not in taken and _meets(row.fits, line.weighed.condition):
                taken.add(row.phase)
                rows[row] = None
    if rows:
        advised = [row for row in suiting if row in rows]
        advised.sort(key=lambda row: row.phase)
        opening = [row.treatment for row in advised if row.phase == OPENING]
        mending = [row.treatment for row in advised if row.phase != OPENING]
        first = [rule.before for rule in forbidding if rule.before and rule.treatments & set(mending)]
        return tuple(dict.fromkeys([*opening, *first, *mending]))
    if case.around.read_again:
        return rules.read_again_treatment, rules.watch_treatment
    return (rules.watch_treatment,)


def _hold(case: Case, holding: frozenset[Condition]) -> Holding | None:
    """What holds it, and until when.

    Nothing stands in for what comes before launch, and nothing that is put on holds under water.
    """
    until = case.due.by_the_rules if case.due.kind is DueBackKind.PUT_RIGHT else case.due.put_right_on
    if case.pressing.priority in (Priority.BEFORE_LAUNCH, Priority.WATCH) or until is None:
        return None
    if Water.IMMERSED in case.around.waters:
        return None
    for row in case.rules.holds:
        if _meets(row.fits, case.pressing.weighed.condition) and _suits(row.fits, case, holding):
            return Holding(row.treatment, row.say, until)
    return None


def _meets(fit: Fit, condition: Condition) -> bool:
    return not fit.conditions or condition in fit.conditions


def _suits(fit: Fit, case: Case, holding: frozenset[Condition]) -> bool:
    """Whether all but the condition itself fits."""
    around, component = case.around, case.component
    return (
        not (fit.unless_conditions and fit.unless_conditions & holding)
        and (not fit.signs or any(sign.code in fit.signs for sign in case.finding.signs))
        and (not fit.classes or component.class_code in fit.classes)
        and component.class_code not in fit.unless_classes
        and (not fit.contact or not component.contact or bool(fit.contact & component.contact))
        and (not fit.load or around.load in fit.load)
        and (not fit.seal or around.seal in fit.seal)
        and (not fit.evidence or bool(fit.evidence & around.evidence))
    )


__all__ = ["Advice", "advice_for"]
