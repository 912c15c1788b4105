"""What was said of each step of a job: the last word on it stands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from workshop.estimating.steps import Step
from workshop.models import Operation, StepTick


@dataclass(frozen=True, slots=True)
class StepWords:
    """The words on one step, in the order of their making, at least one."""

    rows: tuple[StepTick, ...]

    @property
    def last(self) -> StepTick:
        return self.rows[-1]

    @property
    def done(self) -> StepTick | None:
        """The tick that stands."""
        return self.last if self.last.kind == StepTick.Kind.DONE else None

    @property
    def left_out(self) -> StepTick | None:
        return self.last if self.last.kind == StepTick.Kind.LEFT_OUT else None


def words_on(
    groups: Sequence[tuple[Sequence[Operation], Sequence[Step]]], ticks: Iterable[StepTick]
) -> dict[tuple[int, int], StepWords]:
    """The words on each step, by the place of its group from 0 and its own from 1.

    The yard may write the steps of a treatment anew while a job is in work. A word belongs to the step with its
    text: the one at its place, or else the only one of that text. A step that is gone keeps its words in the
    history.
    """
    group_of = {operation.pk: at for at, (operations, _) in enumerate(groups) for operation in operations}
    said: dict[tuple[int, int], list[StepTick]] = {}
    for tick in ticks:
        at = group_of.get(tick.operation_id)
        number = None if at is None else _place(tick, groups[at][1])
        if at is not None and number is not None:
            said.setdefault((at, number), []).append(tick)
    return {place: StepWords(tuple(rows)) for place, rows in said.items()}


def _place(tick: StepTick, steps: Sequence[Step]) -> int | None:
    if tick.step <= len(steps) and steps[tick.step - 1].text == tick.text:
        return tick.step
    places = [number for number, step in enumerate(steps, start=1) if step.text == tick.text]
    return places[0] if len(places) == 1 else None


__all__ = ["StepWords", "words_on"]
