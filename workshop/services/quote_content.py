"""The content of a quote as the tables have it now: what the manager looks over, and what is frozen on sending."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import TypeVar
from uuid import UUID

from inspections.judgement.vocabulary import Answer, Condition, Priority
from inspections.models import (
    Assessment,
    DueBack,
    Entry,
    EntryPhoto,
    Finding,
    Inspection,
    OpeningStep,
    Reading,
    Sign,
)
from workshop.models import Caution, Job, Operation, Quote, QuoteLine
from workshop.pricing.job_price import JobPrice
from workshop.quoting.choices import advised, contradiction
from workshop.quoting.document import (
    FORMAT,
    AddsToPart,
    AgreedPart,
    BoatPart,
    CautionPart,
    DeciderPart,
    DueBackPart,
    EarlierPart,
    FindingPart,
    InspectionPart,
    JobPart,
    NotSeenPart,
    OperationPart,
    PinPart,
    QuoteDocument,
    ReadingPart,
    SavingPart,
    TakenOffPart,
    YardPart,
    totals_of_jobs,
)
from workshop.quoting.if_left import if_left
from workshop.quoting.job_words import JobWords
from workshop.quoting.words_in import build_word
from workshop.services.finding_history import earlier_at_spots, judged_part, seen_on
from workshop.services.needs import needs_outside, needs_within
from workshop.services.prices import operations_of, price_list_of, price_of, saving_of
from workshop.services.quote_surfaces import surface_parts, taken_off
from workshop.services.quote_words import job_texts, language_of_decider, material_in, place_of, said_of
from workshop.services.standing import Standing, standing_of
from yard.languages import FIRST, Language
from yard.models import Boat, Owner
from yard.refusals import Refused
from yard.stock_words import stock_word

Row = TypeVar("Row", Reading, EntryPhoto)
Part = TypeVar("Part", NotSeenPart, DueBackPart)

ALWAYS = "GENERAL"
URGENCY = {priority: position for position, priority in enumerate(Priority)}


def quote_content(quote: Quote, *, at: datetime) -> QuoteDocument:
    """Gather what a quote would say if it were sent at this moment.

    Raises:
        Refused: it holds no job, a job can't be priced, choices and needs contradict each other, or a finding is
            not judged yet.
    """
    yard, boat, inspection = quote.yard, quote.boat, quote.inspection
    lines = list(
        quote.lines.select_related("job__extends", "job__alternative_to", "option_group").order_by("position")
    )
    jobs = [line.job for line in lines]
    if not jobs:
        raise Refused("jobs", "the quote holds no job", "put at least one in")
    prices = price_list_of(yard, on_date=at.astimezone(yard.zone).date())
    operations = operations_of(jobs)
    priced = {job.pk: price_of(job, operations[job.pk], prices) for job in jobs}
    language = language_of_decider(boat)
    findings, rules_versions, found, standing = _findings(inspection, operations, language)
    steps = (
        [] if language == FIRST else list(OpeningStep.objects.filter(inspection=inspection).order_by("position"))
    )
    today = at.astimezone(yard.zone).date()
    strips = taken_off(jobs, operations, yard=yard, on_date=today)
    needs, builds_on = needs_within(jobs), needs_outside(jobs)
    parts = []
    for position, line in enumerate(lines, start=1):
        rows = operations[line.job_id]
        part = _job_part(
            position,
            line.job,
            rows,
            priced[line.job_id],
            job_texts(line.job, rows, found, steps, standing, language),
            language,
            strips[line.job_id],
        )
        saved = saving_of(line.job, rows, prices)
        if saved.worth_telling:
            part = replace(part, saving=SavingPart(saved.hours, saved.net))
        parts.append(_as_chosen(part, line, needs, builds_on, quote.adds_to))
    wrong = contradiction(parts)
    if wrong is not None:
        remedy = "change the choices, or what needs what, then look it over again"
        raise Refused(f"jobs.{wrong[0]}", f"this job {wrong[1]}", remedy)
    _refuse_two_ways(jobs, lines)
    return QuoteDocument(
        format=FORMAT,
        number=quote.number,
        dated=today,
        valid_until=quote.valid_until,
        currency=quote.currency,
        yard=YardPart(yard.name, yard.time_zone),
        boat=_boat_part(boat, language),
        inspection=_inspection_part(inspection),
        decider=decider_part(boat),
        findings=findings,
        jobs=tuple(parts),
        totals=totals_of_jobs(advised(parts), quote.currency),
        not_seen=_not_seen(inspection, language),
        due_back=_due_back(boat, language),
        cautions=_cautions(quote, parts, language),
        rules_versions=rules_versions,
        language=language,
        adds_to=None if quote.adds_to is None else _adds_to(quote.adds_to),
        surfaces=surface_parts(operations, yard=yard, on_date=today, language=language),
    )


def decider_part(boat: Boat) -> DeciderPart:
    """Who decides on this boat today."""
    decider = boat.decider
    return DeciderPart("owner" if isinstance(decider, Owner) else "member", decider.pk, decider.name)


def _boat_part(boat: Boat, language: Language) -> BoatPart:
    return BoatPart(
        id=boat.pk,
        name=boat.name,
        build=build_word(boat.build, str(boat.get_build_display()), language),
        material=boat.material,
        loa_mm=boat.loa_mm,
        beam_mm=boat.beam_mm,
        year=boat.year,
    )


def _inspection_part(inspection: Inspection) -> InspectionPart:
    zone = inspection.yard.zone
    closed_at = inspection.closed_at
    return InspectionPart(
        id=inspection.pk,
        season_year=inspection.season_year,
        launch_on=inspection.launch_on,
        opened_on=inspection.opened_at.astimezone(zone).date(),
        closed_on=None if closed_at is None else closed_at.astimezone(zone).date(),
    )


def _findings(
    inspection: Inspection, operations: Mapping[int, Sequence[Operation]], language: Language
) -> tuple[tuple[FindingPart, ...], tuple[str, ...], Mapping[UUID, Finding], Mapping[UUID, Standing]]:
    """Every finding of the inspection that is still somebody's business, the most urgent first.

    With the versions of the rules that judged them, the rows, and what stands of each.
    """
    served = {operation.finding_id for rows in operations.values() for operation in rows}
    rows = list(
        Finding.objects.filter(inspection=inspection)
        .select_related("yard", "component", "spot", "entry__answers")
        .order_by("found_at", "id")
    )
    rows = [finding for finding in rows if finding.ended_at is None or finding.pk in served]
    standing = standing_of(rows)
    unjudged = [finding for finding in rows if finding.pk not in standing]
    if unjudged:
        places = ", ".join(_place(finding) for finding in unjudged)
        raise Refused("findings", f"not judged yet: {places}", "wait for the worker, or see why it failed")
    signs = {
        sign.code: stock_word("signs", sign.name, language) for sign in Sign.objects.of_yard(inspection.yard_id)
    }
    entries = [finding.entry_id for finding in rows]
    readings = _by_entry(Reading.objects.filter(entry__in=entries).order_by("entry", "id"))
    photos = _by_entry(EntryPhoto.objects.filter(entry__in=entries).order_by("entry", "position"))
    earlier = earlier_at_spots(inspection, rows)
    parts = [
        _finding_part(
            finding,
            standing[finding.pk],
            tuple(signs.get(code, code) for code in finding.entry.signs),
            tuple(ReadingPart(row.quantity, row.value, row.unit) for row in readings.get(finding.entry_id, ())),
            tuple(row.sha256 for row in photos.get(finding.entry_id, ())),
            earlier.get(finding.pk, ()),
            language,
        )
        for finding in rows
    ]
    parts.sort(key=lambda part: (URGENCY[Priority(part.priority)], part.severity, part.due_back_on, part.id))
    versions = {standing[finding.pk].assessment.rules_version for finding in rows}
    return tuple(parts), tuple(sorted(versions)), {finding.pk: finding for finding in rows}, standing


def _finding_part(
    finding: Finding,
    standing: Standing,
    signs: tuple[str, ...],
    readings: tuple[ReadingPart, ...],
    photos: tuple[str, ...],
    earlier: tuple[EarlierPart, ...],
    language: Language,
) -> FindingPart:
    assessment, spot = standing.assessment, finding.spot
    reasons, groups, spoken = said_of(assessment, language)
    pin = None
    if spot is not None and spot.plan_x is not None and spot.plan_y is not None:
        pin = PinPart(spot.plan_x, spot.plan_y, spot.level)
    return FindingPart(
        id=str(finding.pk),
        place=_place(finding, language),
        tag=spot.tag if spot is not None else "",
        pin=pin,
        signs=signs,
        size_mm=finding.entry.size_mm,
        readings=readings,
        condition=str(Condition(assessment.condition).value),
        severity=assessment.severity,
        probability_level=assessment.probability_level,
        risk=assessment.risk,
        priority=str(standing.priority.value),
        reasons=reasons,
        overruled=standing.overruling.reason if standing.overruling is not None else "",
        if_left=if_left(assessment.condition, assessment.severity, language),
        due_back_on=standing.due_back_on,
        due_back_kind=assessment.due_back_kind,
        photos=photos,
        judged=judged_part(assessment.document, spoken),
        seen_on=seen_on(finding.yard, finding.entry),
        earlier=earlier,
        reason_groups=groups,
        reasons_in="" if spoken == language else spoken,
    )


def _place(finding: Finding, language: Language = FIRST) -> str:
    return place_of(finding.component, finding.entry.elsewhere, finding.spot, language)


def _by_entry(rows: Iterable[Row]) -> Mapping[UUID, list[Row]]:
    found: dict[UUID, list[Row]] = {}
    for row in rows:
        found.setdefault(row.entry_id, []).append(row)
    return found


def _adds_to(agreed: Quote) -> AddsToPart:
    assert agreed.sent_at is not None  # nothing is added to a quote that was never sent
    return AddsToPart(agreed.number, agreed.sent_at.astimezone(agreed.yard.zone).date(), agreed.digest)


def _refuse_two_ways(jobs: Iterable[Job], lines: Iterable[QuoteLine]) -> None:
    """Another way of a job stands beside it only as a choice; or the same place would be paid for twice."""
    group_of = {line.job_id: line.option_group_id for line in lines}
    for job in jobs:
        if job.alternative_to is None or job.alternative_to_id not in group_of:
            continue
        if group_of[job.pk] is None or group_of[job.pk] != group_of[job.alternative_to_id]:
            raise Refused(
                f"jobs.{job.pk}",
                f"is another way to do {job.alternative_to.title!r}, and both are asked for",
                "put the two into one choice, or take one of them out",
            )


def _as_chosen(
    part: JobPart,
    line: QuoteLine,
    needs: Mapping[int, tuple[int, ...]],
    builds_on: Mapping[int, tuple[AgreedPart, ...]],
    adds_to: Quote | None,
) -> JobPart:
    """The job with what it excludes, needs and adds to."""
    job, extends = line.job, None
    if job.extends is not None and adds_to is not None:
        extends = AgreedPart(job.extends.title, adds_to.number)
    return replace(
        part,
        option="" if line.option_group is None else line.option_group.title,
        recommended=line.recommended,
        means=job.means,
        proper_by=job.proper_by,
        needs=needs.get(job.pk, ()),
        builds_on=builds_on.get(job.pk, ()),
        extends=extends,
    )


def _job_part(
    position: int,
    job: Job,
    operations: Sequence[Operation],
    price: JobPrice,
    texts: JobWords,
    language: Language,
    strips: tuple[TakenOffPart, ...],
) -> JobPart:
    return JobPart(
        id=job.pk,
        position=position,
        title=texts.title,
        opening_up=texts.opening_up,
        if_left=texts.if_left,
        unsafe_to_leave=job.unsafe_to_leave,
        operations=tuple(
            OperationPart(
                treatment=operation.treatment.code,
                name=stock_word("treatments", operation.treatment.name, language),
                quantity=operation.quantity,
                unit=operation.treatment.unit,
                finding="" if operation.finding_id is None else str(operation.finding_id),
                surface=operation.surface_id,
            )
            for operation in operations
        ),
        hours_likely=price.hours_likely,
        hours_ceiling=price.hours_ceiling,
        net_labour=price.net_labour,
        net_materials=price.net_materials,
        net=price.net,
        materials=tuple(material_in(line, language) for line in price.materials),
        amounts=price.amounts,
        cautions=tuple(dict.fromkeys(code for operation in operations for code in operation.treatment.cautions)),
        taken_off=strips,
    )


def _not_seen(inspection: Inspection, language: Language) -> tuple[NotSeenPart, ...]:
    entries = list(
        Entry.objects.filter(inspection=inspection, answer=Answer.NOT_SEEN, superseded_by__isnull=True)
        .select_related("component", "spot", "answers")
        .order_by("observed_at", "id")
    )
    judged = {
        assessment.entry_id: assessment
        for assessment in Assessment.objects.filter(entry__in=entries, superseded_at__isnull=True)
    }
    parts = []
    for entry in entries:
        assessment = judged.get(entry.pk)
        reasons, _, spoken = said_of(assessment, language) if assessment is not None else ((), (), language)
        parts.append(
            NotSeenPart(
                place=place_of(entry.component, entry.elsewhere, entry.spot, language),
                why=entry.not_seen_reason,
                reasons=reasons,
                due_back_on=assessment.due_back_on if assessment is not None else None,
                reasons_in="" if spoken == language else spoken,
            )
        )
    return _once(parts)


def _due_back(boat: Boat, language: Language) -> tuple[DueBackPart, ...]:
    lines = (
        DueBack.objects.filter(boat=boat, ended_at__isnull=True)
        .select_related("component", "spot", "finding__entry", "entry", "surface")
        .order_by("due_on", "id")
    )
    parts = []
    for line in lines:
        entry = line.finding.entry if line.finding is not None else line.entry
        elsewhere = entry.elsewhere if entry is not None else ""
        parts.append(
            DueBackPart(
                on=line.due_on,
                kind=line.kind,
                place=line.surface.name
                if line.surface
                else place_of(line.component, elsewhere, line.spot, language),
                tag=line.spot.tag if line.spot is not None else "",
                reason=line.reason,
            )
        )
    return _once(parts)


def _once(parts: Iterable[Part]) -> tuple[Part, ...]:
    """Each line once: a part that stayed hidden was not seen under each of its questions."""
    return tuple(dict.fromkeys(parts))


def _cautions(quote: Quote, jobs: Iterable[JobPart], language: Language) -> tuple[CautionPart, ...]:
    codes = {code for job in jobs for code in job.cautions} | {ALWAYS}
    rows = Caution.objects.of_yard(quote.yard_id).filter(code__in=codes)
    # what goes on everything comes first
    told = [
        (
            caution.code != ALWAYS,
            stock_word("caution_titles", caution.title, language),
            stock_word("caution_texts", caution.text, language),
        )
        for caution in rows
    ]
    return tuple(CautionPart(title, text) for _, title, text in sorted(told))


__all__ = ["decider_part", "quote_content"]
