"""The content of a quote: everything the decider is shown, and nothing else.

It is written as canonical JSON (workshop.canonical) when the quote is sent; the report, the owner's page and the
totals of what was approved are all made from what was written then, never from what the tables say later.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Final

from workshop.pricing.job_price import Amount, MaterialLine, totals_of
from workshop.pricing.money import Totals
from workshop.quoting.choices import advised, contradiction
from workshop.quoting.finding_parts import DryingPart, EarlierPart, HoldPart, JudgedPart
from workshop.quoting.reading import plain, read
from workshop.quoting.surface_parts import SurfacePart, TakenOffPart
from yard.languages import FIRST, language_named

FORMAT: Final = "quote 3"
# Quotes of these formats are out and are read: "quote 1" knew neither `judged` nor `seen_on` nor `earlier`, and
# "quote 2" no packs of a material, no options, needs and addenda, no work on whole surfaces; it was in English, and
# its reasons had no groups.
READABLE: Final = ("quote 1", "quote 2", FORMAT)


@dataclass(frozen=True, slots=True)
class YardPart:
    """Who asks. `time_zone` is that of the days in the document."""

    name: str
    time_zone: str


@dataclass(frozen=True, slots=True)
class BoatPart:
    """The boat: build in words, lengths in mm."""

    id: int
    name: str
    build: str
    material: str
    loa_mm: int
    beam_mm: int
    year: int | None


@dataclass(frozen=True, slots=True)
class InspectionPart:
    """The look that the quote follows from."""

    id: int
    season_year: int
    launch_on: date
    opened_on: date
    closed_on: date | None


@dataclass(frozen=True, slots=True)
class DeciderPart:
    """Who says yes or no: `kind` is owner or member."""

    kind: str
    id: int
    name: str


@dataclass(frozen=True, slots=True)
class PinPart:
    """A place on the plan in thousandths: x from stem to stern, y from port to starboard."""

    x: int
    y: int
    level: str


@dataclass(frozen=True, slots=True)
class ReadingPart:
    """A measured figure."""

    quantity: str
    value: Decimal
    unit: str


@dataclass(frozen=True, slots=True)
class FindingPart:
    """What was found at a spot and what it means, as it stood when the quote was sent.

    `reasons` are sentences, the weightiest first; `overruled` is a manager's reason where he judged otherwise than
    the rules; `photos` are the SHA-256 of the pictures as they were taken; `earlier` looks come oldest first.
    `reason_groups` has a code for each of the reasons, or none where that was not known; `reasons_in` is their
    language where it is not the document's.
    """

    id: str
    place: str
    tag: str
    pin: PinPart | None
    signs: tuple[str, ...]
    size_mm: Decimal | None
    readings: tuple[ReadingPart, ...]
    condition: str
    severity: int
    probability_level: str
    risk: str
    priority: str
    reasons: tuple[str, ...]
    overruled: str
    if_left: str
    due_back_on: date
    due_back_kind: str
    photos: tuple[str, ...]
    judged: JudgedPart | None = None
    seen_on: date | None = None
    earlier: tuple[EarlierPart, ...] = ()
    reason_groups: tuple[str, ...] = ()
    reasons_in: str = ""

    def __post_init__(self) -> None:
        if self.reason_groups and len(self.reason_groups) != len(self.reasons):
            raise ValueError(f"finding {self.id}: its reasons and their groups are not as many")


@dataclass(frozen=True, slots=True)
class OperationPart:
    """One operation on one finding, or on one whole surface; then `finding` is empty."""

    treatment: str
    name: str
    quantity: Decimal
    unit: str
    finding: str
    surface: int | None = None

    def __post_init__(self) -> None:
        if bool(self.finding) == (self.surface is not None):
            raise ValueError(f"{self.treatment}: it is on a finding or on a surface")


@dataclass(frozen=True, slots=True)
class AgreedPart:
    """A job of another quote: its title and that quote's number."""

    title: str
    quote: int


@dataclass(frozen=True, slots=True)
class AddsToPart:
    """The agreed quote that an addendum adds to."""

    number: int
    dated: date
    digest: str


@dataclass(frozen=True, slots=True)
class SavingPart:
    """What is saved by doing a job's findings together instead of one by one: hours [h], and net."""

    hours: Decimal
    net: Decimal


@dataclass(frozen=True, slots=True)
class JobPart:
    """One job to be decided on; amounts are net.

    Jobs of the same `option` exclude each other, and one of them is `recommended`. `means` says what choosing this
    way means; where it only holds the boat, the proper repair is due by `proper_by`. `needs` are ids of jobs of
    this quote, `builds_on` names needed jobs of other quotes, `extends` the agreed job that this is more work on.
    """

    id: int
    position: int
    title: str
    opening_up: str
    if_left: str
    unsafe_to_leave: bool
    operations: tuple[OperationPart, ...]
    hours_likely: Decimal
    hours_ceiling: Decimal
    net_labour: Decimal
    net_materials: Decimal
    net: Decimal
    materials: tuple[MaterialLine, ...]
    amounts: tuple[Amount, ...]
    cautions: tuple[str, ...]
    option: str = ""
    recommended: bool = False
    means: str = ""
    proper_by: date | None = None
    needs: tuple[int, ...] = ()
    builds_on: tuple[AgreedPart, ...] = ()
    extends: AgreedPart | None = None
    taken_off: tuple[TakenOffPart, ...] = ()
    saving: SavingPart | None = None

    def __post_init__(self) -> None:
        if self.net != self.net_labour + self.net_materials:
            raise ValueError(f"job {self.id}: labour and materials don't add up to its price")
        if self.net != sum((amount.net for amount in self.amounts), Decimal(0)):
            raise ValueError(f"job {self.id}: the amounts by VAT rate don't add up to its price")

    @property
    def findings(self) -> tuple[str, ...]:
        """The findings it serves, each once, in the order of work."""
        return tuple(dict.fromkeys(operation.finding for operation in self.operations if operation.finding))

    @property
    def surfaces(self) -> tuple[int, ...]:
        """The surfaces it works on as a whole, each once."""
        on = (operation.surface for operation in self.operations)
        return tuple(dict.fromkeys(surface for surface in on if surface is not None))


@dataclass(frozen=True, slots=True)
class NotSeenPart:
    """A place that was not seen, why, and by when somebody must be back."""

    place: str
    why: str
    reasons: tuple[str, ...]
    due_back_on: date | None
    reasons_in: str = ""


@dataclass(frozen=True, slots=True)
class DueBackPart:
    """A line of the due-back book."""

    on: date
    kind: str
    place: str
    tag: str
    reason: str


@dataclass(frozen=True, slots=True)
class CautionPart:
    """A hazard of the work and the usual care."""

    title: str
    text: str


@dataclass(frozen=True, slots=True)
class QuoteDocument:
    """The whole of it. It refuses to exist unless its figures add up and its jobs name findings it holds.

    `totals` never add two ways of doing the same: they are those of `as_advised`, every job that stands for itself
    and of each choice the way that the yard advises. What is approved in the end is summed up by itself.

    `language` is that of its words, the decider's when it was sent; what a member typed stays as it was typed.

    Raises:
        ValueError: the totals are not those of the jobs, options and needs contradict each other, or a job names a
            finding or a surface that is not there.
    """

    format: str
    number: int
    dated: date
    valid_until: date
    currency: str
    yard: YardPart
    boat: BoatPart
    inspection: InspectionPart
    decider: DeciderPart
    findings: tuple[FindingPart, ...]
    jobs: tuple[JobPart, ...]
    totals: Totals
    not_seen: tuple[NotSeenPart, ...]
    due_back: tuple[DueBackPart, ...]
    cautions: tuple[CautionPart, ...]
    rules_versions: tuple[str, ...]
    language: str = FIRST
    adds_to: AddsToPart | None = None
    surfaces: tuple[SurfacePart, ...] = ()

    def __post_init__(self) -> None:
        if self.format not in READABLE:
            raise ValueError(f"the document is of format {self.format!r}, not {FORMAT!r}")
        if language_named(self.language) is None:
            raise ValueError(f"the document is in {self.language!r}, which is none of our languages")
        known = {finding.id for finding in self.findings}
        for job in self.jobs:
            if not known.issuperset(job.findings):
                raise ValueError(f"job {job.id} names a finding that is not in the document")
            if not {surface.id for surface in self.surfaces}.issuperset(job.surfaces):
                raise ValueError(f"job {job.id} names a surface that is not in the document")
        wrong = contradiction(self.jobs)
        if wrong is not None:
            raise ValueError(f"job {wrong[0]} {wrong[1]}")
        if self.totals != totals_of_jobs(self.as_advised, self.currency):
            raise ValueError("the totals are not those of the jobs")

    def as_document(self) -> dict[str, Any]:
        """Plain values, as `workshop.canonical` writes them."""
        written: dict[str, Any] = plain(self)
        return written

    @property
    def as_advised(self) -> tuple[JobPart, ...]:
        """The jobs that the totals are of."""
        return advised(self.jobs)

    @property
    def pictures(self) -> frozenset[str]:
        """SHA-256 of every photo that is shown, of earlier years too."""
        of_now = {sha256 for finding in self.findings for sha256 in finding.photos}
        before = {look.photo for finding in self.findings for look in finding.earlier if look.photo}
        return frozenset(of_now | before)

    def finding(self, finding_id: str) -> FindingPart:
        """The finding of that id.

        Raises:
            KeyError: it is not in the document.
        """
        return {finding.id: finding for finding in self.findings}[finding_id]

    def surfaces_of(self, job: JobPart) -> tuple[SurfacePart, ...]:
        """The surfaces that a job works on as a whole."""
        return tuple(surface for surface in self.surfaces if surface.id in job.surfaces)

    def job(self, job_id: int) -> JobPart:
        """The job of that id.

        Raises:
            KeyError: it is not in the document.
        """
        return {job.id: job for job in self.jobs}[job_id]

    @property
    def beside_the_jobs(self) -> tuple[FindingPart, ...]:
        """Findings that no job of this quote serves: watched, or left for a later quote."""
        served = {finding for job in self.jobs for finding in job.findings}
        return tuple(finding for finding in self.findings if finding.id not in served)


def totals_of_jobs(jobs: tuple[JobPart, ...] | list[JobPart], currency: str) -> Totals:
    """Totals of some of the jobs, VAT rounded once per rate on their sum. No job gives nothing to pay."""
    return totals_of([job.amounts for job in jobs], currency)


def document_read(content: str) -> QuoteDocument:
    """Read the content of a quote that was sent.

    Raises:
        Refused: it is no such document; the field says where.
    """
    return read(QuoteDocument, json.loads(content), "content")


@dataclass(frozen=True, slots=True)
class Heading:
    """What a list tells of a quote that was sent."""

    decider: DeciderPart
    totals: Totals


def heading_read(content: str) -> Heading:
    """Read who was asked and what it comes to, without going through the whole of it as `document_read` does.

    Raises:
        Refused: it is no such document; the field says where.
    """
    whole = json.loads(content)
    return read(Heading, {name: whole[name] for name in ("decider", "totals") if name in whole}, "content")


__all__ = [
    "FORMAT",
    "AddsToPart",
    "AgreedPart",
    "BoatPart",
    "CautionPart",
    "DeciderPart",
    "DryingPart",
    "DueBackPart",
    "EarlierPart",
    "FindingPart",
    "Heading",
    "HoldPart",
    "InspectionPart",
    "JobPart",
    "JudgedPart",
    "NotSeenPart",
    "OperationPart",
    "PinPart",
    "QuoteDocument",
    "ReadingPart",
    "SavingPart",
    "SurfacePart",
    "TakenOffPart",
    "YardPart",
    "document_read",
    "heading_read",
    "totals_of_jobs",
]
