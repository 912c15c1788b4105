from __future__ import annotations

from django.db import models
from django.db.models import Q

from yard.database_rules import FrozenOnce, SameYard
from yard.models import ComponentClass, Member, YardOwned


class Sign(YardOwned):
    """Something that can be seen, heard or felt on a boat, and what it speaks for."""

    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    record_as = models.CharField(max_length=200, blank=True)
    size_unit = models.CharField(max_length=10, blank=True)
    meaning = models.TextField(blank=True)
    confirm_by = models.TextField(blank=True)
    made_worse_by = models.TextField(blank=True)
    raises = models.TextField(blank=True)
    lowers = models.TextField(blank=True)
    # condition codes the sign speaks for, strongest first
    conditions = models.JSONField(default=list)
    basis = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["yard", "code"], name="one_sign_per_code")]

    def __str__(self) -> str:
        return self.name


class Template(YardOwned):
    """What to look for on a class of component. Its text lives in numbered versions."""

    database_rules = (SameYard("component_class"),)

    component_class = models.OneToOneField(ComponentClass, on_delete=models.PROTECT, related_name="template")
    title = models.CharField(max_length=120)

    class Meta:
        ordering = ["title"]

    def __str__(self) -> str:
        return self.title


class TemplateVersion(YardOwned):
    """One edition of a template. A draft may be edited; once published it never changes.

    `opening_steps` and `checks` have the shape that `inspections.templates.document` reads and refuses.
    """

    database_rules = (
        SameYard("template"),
        SameYard("edited_by"),
        SameYard("published_by"),
        FrozenOnce("published_at", ("opening_steps", "checks", "number", "note", "template")),
    )

    template = models.ForeignKey(Template, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveSmallIntegerField()
    opening_steps = models.JSONField(default=list)
    checks = models.JSONField(default=list)
    note = models.CharField(max_length=200, blank=True, help_text="what changed")
    created_at = models.DateTimeField()
    edited_at = models.DateTimeField()
    edited_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    published_at = models.DateTimeField(null=True, blank=True)
    published_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["template", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["template", "number"], name="template_versions_are_numbered"),
            models.UniqueConstraint(
                fields=["template"], condition=Q(published_at__isnull=True), name="one_draft_per_template"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.template} {self.number}"
