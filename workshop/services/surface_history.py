"""The history of a finished surface: written by hand for earlier years, and by the job that did the work."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal

from django.db import IntegrityError, transaction

from workshop.estimating.finish_cycle import MOST_COATS
from workshop.estimating.finish_rules import Deed, WholeDeed, finish_rules
from workshop.models import Job, Material, Operation, SurfaceWork
from workshop.services.surfaces import surface_due_back_set
from yard.models import Member, Surface
from yard.refusals import Refused
from yard.selectors import today_at
from yard.services.checks import choice_check, decimal_check, integer_check

LEAST_M2 = Decimal("0.001")


@transaction.atomic
def surface_work_add(
    *,
    surface: Surface,
    deed: str,
    done_on: date,
    by: Member,
    at: datetime,
    coats: int | None = None,
    area_m2: Decimal | None = None,
    product: Material | None = None,
    note: str = "",
) -> SurfaceWork:
    """Write a line by hand: what was done in earlier years, or without a job.

    Raises:
        Refused: an unknown deed, a day that has not come, coats or an area where they don't belong or missing where
            they do, a patch larger than the surface, or a product of another yard.
    """
    held = _locked(surface)
    deed = choice_check(deed, list(Deed), field="deed")
    if done_on > today_at(held.yard, at):
        raise Refused("done_on", f"{done_on.isoformat()} has not come yet", "give the day it was done")
    _refuse_misplaced("coats", coats, deed == Deed.COATED, "say how many coats went on")
    _refuse_misplaced("area_m2", area_m2, deed == Deed.PATCHED, "say how large the patch is")
    if coats is not None:
        coats = integer_check(coats, field="coats", low=1, high=MOST_COATS)
    if area_m2 is not None:
        area_m2 = decimal_check(area_m2, field="area_m2", low=LEAST_M2, high=held.area_m2, places=3, unit="m²")
    for field, row in (("product", product), ("by", by)):
        if row is not None and row.yard_id != held.yard_id:
            raise Refused(field, f"{row} is not of this yard", "name one of the yard's own")
    work = SurfaceWork(
        yard_id=held.yard_id,
        surface=held,
        deed=deed,
        done_on=done_on,
        coats=coats,
        area_m2=area_m2,
        product=product,
        note=note.strip()[:300],
        by=by,
        written_at=at,
    )
    work.save(force_insert=True)
    surface_due_back_set(surface=held, at=at)
    return work


@transaction.atomic
def surface_work_strike(*, work: SurfaceWork, by: Member, at: datetime, note: str = "") -> SurfaceWork:
    """Strike a line that is wrong. It stays to be read and counts no more; the right one is written anew.

    Raises:
        Refused: it was struck already, or strikes another itself.
    """
    held = _locked(work.surface)
    if work.strikes_id is not None:
        raise Refused("work", "strikes another line itself", "write that line anew instead")
    strike = SurfaceWork(
        yard_id=held.yard_id,
        surface=held,
        done_on=today_at(held.yard, at),
        strikes=work,
        note=note.strip()[:300],
        by=by,
        written_at=at,
    )
    try:
        with transaction.atomic():
            strike.save(force_insert=True)
    except IntegrityError as error:
        raise Refused("work", "was struck already", "there is nothing more to do") from error
    surface_due_back_set(surface=held, at=at)
    return strike


def surface_works_of_job(*, job: Job, by: Member, at: datetime) -> list[SurfaceWork]:
    """Write what a finished job did to the boat's surfaces. For the service that says that a job is done.

    Work on a whole surface writes its deeds; work at a finding writes a patch on the surface that the part belongs
    to, the largest where several operations broke the finish at one place. Writing again changes nothing.
    """
    operations = list(
        Operation.objects.filter(job=job)
        .select_related("treatment", "surface", "finding__component__surface")
        .order_by("position", "id")
    )
    on_date = today_at(job.yard, at)
    products = _products(operations)
    whole = [work for operation in operations for work in _whole(operation, products, job, by, on_date, at)]
    works = [*whole, *_patches(operations, job, by, on_date, at)]
    there = {
        (work.surface_id, work.finding_id, work.deed) for work in SurfaceWork.objects.filter(job=job).order_by()
    }
    new = [work for work in works if (work.surface_id, work.finding_id, work.deed) not in there]
    if not new:
        return []
    surfaces = Surface.objects.select_for_update(no_key=True).select_related("yard", "boat")
    held = list(surfaces.filter(pk__in={work.surface_id for work in new}).order_by("pk"))
    SurfaceWork.objects.bulk_create(new)
    for surface in held:
        surface_due_back_set(surface=surface, at=at)
    return new


def _whole(
    operation: Operation, products: Mapping[str, Material], job: Job, by: Member, on_date: date, at: datetime
) -> list[SurfaceWork]:
    rule = finish_rules().treatments.get(operation.treatment.code)
    surface = operation.surface
    if rule is None or surface is None:
        return []
    return [
        SurfaceWork(
            yard_id=job.yard_id,
            surface=surface,
            deed=whole.deed.value,
            done_on=on_date,
            coats=_coats(whole, operation.quantity, surface.area_m2) if whole.deed is Deed.COATED else None,
            product=products.get(whole.product),
            job=job,
            by=by,
            written_at=at,
        )
        for whole in rule.whole
    ]


def _products(operations: Sequence[Operation]) -> Mapping[str, Material]:
    """What of the yard's price list goes on with these operations, by code."""
    rules = finish_rules().treatments
    codes = {
        whole.product
        for operation in operations
        if operation.surface_id is not None and operation.treatment.code in rules
        for whole in rules[operation.treatment.code].whole
    }
    yard_ids = {operation.yard_id for operation in operations}
    rows = Material.objects.filter(yard__in=yard_ids, code__in=codes) if codes else ()
    return {row.code: row for row in rows}


def _coats(whole: WholeDeed, quantity: Decimal, area_m2: Decimal) -> int:
    """Coats of the rule, or as many as the quantity gives over the whole area."""
    coats = whole.coats if whole.coats is not None else round(quantity / area_m2)
    return min(max(int(coats), 1), MOST_COATS)


def _patches(
    operations: Iterable[Operation], job: Job, by: Member, on_date: date, at: datetime
) -> list[SurfaceWork]:
    patches: dict[object, SurfaceWork] = {}
    for operation in operations:
        area_m2, surface = patch_of(operation)
        if area_m2 is None or surface is None:
            continue
        before = patches.get(operation.finding_id)
        if before is not None and before.area_m2 is not None and before.area_m2 >= area_m2:
            continue
        patches[operation.finding_id] = SurfaceWork(
            yard_id=job.yard_id,
            surface=surface,
            deed=Deed.PATCHED.value,
            done_on=on_date,
            area_m2=area_m2,
            job=job,
            finding_id=operation.finding_id,
            by=by,
            written_at=at,
        )
    return list(patches.values())


def patch_of(operation: Operation) -> tuple[Decimal | None, Surface | None]:
    """The patch [m²] that an operation at a finding leaves, and on which surface; no larger than that."""
    rule = finish_rules().treatments.get(operation.treatment.code)
    component = operation.finding.component if operation.finding is not None else None
    if rule is None or rule.patch_m2_per_unit is None or component is None or component.surface is None:
        return None, None
    area_m2 = (operation.quantity * rule.patch_m2_per_unit).quantize(LEAST_M2)
    return min(max(area_m2, LEAST_M2), component.surface.area_m2), component.surface


def _locked(surface: Surface) -> Surface:
    held: Surface = (
        Surface.objects.select_for_update(of=("self",), no_key=True)
        .select_related("yard", "boat")
        .get(pk=surface.pk)
    )
    return held


def _refuse_misplaced(field: str, value: object, wanted: bool, remedy: str) -> None:
    if wanted and value is None:
        raise Refused(field, "is missing", remedy)
    if not wanted and value is not None:
        raise Refused(field, "does not go with this deed", "leave it out")


__all__ = ["patch_of", "surface_work_add", "surface_work_strike", "surface_works_of_job"]
