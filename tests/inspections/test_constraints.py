"""What the database itself refuses on this floor, tried by breaking it: no service stands between."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, models, transaction
from django.db.models import ProtectedError

from inspections.models import (
    Acknowledgement,
    Assessment,
    Check,
    Entry,
    EntryPhoto,
    Finding,
    FindingJoin,
    Inspection,
    Overruling,
    Reading,
)
from inspections.models.findings import FindingState
from tests.factories import (
    AssessmentFactory,
    CheckFactory,
    DueBackFactory,
    EntryFactory,
    EntryPhotoFactory,
    FindingFactory,
    InspectionFactory,
    MemberFactory,
    OpeningStepFactory,
    OverrulingFactory,
    PhotoFactory,
    ReadingFactory,
    SetAsideFactory,
    SignFactory,
    SpotFactory,
    TemplateFactory,
    TemplateVersionFactory,
)
from tests.factories.inspections import (
    AcknowledgementFactory,
    FindingJoinFactory,
    SecondLookAskFactory,
    made_id,
)
from tests.inspections.scenes import Scene
from yard.models import Boat, Component, Spot

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

Make = Callable[[], object]

BROKEN: dict[str, tuple[str, Make]] = {
    "season twice": (
        "one_inspection_per_boat_and_season",
        lambda: InspectionFactory.create(boat=InspectionFactory.create().boat),
    ),
    "closed before it was opened": (
        "inspection_closes_after_it_opens",
        lambda: InspectionFactory.create(closed_at=InspectionFactory.create().opened_at - timedelta(days=1)),
    ),
    "opening step of no kind": (
        "opening_step_kind_is_known",
        lambda: OpeningStepFactory.create(kind="break"),
    ),
    "opening step twice": (
        "one_opening_step_per_key",
        lambda: [
            OpeningStepFactory.create(component=one.component, inspection=one.inspection)
            for one in [OpeningStepFactory.create()]
        ],
    ),
    "check of no kind": (
        "check_answer_kind_is_known",
        lambda: CheckFactory.create(answer_kind="photo"),
    ),
    "check of no origin": (
        "check_origin_is_known",
        lambda: CheckFactory.create(origin="rumour"),
    ),
    "taken over without a spot": (
        "taken_over_check_has_a_spot",
        lambda: CheckFactory.create(origin="watched"),
    ),
    "check key twice": (
        "one_check_per_key",
        lambda: [
            CheckFactory.create(component=one.component, inspection=one.inspection, key=one.key)
            for one in [CheckFactory.create()]
        ],
    ),
    "answer that is none": (
        "entry_answer_is_known",
        lambda: EntryFactory.create(answer="perhaps"),
    ),
    "not seen without a reason": (
        "not_seen_says_why",
        lambda: EntryFactory.create(answer="not_seen", not_seen_reason=""),
    ),
    "entry that says nowhere": (
        "entry_says_where",
        lambda: EntryFactory.create(inspection=InspectionFactory.create(), component=None, elsewhere=""),
    ),
    "finding without a spot": (
        "finding_entry_has_a_spot",
        lambda: EntryFactory.create(answer="finding"),
    ),
    "size below nothing": (
        "entry_size_plausible",
        lambda: EntryFactory.create(size_mm="-0.1"),
    ),
    "size beyond any boat": (
        "entry_size_plausible",
        lambda: EntryFactory.create(size_mm="100000.1"),
    ),
    "unknown water": (
        "entry_water_is_known",
        lambda: EntryFactory.create(water="drizzle"),
    ),
    "unknown load": (
        "entry_load_is_known",
        lambda: EntryFactory.create(load="heavy"),
    ),
    "unknown seal": (
        "entry_seal_is_known",
        lambda: EntryFactory.create(seal="mostly"),
    ),
    "unknown movement": (
        "entry_moves_is_known",
        lambda: EntryFactory.create(moves="a bit"),
    ),
    "unknown sides": (
        "entry_sides_is_known",
        lambda: EntryFactory.create(sides="three"),
    ),
    "unknown trend": (
        "entry_trend_is_known",
        lambda: EntryFactory.create(trend="worse"),
    ),
    "entry that supersedes itself": (
        "belongs to another yard",  # while it is written it is nowhere yet, so that the yards' rule speaks first
        lambda: EntryFactory.create(id=made_id(5), supersedes_id=made_id(5)),
    ),
    "moisture beyond what wood holds": (
        "moisture_reading_plausible",
        lambda: ReadingFactory.create(value="120.01"),
    ),
    "moisture below nothing": (
        "moisture_reading_plausible",
        lambda: ReadingFactory.create(value="-0.01"),
    ),
    "wood hotter than it can be": (
        "wood_temperature_plausible",
        lambda: ReadingFactory.create(wood_temperature_c="80.1"),
    ),
    "photo that is no digest": (
        "photo_name_is_a_digest",
        lambda: EntryPhotoFactory.create(sha256="abc"),
    ),
    "photo named twice": (
        "entry_names_a_photo_once",
        lambda: [
            EntryPhotoFactory.create(entry=one.entry, sha256=one.sha256) for one in [EntryPhotoFactory.create()]
        ],
    ),
    "photo kept twice": (
        "a_photo_is_kept_once",
        lambda: [PhotoFactory.create(yard=one.yard, sha256=one.sha256) for one in [PhotoFactory.create()]],
    ),
    "photo of another kind": (
        "photo_type_is_known",
        lambda: PhotoFactory.create(media_type="image/gif"),
    ),
    "set aside twice": (
        "an_entry_is_set_aside_once",
        lambda: [
            SetAsideFactory.create(boat=one.boat, entry_id=one.entry_id) for one in [SetAsideFactory.create()]
        ],
    ),
    "finding in no state": (
        "finding_state_is_known",
        lambda: FindingFactory.create(state="mended", ended_at=None),
    ),
    "ended without a day": (
        "ended_finding_says_when",
        lambda: FindingFactory.create(state="verified", ended_at=None),
    ),
    "open with a day of ending": (
        "ended_finding_says_when",
        lambda: FindingFactory.create(state="open", ended_at=InspectionFactory.create().opened_at),
    ),
    "seen again without a day": (
        "ended_finding_says_when",
        lambda: FindingFactory.create(state="seen_again", ended_at=None),
    ),
    "two judgements that stand": (
        "one_standing_assessment_per_",
        lambda: [AssessmentFactory.create(finding=one.finding) for one in [AssessmentFactory.create()]],
    ),
    "judgement without a reason": (
        "assessment_has_reasons",
        lambda: AssessmentFactory.create(reasons=[]),
    ),
    "severity beyond four": (
        "assessment_severity_is_a_category",
        lambda: AssessmentFactory.create(severity=5),
    ),
    "level beyond F": (
        "assessment_probability_is_a_level",
        lambda: AssessmentFactory.create(probability_level="G"),
    ),
    "unknown risk": (
        "assessment_risk_is_a_level",
        lambda: AssessmentFactory.create(risk="enormous"),
    ),
    "unknown priority": (
        "assessment_priority_is_known",
        lambda: AssessmentFactory.create(priority="some_day"),
    ),
    "two words of managers that stand": (
        "one_standing_overruling_per_finding",
        lambda: [
            OverrulingFactory.create(finding=one.finding, assessment=one.assessment)
            for one in [OverrulingFactory.create()]
        ],
    ),
    "overruled without a reason": (
        "overruling_has_a_reason",
        lambda: OverrulingFactory.create(reason=""),
    ),
    "two open lines for a finding": (
        "one_open_due_back_per_finding",
        lambda: [DueBackFactory.create(finding=one.finding) for one in [DueBackFactory.create()]],
    ),
    "a line for nothing": (
        "due_back_stands_for_something",
        lambda: [
            DueBackFactory.create(finding=None, boat=one.boat, component=None, spot=None, set_at=one.set_at)
            for one in [DueBackFactory.create()]
        ],
    ),
    "a line of no kind": (
        "due_back_kind_is_known",
        lambda: DueBackFactory.create(kind="worry"),
    ),
    "acknowledged twice": (
        "an_entry_is_acknowledged_once",
        lambda: [AcknowledgementFactory.create(finding=one.finding) for one in [AcknowledgementFactory.create()]],
    ),
    "a second look for nothing": ("second_look_ask_says_what_for", lambda: SecondLookAskFactory.create(note="")),
    "taken back by nobody": (
        "withdrawn_ask_says_who_and_when",
        lambda: SecondLookAskFactory.create(withdrawn_at=InspectionFactory.create().opened_at),
    ),
    "two asks that wait": (
        "one_waiting_ask_per_finding",
        lambda: [SecondLookAskFactory.create(finding=one.finding) for one in [SecondLookAskFactory.create()]],
    ),
    "joined to itself": (
        "finding_is_not_joined_to_itself",
        lambda: [FindingJoinFactory.create(kept=one, joined=one) for one in [FindingFactory.create()]],
    ),
    "joined without a reason": ("join_has_a_reason", lambda: FindingJoinFactory.create(reason="")),
    "undone on no day": (
        "undone_join_says_when",
        lambda: [
            FindingJoinFactory.create(kept=one, undone_by=MemberFactory.create(yard=one.yard))
            for one in [FindingFactory.create()]
        ],
    ),
    "joined twice": (
        "one_standing_join_per_finding",
        lambda: [
            FindingJoinFactory.create(kept=one.kept, joined=one.joined) for one in [FindingJoinFactory.create()]
        ],
    ),
    "a sign twice": (
        "one_sign_per_code",
        lambda: [SignFactory.create(yard=one.yard, code=one.code) for one in [SignFactory.create()]],
    ),
    "two templates of a class": (
        "component_class_id",
        lambda: [TemplateFactory.create(component_class=one.component_class) for one in [TemplateFactory.create()]],
    ),
    "a version's number twice": (
        "template_versions_are_numbered",
        lambda: [TemplateVersionFactory.create(template=one.template) for one in [TemplateVersionFactory.create()]],
    ),
}


@pytest.mark.parametrize(("constraint", "make"), BROKEN.values(), ids=BROKEN)
def test_what_cannot_be_is_refused(constraint: str, make: Make) -> None:
    with pytest.raises(IntegrityError) as raised, transaction.atomic():
        make()
    said = str(raised.value)
    # SQLite names the columns of a unique constraint and not the constraint itself.
    assert constraint in said or said.startswith("UNIQUE constraint failed")


def test_what_ended_or_was_withdrawn_makes_room_for_another(ours: Scene) -> None:
    finding = FindingFactory.create(spot__component=ours.component, inspection=ours.inspection)
    for number in range(3):
        AssessmentFactory.create(finding=finding, superseded_at=ours.at, made_at=ours.at + timedelta(days=number))
        DueBackFactory.create(finding=finding, ended_at=ours.at)
    judged = AssessmentFactory.create(finding=finding)
    for _ in range(2):
        OverrulingFactory.create(finding=finding, assessment=judged, withdrawn_at=ours.at)
    assert (Assessment.objects.count(), Overruling.objects.count()) == (4, 2)


# --- rows that are written once --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("model", "make", "change"),
    [
        (Entry, EntryFactory, {"note": "on second thoughts"}),
        (Reading, ReadingFactory, {"value": "12"}),
        (EntryPhoto, EntryPhotoFactory, {"position": 5}),
        (Acknowledgement, AcknowledgementFactory, {"made_at": None}),
    ],
    ids=["entry", "reading", "photo name", "acknowledgement"],
)
def test_what_was_recorded_is_never_changed(model: type[models.Model], make: Any, change: dict[str, Any]) -> None:
    row = make.create()
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        model._default_manager.filter(pk=row.pk).update(**change)


@pytest.mark.parametrize(
    ("model", "make", "frozen", "free"),
    [
        (Assessment, AssessmentFactory, {"priority": "watch"}, "superseded_at"),
        (Assessment, AssessmentFactory, {"document": {}}, "superseded_at"),
        (Assessment, AssessmentFactory, {"due_back_on": date(2030, 1, 1)}, "superseded_at"),
        (Overruling, OverrulingFactory, {"reason": "other"}, "withdrawn_at"),
        (Overruling, OverrulingFactory, {"priority": "before_launch"}, "withdrawn_at"),
        (FindingJoin, FindingJoinFactory, {"reason": "other"}, "undone_at"),
    ],
)
def test_a_judgement_is_ended_but_not_changed(
    ours: Scene, model: type[models.Model], make: Any, frozen: dict[str, Any], free: str
) -> None:
    row = make.create()
    rows = model._default_manager.filter(pk=row.pk)
    with pytest.raises(IntegrityError, match="frozen"), transaction.atomic():
        rows.update(**frozen)
    assert rows.update(**{free: ours.at}) == 1


def test_what_others_refer_to_cannot_be_deleted(ours: Scene) -> None:
    finding = FindingFactory.create(spot__component=ours.component, inspection=ours.inspection)
    for rows in (
        Entry.objects.filter(pk=finding.entry_id),
        Spot.objects.filter(findings=finding),
        Component.objects.filter(pk=ours.component.pk),
        Inspection.objects.filter(pk=ours.inspection.pk),
        Boat.objects.filter(pk=ours.boat.pk),
    ):
        with pytest.raises(ProtectedError), transaction.atomic():
            rows.delete()


# --- yards are kept apart ----------------------------------------------------------------------------------


ACROSS: dict[str, Callable[[Scene, Scene], object]] = {
    "inspection of their boat": lambda ours, theirs: InspectionFactory.create(yard=ours.yard, boat=theirs.boat),
    "check of their component": lambda ours, theirs: CheckFactory.create(
        inspection=ours.inspection, component=theirs.component
    ),
    "check of their spot": lambda ours, theirs: CheckFactory.create(
        inspection=ours.inspection, component=ours.component, spot=SpotFactory.create(component=theirs.component)
    ),
    "entry in their inspection": lambda ours, theirs: EntryFactory.create(
        yard=ours.yard, inspection=theirs.inspection, component=ours.component, author=ours.technician
    ),
    "entry on their component": lambda ours, theirs: EntryFactory.create(
        inspection=ours.inspection, component=theirs.component
    ),
    "entry by their technician": lambda ours, theirs: EntryFactory.create(
        inspection=ours.inspection, component=ours.component, author=theirs.technician
    ),
    "entry that supersedes theirs": lambda ours, theirs: EntryFactory.create(
        inspection=ours.inspection,
        component=ours.component,
        supersedes=EntryFactory.create(inspection=theirs.inspection, component=theirs.component),
    ),
    "reading of their entry": lambda ours, theirs: ReadingFactory.create(
        yard=ours.yard, entry=EntryFactory.create(inspection=theirs.inspection, component=theirs.component)
    ),
    "finding at their spot": lambda ours, theirs: FindingFactory.create(
        yard=ours.yard, boat=ours.boat, component=ours.component, inspection=ours.inspection,
        spot=SpotFactory.create(component=theirs.component),
    ),
    "judgement of their finding": lambda ours, theirs: AssessmentFactory.create(
        yard=ours.yard,
        finding=FindingFactory.create(spot__component=theirs.component, inspection=theirs.inspection),
    ),
    "a word of their manager": lambda ours, theirs: OverrulingFactory.create(
        finding=FindingFactory.create(spot__component=ours.component, inspection=ours.inspection),
        by=MemberFactory.create(yard=theirs.yard),
    ),
    "line for their finding": lambda ours, theirs: DueBackFactory.create(
        yard=ours.yard,
        finding=FindingFactory.create(spot__component=theirs.component, inspection=theirs.inspection),
    ),
    "template of their class": lambda ours, theirs: TemplateFactory.create(
        yard=ours.yard, component_class__yard=theirs.yard
    ),
}  # fmt: skip


@pytest.mark.parametrize("make", ACROSS.values(), ids=ACROSS)
def test_no_row_points_into_another_yard(
    ours: Scene, theirs: Scene, make: Callable[[Scene, Scene], object]
) -> None:
    with pytest.raises(IntegrityError, match="another yard"), transaction.atomic():
        make(ours, theirs)


def test_no_row_is_moved_to_another_yard(ours: Scene, theirs: Scene) -> None:
    for model in (Inspection, Check):
        with pytest.raises(IntegrityError), transaction.atomic():
            model.objects.filter(yard=ours.yard).update(yard=theirs.yard)
    finding = FindingFactory.create(spot__component=ours.component, inspection=ours.inspection)
    with pytest.raises(IntegrityError), transaction.atomic():
        Finding.objects.filter(pk=finding.pk).update(boat=theirs.boat)
    assert FindingState(finding.state) is FindingState.OPEN
