"""Templates as the office sees them: which class asks what by which version, and which inspections use which."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from inspections.models import Check, Inspection, Template, TemplateVersion
from yard.models import ComponentClass, Yard


@dataclass(frozen=True, slots=True)
class TemplateRow:
    """A class with what is asked of it.

    Args:
        template: None where nothing is asked yet.
        published: the newest published version, without its text.
        draft: the version that somebody is writing, without its text.
        open_inspections: that ask by any version of it and are not closed.
    """

    component_class: ComponentClass
    template: Template | None
    published: TemplateVersion | None
    draft: TemplateVersion | None
    open_inspections: int


@dataclass(frozen=True, slots=True)
class VersionUse:
    """A version with how many inspections ask by it."""

    version: TemplateVersion
    open_inspections: int
    closed_inspections: int


def template_rows(yard: Yard) -> list[TemplateRow]:
    """Every class of the yard with its template, in a fixed number of queries."""
    templates = {template.component_class_id: template for template in Template.objects.of_yard(yard)}
    published: dict[int, TemplateVersion] = {}
    drafts: dict[int, TemplateVersion] = {}
    for version in _without_text(TemplateVersion.objects.of_yard(yard)).order_by("number"):
        into = drafts if version.published_at is None else published
        into[version.template_id] = version
    used = dict(
        Check.objects.of_yard(yard)
        .filter(inspection__closed_at=None, template_version__isnull=False)
        .order_by()
        .values("template_version__template")
        .annotate(inspections=Count("inspection", distinct=True))
        .values_list("template_version__template", "inspections")
    )
    rows = []
    for component_class in ComponentClass.objects.of_yard(yard).order_by("name", "pk"):
        template = templates.get(component_class.pk)
        key = None if template is None else template.pk
        rows.append(
            TemplateRow(
                component_class=component_class,
                template=template,
                published=None if key is None else published.get(key),
                draft=None if key is None else drafts.get(key),
                open_inspections=0 if key is None else used.get(key, 0),
            )
        )
    return rows


def version_uses(template: Template) -> list[VersionUse]:
    """The versions of a template, the newest first, with the number of inspections that ask by each."""
    counted = {
        row["template_version"]: row
        for row in Check.objects.of_yard(template.yard_id)
        .filter(template_version__template=template)
        .order_by()
        .values("template_version")
        .annotate(
            still_open=Count("inspection", filter=Q(inspection__closed_at=None), distinct=True),
            ended=Count("inspection", filter=Q(inspection__closed_at__isnull=False), distinct=True),
        )
    }
    none = {"still_open": 0, "ended": 0}
    return [
        VersionUse(version, (row := counted.get(version.pk, none))["still_open"], row["ended"])
        for version in _without_text(TemplateVersion.objects.filter(template=template)).order_by("-number")
    ]


def inspections_by(template: Template, number: int | None = None) -> QuerySet[Inspection]:
    """The inspections that ask by a template, or by one version of it."""
    checks = Check.objects.of_yard(template.yard_id).filter(template_version__template=template)
    if number is not None:
        checks = checks.filter(template_version__number=number)
    return (
        Inspection.objects.of_yard(template.yard_id)
        .filter(pk__in=checks.order_by().values("inspection"))
        .select_related("boat")
    )


def versions_asked(template: Template, inspections: Iterable[Inspection]) -> dict[int, list[int]]:
    """By inspection, the numbers of the template's versions that it asks by; it may be more than one."""
    asked: dict[int, list[int]] = {}
    for inspection, number in (
        Check.objects.of_yard(template.yard_id)
        .filter(template_version__template=template, inspection__in=[one.pk for one in inspections])
        .order_by("template_version__number")
        .values_list("inspection", "template_version__number")
        .distinct()
    ):
        asked.setdefault(inspection, []).append(number)
    return asked


def shared_openings(yard: Yard) -> dict[str, int]:
    """What steps of several classes may be done once for, and in how many templates it stands."""
    found: dict[str, set[int]] = {}
    versions = TemplateVersion.objects.of_yard(yard).order_by("number")
    newest = dict(versions.values_list("template", "opening_steps"))
    for key, steps in newest.items():
        for step in steps:
            if step.get("shares"):
                found.setdefault(step["shares"], set()).add(key)
    return {shares: len(templates) for shares, templates in sorted(found.items())}


def _without_text(versions: QuerySet[TemplateVersion]) -> QuerySet[TemplateVersion]:
    return versions.defer("opening_steps", "checks").select_related("edited_by", "published_by")


__all__ = [
    "TemplateRow",
    "VersionUse",
    "inspections_by",
    "shared_openings",
    "template_rows",
    "version_uses",
    "versions_asked",
]
