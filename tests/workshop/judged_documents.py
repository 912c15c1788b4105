"""A quote's content with findings that the rules have judged: the report is tried on what they really say."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from inspections.judgement.facts import ClimateMonth, EarlierLook, FindingFacts
from tests.inspections.judgement.builders import (
    SEEN_ON,
    YARD,
    a_finding,
    judged,
    moisture,
    stock_classes,
    stock_signs,
)
from tests.workshop.documents import a_document, a_job, sha
from workshop.quoting.document import (
    CautionPart,
    EarlierPart,
    FindingPart,
    JobPart,
    PinPart,
    QuoteDocument,
    ReadingPart,
)
from workshop.quoting.if_left import if_left
from workshop.quoting.job_words import JobFacts, job_words
from workshop.services.finding_history import judged_part
from yard.languages import Language
from yard.stock_words import stock_word

# A cool wet coast of our own: mean temperature (°C), humidity (%), days with rain.
MONTHS = (
    (2, 82, 15), (2, 80, 13), (4, 76, 13), (7, 72, 11), (11, 70, 10), (14, 72, 11),
    (16, 75, 13), (16, 77, 14), (13, 79, 15), (9, 81, 16), (5, 83, 17), (3, 83, 16),
)  # fmt: skip
COAST = dataclasses.replace(
    YARD, climate=tuple(ClimateMonth(number, *figures) for number, figures in enumerate(MONTHS, start=1))
)
OPEN: dict[str, Any] = {"seal": "open", "water": "rain", "moves": "no", "sides": "both"}


def part_of(
    number: int,
    facts: FindingFacts,
    component_class: str,
    *,
    place: str = "Window frame, port side: lower aft corner",
    pin: PinPart | None = None,
    photos: Sequence[str] = (),
    earlier: Sequence[EarlierPart] = (),
    on: date | None = None,
    language: Language = "en",
) -> FindingPart:
    """A finding as a quote freezes it, judged by the stock rules in a wet climate."""
    named = tuple(dataclasses.replace(sign, name=stock_word("signs", sign.name, language)) for sign in facts.signs)
    facts = dataclasses.replace(facts, signs=named)
    judgement = judged(facts, stock_classes()[component_class], yard=COAST, on=on)
    return FindingPart(
        id=f"0191{number:04d}-0000-7000-8000-{number:012d}",
        place=place,
        tag=f"M3Q8{number:02d}4D" if pin is not None else "",
        pin=pin,
        signs=tuple(sign.name for sign in facts.signs if sign.name),
        size_mm=None if facts.size_mm is None else Decimal(f"{facts.size_mm:.1f}"),
        readings=tuple(
            ReadingPart(reading.quantity, Decimal(f"{reading.value:.2f}"), reading.unit)
            for reading in facts.readings
        ),
        condition=judgement.condition.value,
        severity=judgement.severity,
        probability_level=judgement.probability_level,
        risk=judgement.risk.value,
        priority=judgement.priority.value,
        reasons=tuple(getattr(reason, language) for reason in judgement.told),
        overruled="",
        if_left=if_left(judgement.condition, judgement.severity, language),
        due_back_on=judgement.due_back_on,
        due_back_kind=judgement.due_back_kind.value,
        photos=tuple(photos),
        judged=judged_part(judgement.as_document(), language),
        seen_on=facts.observed_on,
        earlier=tuple(earlier),
        reason_groups=tuple(reason.group.value for reason in judgement.told),
    )


def facts_of(signs: str, **told: Any) -> FindingFacts:
    """Facts with signs of the stock catalogue, at an open place that rain reaches."""
    return a_finding(signs=tuple(stock_signs()[code] for code in signs.split("|")), **{**OPEN, **told})


def wet_coaming(**changes: Any) -> FindingPart:
    """A crack that is wet and has grown: the longest that the rules have to say."""
    earlier = (
        EarlierPart(date(2024, 4, 9), Decimal("31.0"), None, ""),
        EarlierPart(date(2025, 4, 3), Decimal("40.0"), Decimal("17.50"), sha(71)),
        EarlierPart(date(2026, 4, 6), Decimal("62.0"), Decimal("21.00"), sha(72)),
    )
    facts = facts_of(
        "CRACK_WOOD",
        size_mm=84,
        readings=moisture(26, 14),
        load="static",
        earlier=tuple(EarlierLook(look.on, float(look.size_mm or 0)) for look in earlier),
    )
    told: dict[str, Any] = {"pin": PinPart(400, 300, "deck"), "photos": (sha(1), sha(2)), "earlier": earlier}
    return part_of(1, facts, "COAMING", **{**told, **changes})


def a_spring_document(language: Language = "en") -> QuoteDocument:
    """Eight findings as a spring brings them, some with photos and earlier years, three of them put into jobs."""
    moist = moisture(24.5, 15)
    part_of = functools.partial(a_part_of, language=language)
    findings = [
        wet_coaming(place="Coaming, port side: forward corner", language=language),
        part_of(2, facts_of("SEALANT_RING", load="static"), "PORTLIGHT", place="Portlight, starboard side: aft",
                pin=PinPart(480, 880, "deck"), photos=(sha(3),)),
        part_of(3, facts_of("SEAM_OPEN", load="cyclic", size_mm=420), "PLK_CARVEL", pin=PinPart(610, 120, "hull"),
                place="Planking, port side: third seam below the sheer at frame 9", photos=(sha(4), sha(5))),
        part_of(4, facts_of("CRACK_BOTH_SIDES", load="cyclic", in_load_path=True, size_mm=150,
                            earlier=(EarlierLook(date(2026, 4, 2), 120),)), "BOWSPRIT",
                place="Bowsprit: at the gammon iron", pin=PinPart(20, 500, "rig"), photos=(sha(6),),
                earlier=(EarlierPart(date(2026, 4, 2), Decimal("120.0"), None, sha(73)),)),
        part_of(5, facts_of("MC_CONTRAST", load="static", readings=moist), "CABIN_TOP",
                place="Cabin top: round the mast collar", pin=PinPart(420, 500, "deck"), photos=(sha(7), sha(8)),
                earlier=(EarlierPart(date(2026, 4, 8), None, Decimal("19.00"), ""),)),
        part_of(6, facts_of("GLUE_OPEN", moves="yes", load="static"), "COAMING",
                place="Coaming, starboard side: scarph", pin=PinPart(560, 760, "deck"), photos=(sha(9),)),
        part_of(7, a_finding(seal="film_broken"), "HATCH", place="Fore hatch: lid", pin=PinPart(210, 480, "deck"),
                photos=(sha(10),)),
        part_of(8, facts_of("CRACK_WOOD", size_mm=12, load="none", water="none"), "TILLER", place="Tiller: grip"),
    ]  # fmt: skip
    findings.sort(key=lambda part: (part.priority, part.severity, part.id))
    jobs = [a_job(1, findings[:1], unsafe=True), a_job(2, findings[1:3]), a_job(3, findings[3:4])]
    document = a_document(findings, [in_words(job, language) for job in jobs])
    return dataclasses.replace(
        document,
        inspection=dataclasses.replace(document.inspection, opened_on=SEEN_ON),
        language=language,
        cautions=tuple(
            CautionPart(
                stock_word("caution_titles", each.title, language), stock_word("caution_texts", each.text, language)
            )
            for each in document.cautions
        ),
    )


def in_words(job: JobPart, language: Language) -> JobPart:
    """A job with the catalogue's words in a language; what it opens up was typed."""
    names = [operation.name for operation in job.operations]
    place = job.title.partition(":")[0]
    told = JobFacts([place], [stock_word("treatments", name, language) for name in dict.fromkeys(names)], [],
                    "water_in", 3)  # fmt: skip
    return dataclasses.replace(
        job,
        title=job_words(told, language).title,
        operations=tuple(
            dataclasses.replace(operation, name=stock_word("treatments", operation.name, language))
            for operation in job.operations
        ),
        materials=tuple(
            dataclasses.replace(line, name=stock_word("materials", line.name, language)) for line in job.materials
        ),
    )


a_part_of = part_of

__all__ = ["a_spring_document", "facts_of", "part_of", "wet_coaming"]
