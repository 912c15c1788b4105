from __future__ import annotations

from django.db import models
from django.db.models import Q

from inspections.models import Finding
from workshop.estimating.finish_rules import Deed
from workshop.models.catalogue import Material
from workshop.models.jobs import Job
from yard.database_rules import AppendOnly, SameYard
from yard.models import Member, Surface, YardOwned
from yard.models.fields import between, choices_of, one_of


class SurfaceWork(YardOwned):
    """A line in the history of a finished surface. It is never changed: a wrong one is struck by a further line."""

    database_rules = (
        AppendOnly(),
        SameYard("surface"),
        SameYard("product"),
        SameYard("job"),
        SameYard("finding"),
        SameYard("by"),
        SameYard("strikes"),
    )

    surface = models.ForeignKey(Surface, on_delete=models.PROTECT, related_name="works")
    # empty where the line does nothing but strike another
    deed = models.CharField(max_length=20, choices=choices_of(Deed), blank=True)
    done_on = models.DateField()
    coats = models.PositiveSmallIntegerField(null=True, blank=True, help_text="over the whole surface")
    area_m2 = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True, help_text="of a patch")
    product = models.ForeignKey(Material, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="surface_works")
    finding = models.ForeignKey(
        Finding, on_delete=models.PROTECT, null=True, blank=True, related_name="surface_works"
    )
    strikes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="struck_by"
    )
    note = models.CharField(max_length=300, blank=True)
    # empty: the yard's records of before
    by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    written_at = models.DateTimeField()

    class Meta:
        ordering = ["done_on", "id"]
        constraints = [
            one_of("deed", Deed, name="surface_work_deed_is_known", blank=True),
            models.CheckConstraint(
                condition=(Q(deed="coated") & Q(coats__isnull=False)) | (~Q(deed="coated") & Q(coats__isnull=True)),
                name="surface_work_counts_its_coats",
            ),
            between("coats", 1, 30, name="surface_work_coats_plausible"),
            models.CheckConstraint(
                condition=(Q(deed="patched") & Q(area_m2__gt=0)) | (~Q(deed="patched") & Q(area_m2__isnull=True)),
                name="surface_work_measures_its_patch",
            ),
            models.CheckConstraint(
                condition=(Q(deed="") & Q(strikes__isnull=False)) | (~Q(deed="") & Q(strikes__isnull=True)),
                name="surface_work_does_or_strikes",
            ),
            models.UniqueConstraint(
                fields=["job", "surface", "deed"],
                condition=Q(job__isnull=False, finding__isnull=True),
                name="a_job_writes_each_deed_once",
            ),
            models.UniqueConstraint(
                fields=["job", "finding"],
                condition=Q(job__isnull=False, finding__isnull=False),
                name="a_job_patches_a_finding_once",
            ),
        ]
        indexes = [models.Index(fields=["surface", "done_on"], name="history_of_a_surface")]

    def __str__(self) -> str:
        return f"{self.get_deed_display() or 'struck'} on {self.done_on}"


__all__ = ["SurfaceWork"]
