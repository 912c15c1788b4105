"""Which operations suit, in the order of work: open, prepare (wash, dry), mend."""

from __future__ import annotations

from inspections.judgement.case import Case
from inspections.judgement.rules.tables import TreatmentRow
from inspections.judgement.vocabulary import Condition, Priority


def treatments_for(case: Case) -> tuple[str, ...]:
    """Codes of the advised operations.

    For every condition that is to be put right the first row of each phase that fits is taken. Where nothing is
    to be put right a doubtful reading is still prepared for (washed, dried, read again) and the place is watched;
    what is left alone gets nothing.
    """
    rules = case.rules
    if case.left_alone:
        return ()
    rows: set[TreatmentRow] = set()
    for line in case.lines:
        if line.priority is Priority.WATCH:
            continue
        taken: set[int] = set()
        for row in rules.treatments:
            if row.phase not in taken and _fits(row, line.weighed.condition, case):
                taken.add(row.phase)
                rows.add(row)
    if rows:
        in_order = sorted(rows, key=lambda row: (row.phase, rules.treatments.index(row)))
        return tuple(dict.fromkeys(row.treatment for row in in_order))
    if case.around.read_again:
        return rules.read_again_treatment, rules.watch_treatment
    return (rules.watch_treatment,)


def _fits(row: TreatmentRow, condition: Condition, case: Case) -> bool:
    around, component = case.around, case.component
    holding = {line.weighed.condition for line in case.lines}
    return (
        (not row.conditions or condition in row.conditions)
        and not row.unless_conditions & holding
        and (not row.signs or any(sign.code in row.signs for sign in case.finding.signs))
        and (not row.classes or component.class_code in row.classes)
        and component.class_code not in row.unless_classes
        and (not row.contact or not component.contact or bool(row.contact & component.contact))
        and (not row.load or around.load in row.load)
        and (not row.seal or around.seal in row.seal)
        and (not row.evidence or bool(row.evidence & around.evidence))
    )


__all__ = ["treatments_for"]
