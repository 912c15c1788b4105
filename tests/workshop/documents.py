"""A quote's content built by hand, for what needs no database: a small yawl with five places in a bad spring."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from io import BytesIO

from PIL import Image, ImageDraw

from workshop.pricing.job_price import Amount, MaterialLine
from workshop.quoting.document import (
    FORMAT,
    BoatPart,
    CautionPart,
    DeciderPart,
    DueBackPart,
    FindingPart,
    InspectionPart,
    JobPart,
    NotSeenPart,
    OperationPart,
    PinPart,
    QuoteDocument,
    ReadingPart,
    YardPart,
    totals_of_jobs,
)
from workshop.quoting.if_left import if_left

DIGEST = "4f" * 32
FORWARD = PinPart(400, 300, "deck")


def sha(number: int) -> str:
    return f"{number:064x}"


def a_photo(number: int = 1, size: tuple[int, int] = (640, 480)) -> bytes:
    """A JPEG that can be told from its neighbours."""
    picture = Image.new("RGB", size, (120 + 20 * number % 100, 84, 40))
    draw = ImageDraw.Draw(picture)
    for line in range(0, size[1], 14):
        draw.line((0, line, size[0], line + 9), fill=(150, 104, 58), width=3)
    draw.ellipse((size[0] // 3, size[1] // 3, size[0] // 3 + 60 + number, size[1] // 2), fill=(30, 24, 20))
    file = BytesIO()
    picture.save(file, "JPEG", quality=80)
    return file.getvalue()


def a_finding(
    number: int = 1,
    *,
    place: str = "Window frame, port side: lower aft corner",
    priority: str = "before_launch",
    condition: str = "water_in",
    severity: int = 3,
    pin: PinPart | None = FORWARD,
    photos: Sequence[str] = (),
    reasons: Sequence[str] = (
        "The meter shows 26 % in the corner and 14 % a hand away: water is in and stays.",
        "The bedding is open over 84 mm, and every rain adds to it.",
    ),
    overruled: str = "",
) -> FindingPart:
    return FindingPart(
        id=f"0190{number:04d}-0000-7000-8000-{number:012d}",
        place=place,
        tag=f"K7F2{number:02d}9M" if pin is not None else "",
        pin=pin,
        signs=("Open joint", "High moisture reading"),
        size_mm=Decimal("84.0"),
        readings=(
            ReadingPart("moisture", Decimal("26.00"), "%"),
            ReadingPart("moisture_beside", Decimal("14.00"), "%"),
        ),
        condition=condition,
        severity=severity,
        probability_level="C",
        risk="medium",
        priority=priority,
        reasons=tuple(reasons),
        overruled=overruled,
        if_left=if_left(condition, severity),
        due_back_on=date(2027, 4, 30),
        due_back_kind="put_right",
        photos=tuple(photos),
    )


def a_job(
    position: int = 1,
    findings: Sequence[FindingPart] = (),
    *,
    labour: str = "232.50",
    materials: str = "18.40",
    rate: str = "25.00",
    unsafe: bool = False,
) -> JobPart:
    served = findings or (a_finding(),)
    net_labour, net_materials = Decimal(labour), Decimal(materials)
    lines = (MaterialLine("sealant", "Flexible sealant", "ml", Decimal("80.00"), net_materials, Decimal(rate)),)
    return JobPart(
        id=position,
        position=position,
        title=f"{served[0].place.split(':')[0]}: wash out the salt and dry, rebed in sealant",
        opening_up="Take down the lining under the side deck; take out the frame's inner ring",
        if_left=served[0].if_left,
        unsafe_to_leave=unsafe,
        operations=tuple(
            OperationPart(code, name, Decimal("1.00"), unit, finding.id)
            for finding in served
            for code, name, unit in (
                ("WASH_DRY", "Wash out the salt and dry", "site"),
                ("REBED_SEALANT", "Rebed in sealant", "fitting"),
            )
        ),
        hours_likely=Decimal("3.75"),
        hours_ceiling=Decimal("5.0"),
        net_labour=net_labour,
        net_materials=net_materials,
        net=net_labour + net_materials,
        materials=lines if net_materials else (),
        amounts=(
            Amount("labour", net_labour, Decimal(rate)),
            *((Amount("materials", net_materials, Decimal(rate)),) if net_materials else ()),
        ),
        cautions=("SOLVENT_VAPOUR", "MOULD_DIRT"),
    )


def a_document(
    findings: Sequence[FindingPart] | None = None, jobs: Sequence[JobPart] | None = None, boat: str = "Sea Pink"
) -> QuoteDocument:
    found = (
        a_finding(1),
        a_finding(2, place="Laid deck, fore deck: seam beside the king plank", priority="this_season",
                  condition="water_way_open", pin=PinPart(150, 480, "deck")),
        a_finding(3, place="Boom: gooseneck end", priority="next_layup", condition="finish_only", severity=4,
                  pin=PinPart(380, 520, "rig")),
        a_finding(4, place="Chain locker bulkhead", priority="watch", condition="unseen", pin=None),
    ) if findings is None else tuple(findings)  # fmt: skip
    asked = (a_job(1, found[:1], unsafe=True), a_job(2, found[1:2])) if jobs is None else tuple(jobs)
    return QuoteDocument(
        format=FORMAT,
        number=12,
        dated=date(2027, 4, 6),
        valid_until=date(2027, 4, 27),
        currency="EUR",
        yard=YardPart("Yard at Skerry Reach", "Europe/Copenhagen"),
        boat=BoatPart(7, boat, "carvel", "larch on oak", 8400, 2450, 1962),
        inspection=InspectionPart(3, 2027, date(2027, 5, 1), date(2027, 4, 1), date(2027, 4, 3)),
        decider=DeciderPart("owner", 5, "Owner of Sea Pink"),
        findings=found,
        jobs=asked,
        totals=totals_of_jobs(asked, "EUR"),
        not_seen=(
            NotSeenPart(
                "Mast step: heel tenon",
                "the cabin sole stayed down, its screws are seized",
                ("Nobody has seen the heel since 2024.",),
                date(2027, 10, 15),
            ),
        ),
        due_back=(
            DueBackPart(
                date(2027, 4, 30), "put_right", "Window frame, port side: lower aft corner", "K7F2019M", "Wet"
            ),
            DueBackPart(date(2027, 10, 15), "open_up", "Mast step: heel tenon", "", "Not seen since 2024"),
            DueBackPart(date(2028, 4, 14), "look_again", "Chain locker bulkhead", "", "Watched"),
        ),
        cautions=(
            CautionPart("Local rules come first", "These lines remind; they are no safety plan."),
            CautionPart(
                "Solvents and strippers", "The vapour is heavy and lies in the bilge. Blow air in low down."
            ),
        ),
        rules_versions=("2027.1",),
    )


def with_boat(document: QuoteDocument, **changes: object) -> QuoteDocument:
    return dataclasses.replace(document, boat=dataclasses.replace(document.boat, **changes))  # type: ignore[arg-type]
