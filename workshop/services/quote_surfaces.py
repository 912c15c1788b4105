"""The finished surfaces of a quote: what is worked on as a whole, which patches a coming strip takes off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from workshop.models import Job, Operation
from workshop.quoting.surface_parts import SurfacePart, TakenOffPart
from workshop.selectors.surfaces import SurfaceStanding, surfaces_standing
from workshop.services.surface_history import patch_of
from yard.languages import Language
from yard.models import Surface, Yard


def surface_parts(
    operations: Mapping[int, Sequence[Operation]], *, yard: Yard, on_date: date, language: Language
) -> tuple[SurfacePart, ...]:
    """The surfaces that these jobs work on as a whole, each once; why, in a language."""
    surfaces = {
        operation.surface.pk: operation.surface
        for rows in operations.values()
        for operation in rows
        if operation.surface is not None
    }
    return tuple(
        SurfacePart(
            id=standing.surface.pk,
            name=standing.surface.name,
            finish=standing.surface.finish,
            area_m2=standing.surface.area_m2,
            due_on=standing.advice.strip_due_on,
            reasons=tuple(told.inside(language) for told in standing.advice.told),
        )
        for standing in _standing(surfaces, yard, on_date)
    )


def taken_off(
    jobs: Sequence[Job], operations: Mapping[int, Sequence[Operation]], *, yard: Yard, on_date: date
) -> Mapping[int, tuple[TakenOffPart, ...]]:
    """For each job the strips that take its patches off: one of this quote, or one due before the lay-up."""
    patched = {job.pk: _patched(operations[job.pk]) for job in jobs}
    surfaces = {pk: surface for each in patched.values() for pk, surface in each.items()}
    stripped_by = {
        operation.surface_id: position
        for position, job in enumerate(jobs, start=1)
        for operation in operations[job.pk]
        if operation.surface_id is not None
    }
    strips = {
        standing.surface.pk: TakenOffPart(
            standing.surface.name, standing.advice.strip_due_on, stripped_by.get(standing.surface.pk, 0)
        )
        for standing in _standing(surfaces, yard, on_date)
        if standing.advice.strip_advised or standing.surface.pk in stripped_by
    }
    return {job: tuple(strips[pk] for pk in each if pk in strips) for job, each in patched.items()}


def _patched(operations: Sequence[Operation]) -> Mapping[int, Surface]:
    """The surfaces on which these operations leave patches."""
    found = (surface for _, surface in map(patch_of, operations) if surface is not None)
    return {surface.pk: surface for surface in found}


def _standing(surfaces: Mapping[int, Surface], yard: Yard, on_date: date) -> list[SurfaceStanding]:
    if not surfaces:
        return []
    return surfaces_standing(list(surfaces.values()), yard=yard, on_date=on_date)


__all__ = ["surface_parts", "taken_off"]
