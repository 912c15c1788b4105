"""What the report's template sets: words and figures, nothing to be reckoned or looked up any more."""

from __future__ import annotations

from dataclasses import dataclass

from workshop.report.plan import Drawing
from workshop.report.profile import Profile
from workshop.report.telling import Told
from workshop.report.trend import Chart


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo in the report, or the blank that stands for one that can't be shown."""

    sha256: str
    alt: str
    caption: str
    shown: bool


@dataclass(frozen=True, slots=True)
class Row:
    """A label and what it says."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class FindingView:
    """A finding as it is set."""

    number: int
    id: str
    place: str
    tag: str
    priority: str
    priority_label: str
    condition: str
    measured: tuple[Row, ...]
    facts: tuple[Row, ...]
    reasons: tuple[str, ...]
    reasons_in: str
    told: tuple[Told, ...]
    overruled: str
    if_left: str
    due_back: str
    due_back_day: str
    then: Picture | None
    pictures: tuple[Picture, ...]
    plan: Drawing | None
    trend: tuple[Chart, ...]
    jobs: tuple[int, ...]

    @property
    def more(self) -> int:
        """How many reasons there are beyond the first four."""
        return max(len(self.reasons) - 4, 0)


@dataclass(frozen=True, slots=True)
class PriorityView:
    """A line of the summary."""

    priority: str
    label: str
    means: str
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class SurfaceView:
    """A finished surface that a job works on as a whole, as it is set."""

    name: str
    finish: str
    area: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class JobView:
    """A job as it is set.

    `option` is what is to be chosen where it is one way of several. The rows of `needs` are a job's number and its
    title, those of `builds_on` and `extends` a quote's number and the title of its job.
    """

    position: int
    title: str
    findings: tuple[FindingView, ...]
    opening_up: str
    if_left: str
    unsafe_to_leave: bool
    work: tuple[str, ...]
    hours: str
    materials: tuple[Row, ...]
    labour: str
    materials_net: str
    net: str
    due_back: str
    option: str
    recommended: bool
    in_sum: bool
    means: str
    proper_by: str
    needs: tuple[Row, ...]
    builds_on: tuple[Row, ...]
    extends: Row | None
    surfaces: tuple[SurfaceView, ...] = ()
    taken_off: tuple[str, ...] = ()
    saving: str = ""


@dataclass(frozen=True, slots=True)
class TotalsView:
    """Net, VAT per rate, and what is to be paid."""

    net: str
    vat: tuple[Row, ...]
    gross: str


@dataclass(frozen=True, slots=True)
class NotSeenView:
    """A place that was not seen."""

    place: str
    why: str
    means: str
    means_in: str
    due_back: str


@dataclass(frozen=True, slots=True)
class DueBackView:
    """A line of the due-back book."""

    day: str
    what: str
    place: str
    tag: str


@dataclass(frozen=True, slots=True)
class DueBackYear:
    """The lines of one year."""

    year: int
    lines: tuple[DueBackView, ...]


@dataclass(frozen=True, slots=True)
class CalendarPlace:
    """A place in the calendar, with the day of the month by which somebody must be back."""

    day: str
    place: str
    tag: str


@dataclass(frozen=True, slots=True)
class CalendarMonth:
    """A row of the calendar: for each of its kinds the places."""

    month: str
    cells: tuple[tuple[CalendarPlace, ...], ...]


@dataclass(frozen=True, slots=True)
class CalendarYear:
    """The rows of one year."""

    year: int
    months: tuple[CalendarMonth, ...]


@dataclass(frozen=True, slots=True)
class CalendarView:
    """What is due back, by year and month; `kinds` head the columns."""

    kinds: tuple[str, ...]
    years: tuple[CalendarYear, ...]


@dataclass(frozen=True, slots=True)
class AddsToView:
    """The agreed quote that an addendum adds to."""

    number: int
    dated: str
    digest: str


@dataclass(frozen=True, slots=True)
class ReportView:
    """Everything the template sets."""

    language: str
    title: str
    yard: str
    boat: str
    season: int
    number: int
    title_block: tuple[Row, ...]
    decide_by: str
    decider: str
    plan: Drawing
    profile: Profile | None
    lead: str
    legend: tuple[tuple[str, str], ...]
    priorities: tuple[PriorityView, ...]
    findings: tuple[FindingView, ...]
    jobs: tuple[JobView, ...]
    totals: TotalsView
    not_seen: tuple[NotSeenView, ...]
    due_back: tuple[DueBackYear, ...]
    calendar: CalendarView
    cautions: tuple[Row, ...]
    rules_versions: str
    digest: str
    dated: str
    choices: int
    adds_to: AddsToView | None

    @property
    def instead(self) -> tuple[JobView, ...]:
        """Jobs that stand in no sum, because another way is advised."""
        return tuple(job for job in self.jobs if not job.in_sum)


__all__ = [
    "AddsToView",
    "CalendarMonth",
    "CalendarPlace",
    "CalendarView",
    "CalendarYear",
    "DueBackView",
    "DueBackYear",
    "FindingView",
    "JobView",
    "NotSeenView",
    "Picture",
    "PriorityView",
    "ReportView",
    "Row",
    "SurfaceView",
    "TotalsView",
]
