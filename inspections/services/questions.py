"""The questions of an inspection, out of the published templates, in the order of the round."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from inspections.models import Check, Inspection, OpeningStep, TemplateVersion
from inspections.templates import document
from yard.models import Component
from yard.vocabulary import Load, SafetyRole


def in_order_of_concern(components: Iterable[Component]) -> list[Component]:
    """What somebody's safety hangs on comes first, then what is loaded."""

    def concern(component: Component) -> tuple[bool, bool, str, str, int]:
        component_class = component.component_class
        loaded = set(component_class.load) - {Load.NONE}
        return (
            component_class.safety_role == SafetyRole.NONE,
            not loaded,
            component.name,
            component.position,
            component.pk,
        )

    return sorted(components, key=concern)


def opening_steps(
    inspection: Inspection, components: Iterable[Component], versions: Mapping[int, TemplateVersion]
) -> list[OpeningStep]:
    """What must come off or be cleaned. Steps that share what they open come one after the other.

    Args:
        versions: by component class, the one to ask from.
    """
    steps: list[OpeningStep] = []
    for component in components:
        version = versions[component.component_class_id]
        steps += [
            OpeningStep(
                yard_id=inspection.yard_id,
                inspection=inspection,
                component=component,
                key=step.key,
                kind=step.kind.value,
                text=step.text,
                shares=step.shares,
            )
            for step in document.read(version.opening_steps, version.checks).opening_steps
        ]
    first_of: dict[object, int] = {}
    for position, step in enumerate(steps):
        first_of.setdefault(_opened_together(step), position)
    steps.sort(key=lambda step: first_of[_opened_together(step)])
    for position, step in enumerate(steps):
        step.position = position
    return steps


def template_checks(
    inspection: Inspection, components: Iterable[Component], versions: Mapping[int, TemplateVersion]
) -> list[Check]:
    """The templates' questions for each component, without a position yet."""
    checks: list[Check] = []
    for component in components:
        version = versions[component.component_class_id]
        checks += [
            Check(
                yard_id=inspection.yard_id,
                inspection=inspection,
                component=component,
                template_version=version,
                key=question.key,
                prompt=question.prompt,
                look_for=question.look_for,
                answer_kind=question.answer_kind.value,
                reading=question.reading.as_document() if question.reading else None,
                usual_signs=list(question.usual_signs),
                after=list(question.after),
                contact=[contact.value for contact in question.contact],
                both_sides=question.both_sides,
                photo_wanted=question.photo_wanted,
            )
            for question in document.read(version.opening_steps, version.checks).checks
        ]
    return checks


def in_the_order_of_the_round(components: Iterable[Component], checks: Iterable[Check]) -> list[Check]:
    """Component by component; at each in the order in which they come."""
    turn = {component.pk: position for position, component in enumerate(components)}
    ordered = sorted(checks, key=lambda check: turn[check.component_id])
    for position, check in enumerate(ordered):
        check.position = position
    return ordered


def _opened_together(step: OpeningStep) -> object:
    return step.shares or (step.component_id, step.key)


__all__ = ["in_order_of_concern", "in_the_order_of_the_round", "opening_steps", "template_checks"]
