"""What a quote freezes of earlier years at a spot, and of the judgement beyond condition and risk."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from inspections.models import Assessment, Entry, EntryPhoto, Finding, Inspection, Reading
from tests.inspections.judgement.builders import judged, moisture
from tests.workshop.documents import sha
from tests.workshop.judged_documents import COAST, facts_of
from tests.workshop.spring import AT, Spring, a_spring, next_id
from workshop.services.finding_history import earlier_at_spots
from workshop.services.quote_content import quote_content

pytestmark = pytest.mark.django_db


def earlier_look(
    spring: Spring, finding: Finding, year: int, *, size_mm: str | None = None, day: int = 3, **changes: object
) -> Entry:
    """What a technician recorded at the spot of a finding in the spring of an earlier year."""
    inspection, _ = Inspection.objects.get_or_create(
        yard=spring.yard,
        boat=spring.boat,
        season_year=year,
        defaults={"launch_on": date(year, 5, 1), "opened_at": datetime(year, 4, 1, tzinfo=UTC)},
    )
    looked_at = datetime(year, 4, day, 10, tzinfo=UTC)
    told: dict[str, object] = {
        "id": next_id(), "yard": spring.yard, "inspection": inspection, "component": finding.component,
        "spot": finding.spot, "answer": "finding", "signs": ["OPEN_JOINT"],
        "size_mm": None if size_mm is None else Decimal(size_mm), "author": spring.technician,
        "observed_at": looked_at, "received_at": looked_at, "digest": "0" * 64,
    }  # fmt: skip
    entry: Entry = Entry.objects.create(**{**told, **changes})
    return entry


def reading(entry: Entry, quantity: str, value: str) -> None:
    Reading.objects.create(yard=entry.yard, entry=entry, quantity=quantity, value=Decimal(value), unit="pct")


def test_earlier_years_of_the_spot_come_oldest_first_with_size_moisture_and_picture() -> None:
    spring = a_spring()
    finding = spring.finding(spring.component(), "SEAM")
    last = earlier_look(spring, finding, 2026, size_mm="62.0")
    for quantity, value in (("moisture_pct", "19.00"), ("moisture_pct", "21.00"), ("moisture_beside_pct", "40.00")):
        reading(last, quantity, value)
    for position, number in ((1, 8), (0, 7)):
        EntryPhoto.objects.create(yard=spring.yard, entry=last, sha256=sha(number), position=position)
    earlier_look(spring, finding, 2024, size_mm="31.0")
    earlier_look(spring, finding, 2025, answer="not_seen", not_seen_reason="the sole stayed down", signs=[])
    looks = earlier_at_spots(spring.inspection, [finding])[finding.pk]
    assert [(look.on, look.size_mm, look.moisture_pct, look.photo) for look in looks] == [
        (date(2024, 4, 3), Decimal("31.0"), None, ""),
        (date(2026, 4, 3), Decimal("62.0"), Decimal("21.00"), sha(7)),
    ]


def test_the_last_standing_look_of_a_year_speaks_for_it() -> None:
    spring = a_spring()
    finding = spring.finding(spring.component(), "SEAM")
    first = earlier_look(spring, finding, 2026, size_mm="60.0")
    earlier_look(spring, finding, 2026, size_mm="62.0", day=5)
    earlier_look(spring, finding, 2026, size_mm="16.0", day=9, supersedes=first)
    (look,) = earlier_at_spots(spring.inspection, [finding])[finding.pk]
    assert look.size_mm == Decimal("16.0")
    assert look.on == date(2026, 4, 9)


def test_another_spot_and_this_year_do_not_count() -> None:
    spring = a_spring()
    finding, other = (spring.finding(spring.component(name), "SEAM") for name in ("Boom", "Rail"))
    earlier_look(spring, other, 2026, size_mm="62.0")
    assert finding.pk not in earlier_at_spots(spring.inspection, [finding, other])
    assert len(earlier_at_spots(spring.inspection, [finding, other])[other.pk]) == 1


def test_queries_do_not_grow_with_findings_and_years(django_assert_num_queries: object) -> None:
    spring = a_spring()
    findings = [spring.finding(spring.component(f"Plank {number}"), "SEAM") for number in range(4)]
    for finding in findings:
        for year in (2024, 2025, 2026):
            reading(earlier_look(spring, finding, year, size_mm="20.0"), "moisture_pct", "18.00")
    with django_assert_num_queries(3):  # type: ignore[operator]  # looks, their readings, their photos
        looks = earlier_at_spots(spring.inspection, findings)
    assert {len(each) for each in looks.values()} == {3}


def test_a_draft_carries_what_must_not_be_done_what_holds_it_and_from_when_it_may_be_sealed() -> None:
    spring = a_spring()
    finding = spring.finding(spring.component(), "SEAM")
    judgement = judged(facts_of("CRACK_WOOD", size_mm=84, readings=moisture(26, 14), load="static"), yard=COAST)
    Assessment.objects.filter(finding=finding).update(superseded_at=AT)
    Assessment.objects.create(
        yard=spring.yard, boat=spring.boat, entry=finding.entry, finding=finding,
        condition=judgement.condition.value, severity=judgement.severity, probability_level="C", risk="medium",
        priority=judgement.priority.value, due_back_on=judgement.due_back_on, due_back_kind="put_right",
        treatments=["SEAM"], reasons=list(judgement.reasons), document=judgement.as_document(),
        rules_version="test 1", inputs_digest="0" * 64, made_at=AT,
    )  # fmt: skip
    (part,) = quote_content(spring.draft(), at=AT).findings
    assert part.judged is not None
    assert part.judged.do_not == judgement.do_not
    assert judgement.hold is not None
    assert part.judged.hold is not None
    assert part.judged.hold.until == judgement.hold.until
    assert judgement.drying is not None
    assert part.judged.drying is not None
    assert part.judged.drying.likely_on == judgement.drying.likely_on
    assert part.seen_on == date(2027, 4, 6)


def test_a_judgement_of_older_rules_says_no_more_than_it_said() -> None:
    spring = a_spring()
    spring.finding(spring.component(), "SEAM")
    (part,) = quote_content(spring.draft(), at=AT).findings
    assert part.judged is None
