"""Reading a yard's rechecks: which looks make a pair, which repairs take one away, and what judging makes of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from inspections.judgement.rules import load_rules
from inspections.judgement.vocabulary import Exposure
from inspections.models import Assessment, Entry, Finding, Inspection
from inspections.services.assessments import rejudge_yard
from inspections.services.rechecks import learned_of_yard, learned_rates, rechecks_counted
from tests.factories import ComponentClassFactory, ComponentFactory, MemberFactory, SpotFactory, YardFactory
from tests.factories.inspections import (
    AssessmentFactory,
    CheckFactory,
    EntryFactory,
    FindingFactory,
    InspectionFactory,
    SignFactory,
)
from tests.factories.workshop import JobFactory, OperationFactory
from tests.queries import queries_of
from workshop.models import WorkLog
from yard.models import Component, Member, Spot, Yard

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

RULES = load_rules()
TODAY = date(2027, 4, 1)
IN_THE_RAIN = {"water": "rain", "load": "none", "moves": "no"}


@dataclass
class History:
    """A yard with one boat, looked over in 2025 and 2026; both inspections are closed."""

    yard: Yard = field(default_factory=YardFactory.create)

    def __post_init__(self) -> None:
        self.manager: Member = MemberFactory.create(yard=self.yard)
        for condition in ("water_way_open", "water_in", "decay"):
            SignFactory.create(yard=self.yard, code=condition.upper(), conditions=[condition])
        self.component: Component = ComponentFactory.create(
            boat__yard=self.yard, component_class=ComponentClassFactory.create(yard=self.yard)
        )
        self.inspections: dict[int, Inspection] = {
            year: InspectionFactory.create(
                boat=self.component.boat,
                season_year=year,
                closed_at=datetime(year, 4, 20, 12, 0, tzinfo=UTC),
            )
            for year in (2025, 2026)
        }

    def look(self, spot: Spot, year: int, condition: str | None, /, **more: Any) -> Entry:
        """A look at a spot; without a condition it was sound."""
        about: dict[str, Any] = {
            "inspection": self.inspections[year],
            "component": self.component,
            "spot": spot,
            "author": self.manager,
        }
        state = more.pop("state", "seen_again" if year == 2025 else "open")
        if condition is None:
            sound: Entry = EntryFactory.create(**about, **more)
            return sound
        told = {**IN_THE_RAIN, "seal": "open" if condition == "water_way_open" else "intact", **more}
        entry: Entry = EntryFactory.create(**about, answer="finding", signs=[condition.upper()], **told)
        finding = FindingFactory.create(spot=spot, inspection=about["inspection"], entry=entry, state=state)
        AssessmentFactory.create(finding=finding, condition=condition)
        return entry

    def rechecked(self, first: str, then: str | None, times: int = 1, /, **more: Any) -> None:
        """So many spots that were found in 2025 and looked at again in 2026."""
        for _ in range(times):
            spot = SpotFactory.create(component=self.component)
            self.look(spot, 2025, first, **more)
            self.look(spot, 2026, then)

    def counted(self, today: date = TODAY) -> list[tuple[str, str, int, float]]:
        return [
            (one.step, one.exposure, one.observations, one.transitions)
            for one in rechecks_counted(yard=self.yard, today=today, rules=RULES)
        ]


@pytest.fixture
def history(db: None) -> History:
    return History()


def test_a_finding_and_the_next_look_at_its_spot_make_a_recheck(history: History) -> None:
    history.rechecked("water_way_open", "water_in")
    history.rechecked("water_way_open", "water_way_open", 2)
    history.rechecked("water_way_open", "water_way_open", water="shielded")
    assert history.counted() == [("water_enters", "dry", 1, 0), ("water_enters", "wet", 3, 1)]
    wet = rechecks_counted(yard=history.yard, today=TODAY, rules=RULES)[1]
    assert 2 < wet.exposure_years < 2.5  # a year each for the two that stood, less than half for the other


def test_only_looks_of_inspections_closed_before_the_day_count(history: History) -> None:
    history.rechecked("water_way_open", "water_in")
    assert history.counted(date(2026, 4, 20)) == []
    assert history.counted(date(2026, 4, 21)) == [("water_enters", "wet", 1, 1)]
    Inspection.objects.filter(season_year=2026).update(closed_at=None)
    assert history.counted() == []


def test_of_several_looks_in_one_inspection_the_last_counts(history: History) -> None:
    spot = SpotFactory.create(component=history.component)
    history.look(spot, 2025, "water_way_open")
    early = history.inspections[2026].opened_at + timedelta(days=1)
    history.look(spot, 2026, "water_way_open", observed_at=early)
    history.look(spot, 2026, "water_in", observed_at=early + timedelta(days=3))
    assert history.counted() == [("water_enters", "wet", 1, 1)]


def test_the_newest_judgement_of_a_look_counts(history: History) -> None:
    history.rechecked("water_way_open", "water_way_open")
    then = Entry.objects.get(inspection=history.inspections[2026])
    Assessment.objects.filter(entry=then).update(superseded_at=then.received_at + timedelta(days=1))
    AssessmentFactory.create(
        finding=Finding.objects.get(entry=then), condition="decay", made_at=then.received_at + timedelta(days=1)
    )
    assert history.counted() == [("water_enters", "wet", 1, 1)]


def test_what_was_corrected_does_not_count(history: History) -> None:
    spot = SpotFactory.create(component=history.component)
    wrong = history.look(spot, 2025, "water_way_open", state="withdrawn")
    history.look(spot, 2025, None, supersedes=wrong)
    history.look(spot, 2026, "water_in")
    assert history.counted() == []


# --- repairs in between --------------------------------------------------------------------------------


@pytest.mark.parametrize("state", ["repaired", "verified"])
def test_a_finding_that_was_put_right_does_not_count(history: History, state: str) -> None:
    history.rechecked("water_way_open", "water_in", state=state)
    assert history.counted() == []


def test_a_sound_answer_does_not_count(history: History) -> None:
    history.rechecked("water_way_open", None)
    assert history.counted() == []


def test_a_look_that_was_asked_for_because_of_a_repair_does_not_count(history: History) -> None:
    history.rechecked("water_way_open", "water_in", 2)
    spot = Spot.objects.order_by("pk").first()
    CheckFactory.create(
        inspection=history.inspections[2026], component=history.component, spot=spot, origin="repaired"
    )
    assert history.counted() == [("water_enters", "wet", 1, 1)]


@pytest.mark.parametrize(("worked_on", "observations"), [(date(2025, 9, 1), 0), (date(2026, 9, 1), 1)])
def test_hours_booked_between_the_looks_take_the_recheck_away(
    history: History, worked_on: date, observations: int
) -> None:
    history.rechecked("water_way_open", "water_in")
    finding = Finding.objects.get(inspection=history.inspections[2025])
    job = JobFactory.create(inspection=history.inspections[2025])
    OperationFactory.create(job=job, finding=finding)
    WorkLog.objects.create(
        yard=history.yard,
        job=job,
        member=history.manager,
        worked_on=worked_on,
        hours=1,
        booked_at=datetime(2026, 10, 1, tzinfo=UTC),
    )
    assert sum(row[2] for row in history.counted()) == observations


# --- what judging makes of it --------------------------------------------------------------------------


def test_a_yard_without_rechecks_is_judged_by_the_table(history: History) -> None:
    assert learned_rates(yard=history.yard, today=TODAY, rules=RULES) == ()
    steps = learned_of_yard(yard=history.yard, today=TODAY, rules=RULES)
    assert {one.learned.observations for one in steps} == {0}
    assert {one.factor for one in steps} == {1}


def test_from_ten_rechecks_on_the_night_judges_by_the_yards_own_rate(history: History) -> None:
    night = datetime(2027, 4, 1, 1, 0, tzinfo=UTC)
    history.rechecked("water_way_open", "water_in", 9)
    rejudge_yard(yard=history.yard, at=night)
    before = dict(Assessment.objects.filter(superseded_at__isnull=True).values_list("entry", "inputs_digest"))
    assert rejudge_yard(yard=history.yard, at=night + timedelta(days=1)) == 0

    history.rechecked("water_way_open", "water_in")
    night += timedelta(days=2)
    (learned,) = learned_rates(yard=history.yard, today=night.date(), rules=RULES)
    assert (learned.step, learned.exposure, learned.factor > 1) == ("water_enters", Exposure.WET, True)
    # All that is open, in 2026: the digest says that they were judged by other rates.
    assert rejudge_yard(yard=history.yard, at=night) == 10
    after = dict(Assessment.objects.filter(superseded_at__isnull=True).values_list("entry", "inputs_digest"))
    open_ones = set(Finding.objects.filter(state__in=["open", "watched"]).values_list("entry", flat=True))
    assert [entry for entry in open_ones & before.keys() if before[entry] == after[entry]] == []


def test_another_yards_rechecks_tell_nothing(history: History) -> None:
    History().rechecked("water_way_open", "water_in", 10)
    assert history.counted() == []
    assert learned_rates(yard=history.yard, today=TODAY, rules=RULES) == ()


def test_the_history_is_read_once_a_day(history: History) -> None:
    history.rechecked("water_way_open", "water_in")
    learned_rates(yard=history.yard, today=TODAY, rules=RULES)
    assert queries_of(lambda: learned_rates(yard=history.yard, today=TODAY, rules=RULES)) == []
    assert queries_of(lambda: learned_rates(yard=history.yard, today=TODAY + timedelta(days=1), rules=RULES))


def test_reading_asks_the_same_for_any_number_of_rechecks(history: History) -> None:
    asked = []
    for more in (2, 18):
        history.rechecked("water_way_open", "water_in", more)
        asked.append(len(queries_of(lambda: rechecks_counted(yard=history.yard, today=TODAY, rules=RULES))))
    assert asked[0] == asked[1] < 20


def test_pages_of_spots_come_to_the_same(history: History, monkeypatch: pytest.MonkeyPatch) -> None:
    history.rechecked("water_way_open", "water_in", 3)
    history.rechecked("water_way_open", "water_way_open", 4)
    whole = rechecks_counted(yard=history.yard, today=TODAY, rules=RULES)
    monkeypatch.setattr("inspections.services.rechecks.SPOTS", 2)
    paged = rechecks_counted(yard=history.yard, today=TODAY, rules=RULES)
    assert [one.exposure_years for one in paged] == pytest.approx([one.exposure_years for one in whole])
    assert history.counted() == [("water_enters", "wet", 7, 3)]
