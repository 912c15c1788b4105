"""The inspections' floor: what is looked at on one boat, and what was found."""

import hashlib
import io
import uuid
from datetime import date, datetime, timedelta
from typing import Any

import factory
from factory.django import DjangoModelFactory
from PIL import Image

from inspections.models import (
    Acknowledgement,
    Assessment,
    Check,
    DueBack,
    Entry,
    EntryPhoto,
    Finding,
    FindingJoin,
    Inspection,
    OpeningStep,
    Overruling,
    Photo,
    Reading,
    SecondLookAsk,
    SetAside,
    Sign,
    Template,
    TemplateVersion,
)
from tests.factories.yard import (
    CREATED,
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    MemberFactory,
    SpotFactory,
    TechnicianFactory,
    YardFactory,
)
from yard.models import Yard

# What the stock list says of a few signs.
SIGNS = {
    "CRACK_WOOD": ("Crack in the wood", ["water_way_open", "split_in_load_path"]),
    "GAP_JOINT": ("Gap in a joint", ["joint_moves", "water_way_open"]),
    "SOFT_PROBE": ("Soft to the probe", ["decay"]),
    "VARN_MATTE": ("Dull or crazed varnish", ["finish_only"]),
    "MC_HIGH": ("High moisture reading", ["water_in"]),
    "NOT_SEEN": ("Not seen", ["unseen"]),
}

OPENING_STEPS = [{"key": "lining", "kind": "take_off", "text": "Lining off below the window", "shares": "lining"}]
CHECKS: list[dict[str, Any]] = [
    {
        "key": "corners",
        "prompt": "Are the lower corners tight?",
        "answer_kind": "signs",
        "reading": None,
        "usual_signs": ["CRACK_WOOD", "GAP_JOINT"],
        "contact": ["wood_to_wood"],
        "after": ["lining"],
        "both_sides": True,
        "photo_wanted": True,
        "look_for": "A dark line along the joint",
    },
    {
        "key": "moisture",
        "prompt": "How wet is the lower rail?",
        "answer_kind": "reading",
        "reading": {"quantity": "moisture_pct", "unit": "pct", "minimum": "4", "maximum": "100"},
        "usual_signs": ["MC_HIGH"],
        "contact": [],
        "after": [],
        "both_sides": False,
        "photo_wanted": False,
        "look_for": "",
    },
]


def made_id(number: int) -> uuid.UUID:
    """A UUID of version 7, the same in every run; later numbers sort later."""
    return uuid.UUID(int=((0x019A_0000_0000 + number) << 80) | (0x7 << 76) | (0x8 << 60) | number)


def signs_of(yard: Yard) -> None:
    """The signs above, for a yard."""
    Sign.objects.bulk_create(
        Sign(yard=yard, code=code, name=name, conditions=conditions, meaning="common practice, no source")
        for code, (name, conditions) in SIGNS.items()
    )


def picture(width: int = 48, height: int = 32, colour: str = "sienna", kind: str = "JPEG", **save: Any) -> bytes:
    """A small picture file."""
    file = io.BytesIO()
    Image.new("RGB", (width, height), colour).save(file, kind, **save)
    return file.getvalue()


class SignFactory(DjangoModelFactory[Sign]):
    class Meta:
        model = Sign

    yard = factory.SubFactory(YardFactory)
    code = factory.Sequence(lambda n: f"SIGN_{n}")
    name = factory.Sequence(lambda n: f"sign {n}")
    conditions = factory.List(["water_way_open"])


class TemplateFactory(DjangoModelFactory[Template]):
    class Meta:
        model = Template

    component_class = factory.SubFactory(ComponentClassFactory)
    yard = factory.SelfAttribute("component_class.yard")
    title = factory.LazyAttribute(lambda template: f"Look at {template.component_class.name}")


class TemplateVersionFactory(DjangoModelFactory[TemplateVersion]):
    """A published one; `published_at=None` makes it a draft."""

    class Meta:
        model = TemplateVersion

    template = factory.SubFactory(TemplateFactory)
    yard = factory.SelfAttribute("template.yard")
    number = 1
    opening_steps = factory.LazyFunction(lambda: [dict(step) for step in OPENING_STEPS])
    checks = factory.LazyFunction(lambda: [dict(check) for check in CHECKS])
    created_at = CREATED
    edited_at = CREATED
    published_at = CREATED


class InspectionFactory(DjangoModelFactory[Inspection]):
    """An open inspection without checks. Those that come from templates are made by `inspection_open`."""

    class Meta:
        model = Inspection

    boat = factory.SubFactory(BoatFactory)
    yard = factory.SelfAttribute("boat.yard")
    season_year = 2027
    launch_on = factory.LazyAttribute(lambda inspection: date(inspection.season_year, 5, 1))
    opened_at = factory.LazyAttribute(lambda inspection: CREATED.replace(year=inspection.season_year, month=3))


class OpeningStepFactory(DjangoModelFactory[OpeningStep]):
    class Meta:
        model = OpeningStep

    component = factory.SubFactory(ComponentFactory)
    inspection = factory.SubFactory(InspectionFactory, boat=factory.SelfAttribute("..component.boat"))
    yard = factory.SelfAttribute("inspection.yard")
    key = "lining"
    kind = "take_off"
    text = "Lining off below the window"
    shares = "lining"
    position = factory.Sequence(lambda n: n % 30_000)


class CheckFactory(DjangoModelFactory[Check]):
    """A question from a template. Give `inspection` or `component`, or both of one boat."""

    class Meta:
        model = Check

    component = factory.SubFactory(ComponentFactory)
    inspection = factory.SubFactory(InspectionFactory, boat=factory.SelfAttribute("..component.boat"))
    yard = factory.SelfAttribute("inspection.yard")
    key = factory.Sequence(lambda n: f"check_{n}")
    position = factory.Sequence(lambda n: n % 30_000)
    prompt = "Are the lower corners tight?"
    answer_kind = "signs"
    usual_signs = factory.List(["CRACK_WOOD"])


class EntryFactory(DjangoModelFactory[Entry]):
    """A sound answer outside the list. `answer="finding", spot=…` for signs, `answer="not_seen"` says why."""

    class Meta:
        model = Entry

    id = factory.Sequence(lambda n: made_id(1_000_000_000 + n))
    component = factory.SubFactory(ComponentFactory)
    inspection = factory.SubFactory(InspectionFactory, boat=factory.SelfAttribute("..component.boat"))
    yard = factory.SelfAttribute("inspection.yard")
    author = factory.SubFactory(TechnicianFactory, yard=factory.SelfAttribute("..yard"))
    answer = "sound"
    not_seen_reason = factory.LazyAttribute(lambda entry: "sole down" if entry.answer == "not_seen" else "")
    signs = factory.LazyAttribute(lambda entry: ["CRACK_WOOD"] if entry.answer == "finding" else [])
    observed_at = factory.LazyAttribute(lambda entry: entry.inspection.opened_at + timedelta(days=10))
    received_at = factory.LazyAttribute(lambda entry: entry.observed_at + timedelta(minutes=5))
    digest = factory.LazyAttribute(lambda entry: hashlib.sha256(entry.id.bytes).hexdigest())


class ReadingFactory(DjangoModelFactory[Reading]):
    class Meta:
        model = Reading

    entry = factory.SubFactory(EntryFactory)
    yard = factory.SelfAttribute("entry.yard")
    quantity = "moisture_pct"
    value = "18.50"
    unit = "pct"


class EntryPhotoFactory(DjangoModelFactory[EntryPhoto]):
    class Meta:
        model = EntryPhoto

    entry = factory.SubFactory(EntryFactory)
    yard = factory.SelfAttribute("entry.yard")
    sha256 = factory.Sequence(lambda n: hashlib.sha256(f"photo {n}".encode()).hexdigest())
    position = factory.Sequence(lambda n: n % 30_000)


class FindingFactory(DjangoModelFactory[Finding]):
    """A crack at a spot of a component, open and not judged yet. Ended states say when."""

    class Meta:
        model = Finding

    spot = factory.SubFactory(SpotFactory)
    component = factory.SelfAttribute("spot.component")
    boat = factory.SelfAttribute("component.boat")
    yard = factory.SelfAttribute("boat.yard")
    inspection = factory.SubFactory(InspectionFactory, boat=factory.SelfAttribute("..boat"))
    entry = factory.SubFactory(
        EntryFactory,
        inspection=factory.SelfAttribute("..inspection"),
        component=factory.SelfAttribute("..component"),
        spot=factory.SelfAttribute("..spot"),
        answer="finding",
    )
    id = factory.SelfAttribute("entry.id")
    state = Finding.State.OPEN
    found_at = factory.SelfAttribute("entry.observed_at")
    ended_at = factory.LazyAttribute(
        lambda finding: finding.found_at + timedelta(days=30) if finding.state in Finding.ENDED else None
    )


class AssessmentFactory(DjangoModelFactory[Assessment]):
    """What a finding means. For a place not seen: `finding=None, entry=…, boat=…`."""

    class Meta:
        model = Assessment

    finding = factory.SubFactory(FindingFactory)
    entry = factory.SelfAttribute("finding.entry")
    boat = factory.SelfAttribute("finding.boat")
    yard = factory.SelfAttribute("boat.yard")
    condition = "water_way_open"
    severity = 3
    probability_level = "C"
    risk = "medium"
    priority = "this_season"
    due_back_on = date(2027, 10, 15)
    due_back_kind = "put_right"
    treatments = factory.List(["REBED_SEALANT"])
    reasons = factory.List(["Water has a way in.", "It is work for this season."])
    document = factory.Dict({"condition": "water_way_open"})
    rules_version = "1"
    inputs_digest = hashlib.sha256(b"facts").hexdigest()
    made_at = factory.LazyAttribute(lambda assessment: assessment.entry.received_at + timedelta(minutes=1))


class OverrulingFactory(DjangoModelFactory[Overruling]):
    class Meta:
        model = Overruling

    finding = factory.SubFactory(FindingFactory)
    assessment = factory.SubFactory(AssessmentFactory, finding=factory.SelfAttribute("..finding"))
    yard = factory.SelfAttribute("finding.yard")
    by = factory.SubFactory(MemberFactory, yard=factory.SelfAttribute("..yard"))
    priority = "watch"
    due_back_on = date(2027, 9, 1)
    reason = "I have had it under my own eyes for ten years."
    made_at = factory.LazyAttribute(lambda overruling: overruling.assessment.made_at + timedelta(hours=1))


class DueBackFactory(DjangoModelFactory[DueBack]):
    class Meta:
        model = DueBack

    finding = factory.SubFactory(FindingFactory)
    boat = factory.SelfAttribute("finding.boat")
    component = factory.SelfAttribute("finding.component")
    spot = factory.SelfAttribute("finding.spot")
    yard = factory.SelfAttribute("boat.yard")
    due_on = date(2027, 10, 15)
    kind = "put_right"
    reason = "Water has a way in."
    set_at = factory.LazyAttribute(lambda line: line.finding.entry.received_at)


class PhotoFactory(DjangoModelFactory[Photo]):
    """A photo whose file is not there; those with a file are taken in by `photo_receive`."""

    class Meta:
        model = Photo

    yard = factory.SubFactory(YardFactory)
    sha256 = factory.Sequence(lambda n: hashlib.sha256(f"sent {n}".encode()).hexdigest())
    stored_sha256 = factory.LazyAttribute(lambda photo: hashlib.sha256(photo.sha256.encode()).hexdigest())
    media_type = "image/jpeg"
    width_px = 1600
    height_px = 1200
    size_bytes = 200_000
    file = factory.LazyAttribute(lambda photo: f"photos/{photo.yard.pk}/{photo.sha256[:2]}/{photo.sha256}.jpg")
    received_at = CREATED


class SetAsideFactory(DjangoModelFactory[SetAside]):
    class Meta:
        model = SetAside

    boat = factory.SubFactory(BoatFactory)
    yard = factory.SelfAttribute("boat.yard")
    entry_id = factory.Sequence(lambda n: made_id(2_000_000_000 + n))
    sent = factory.LazyAttribute(lambda row: {"id": str(row.entry_id), "answer": "sound"})
    digest = factory.LazyAttribute(lambda row: hashlib.sha256(row.entry_id.bytes).hexdigest())
    why = "the inspection was closed on 20 April 2027"
    author = factory.SubFactory(TechnicianFactory, yard=factory.SelfAttribute("..yard"))
    received_at: datetime = CREATED


class AcknowledgementFactory(DjangoModelFactory[Acknowledgement]):
    class Meta:
        model = Acknowledgement

    finding = factory.SubFactory(FindingFactory)
    entry = factory.SelfAttribute("finding.entry")
    yard = factory.SelfAttribute("finding.yard")
    by = factory.SubFactory(MemberFactory, yard=factory.SelfAttribute("..yard"))
    made_at: datetime = CREATED


class SecondLookAskFactory(DjangoModelFactory[SecondLookAsk]):
    """Asked for, and waiting for the next inspection."""

    class Meta:
        model = SecondLookAsk

    finding = factory.SubFactory(FindingFactory)
    entry = factory.SelfAttribute("finding.entry")
    yard = factory.SelfAttribute("finding.yard")
    by = factory.SubFactory(MemberFactory, yard=factory.SelfAttribute("..yard"))
    note = "Probe it from below."
    asked_at: datetime = CREATED


class FindingJoinFactory(DjangoModelFactory[FindingJoin]):
    class Meta:
        model = FindingJoin

    kept = factory.SubFactory(FindingFactory)
    joined = factory.SubFactory(
        FindingFactory,
        spot__component=factory.SelfAttribute("...kept.component"),
        inspection=factory.SelfAttribute("..kept.inspection"),
        state="joined",
    )
    yard = factory.SelfAttribute("kept.yard")
    by = factory.SubFactory(MemberFactory, yard=factory.SelfAttribute("..yard"))
    reason = "The same seam, seen by two."
    state_before = "open"
    made_at: datetime = CREATED


__all__ = [
    "CHECKS",
    "OPENING_STEPS",
    "SIGNS",
    "AcknowledgementFactory",
    "AssessmentFactory",
    "CheckFactory",
    "DueBackFactory",
    "EntryFactory",
    "EntryPhotoFactory",
    "FindingFactory",
    "FindingJoinFactory",
    "InspectionFactory",
    "OpeningStepFactory",
    "OverrulingFactory",
    "PhotoFactory",
    "ReadingFactory",
    "SecondLookAskFactory",
    "SetAsideFactory",
    "SignFactory",
    "TemplateFactory",
    "TemplateVersionFactory",
    "made_id",
    "picture",
    "signs_of",
]
