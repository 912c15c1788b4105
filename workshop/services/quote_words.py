"""What a quote says in its reader's language: the rows' own words, the stock catalogue's, and those of judgement.

A text that a member of the yard has typed stays as it was typed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from uuid import UUID

from inspections.judgement.vocabulary import ReasonGroup
from inspections.models import Assessment, Finding, OpeningStep
from workshop.models import Job, Operation
from workshop.pricing.job_price import MaterialLine
from workshop.quoting.job_words import JobFacts, JobWords, job_words, surface_words
from workshop.services.standing import Standing
from yard.languages import FIRST, Language, language_of
from yard.models import Boat, Component, Owner, Spot
from yard.stock_words import stock_word

TAKE_OFF = "take_off"


def language_of_decider(boat: Boat) -> Language:
    """The language of whoever decides on a boat; a member of the yard reads the yard's."""
    decider = boat.decider
    return language_of(decider.locale if isinstance(decider, Owner) else boat.yard.locale)


def place_of(component: Component | None, elsewhere: str, spot: Spot | None, language: Language = FIRST) -> str:
    """A place in words: window frame, port side: lower aft corner."""
    part = part_of(component, elsewhere, language)
    return f"{part}: {spot.name}" if spot is not None and spot.name else part


def part_of(component: Component | None, elsewhere: str, language: Language = FIRST) -> str:
    """A part of a boat. It has its own name, unless it bears that of its class in the stock catalogue."""
    if component is None:
        return elsewhere
    name = stock_word("component_classes", component.name, language)
    return f"{name}, {component.position}" if component.position else name


def said_of(assessment: Assessment, language: Language) -> tuple[tuple[str, ...], tuple[str, ...], Language]:
    """The sentences of a judgement, their groups, and the language they are in.

    What was judged before judgement spoke that language is told in the first one, and without groups.
    """
    told: Sequence[Mapping[str, str]] = assessment.document.get("told", ())
    if told and all(reason.get(language) for reason in told):
        return (
            tuple(reason[language] for reason in told),
            tuple(str(ReasonGroup(reason["group"]).value) for reason in told),
            language,
        )
    return tuple(assessment.reasons), (), FIRST


def job_texts(
    job: Job,
    operations: Sequence[Operation],
    found: Mapping[UUID, Finding],
    steps: Sequence[OpeningStep],
    standing: Mapping[UUID, Standing],
    language: Language,
) -> JobWords:
    """Title, opening up and what happens if it is left, told in a language where they are the worker's still.

    Args:
        found: findings by key, with their entry and its check at hand.
        steps: opening-up steps of the inspection.
    """
    own = JobWords(job.title, job.opening_up, job.if_left)
    on_findings = [operation.finding_id for operation in operations if operation.finding_id is not None]
    served = list(dict.fromkeys(on_findings))
    surfaces = {operation.surface.name for operation in operations if operation.surface is not None}
    names = [operation.treatment.name for operation in operations]
    if language == FIRST or not all(each in found and each in standing for each in served):
        return own
    if served:
        findings = [found[each] for each in served]
        written = job_words(job_facts(findings, names, steps, standing))
        wanted = job_words(job_facts(findings, names, steps, standing, language), language)
    else:
        surface = " ".join(surfaces)
        written = surface_words(surface, names)
        wanted = surface_words(surface, [stock_word("treatments", name, language) for name in names], language)
    return JobWords(
        title=wanted.title if own.title == written.title else own.title,
        opening_up=wanted.opening_up if own.opening_up == written.opening_up else own.opening_up,
        if_left=wanted.if_left if own.if_left == written.if_left else own.if_left,
    )


def job_facts(
    findings: Sequence[Finding],
    operations: Sequence[str],
    steps: Iterable[OpeningStep],
    standing: Mapping[UUID, Standing],
    language: Language = FIRST,
) -> JobFacts:
    """What a job on these findings is told from; the worst of them says what happens if it is left."""
    worst = min(
        (standing[finding.pk] for finding in findings),
        key=lambda stands: (stands.assessment.severity, stands.due_back_on),
    )
    opened = {(finding.component_id, key) for finding in findings for key in after(finding)}
    openings = [step.text for step in steps if step.kind == TAKE_OFF and (step.component_id, step.key) in opened]
    return JobFacts(
        places=tuple(
            dict.fromkeys(part_of(finding.component, finding.entry.elsewhere, language) for finding in findings)
        ),
        operations=tuple(dict.fromkeys(stock_word("treatments", name, language) for name in operations)),
        openings=tuple(
            stock_word("opening_steps", text, language)
            for text in dict.fromkeys(opening.rstrip(".") for opening in openings)
        ),
        condition=worst.assessment.condition,
        severity=worst.assessment.severity,
    )


def material_in(line: MaterialLine, language: Language) -> MaterialLine:
    """A material and its packs by the stock catalogue's names in a language."""
    if language == FIRST:
        return line
    packs = tuple(
        replace(
            count,
            pack=replace(
                count.pack,
                name=stock_word("packs", count.pack.name, language),
                plural=stock_word("packs", count.pack.plural, language),
            ),
        )
        for count in line.packs
    )
    return replace(line, name=stock_word("materials", line.name, language), packs=packs)


def after(finding: Finding) -> Sequence[str]:
    """Keys of the opening-up steps that came before the place was looked at."""
    check = finding.entry.answers
    return check.after if check is not None else ()


__all__ = [
    "TAKE_OFF",
    "after",
    "job_facts",
    "job_texts",
    "language_of_decider",
    "material_in",
    "part_of",
    "place_of",
    "said_of",
]
