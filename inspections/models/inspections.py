from __future__ import annotations

import uuid

from django.db import models
from django.db.models import F, Q

from inspections.judgement.vocabulary import Answer, Moves, Seal, Sides, Trend
from inspections.models.catalogue import TemplateVersion
from yard.database_rules import AppendOnly, SameYard
from yard.models import Boat, Component, DeviceToken, Member, Spot, YardOwned
from yard.models.fields import between, choices_of, one_of
from yard.vocabulary import Load, Water


class Inspection(YardOwned):
    """One boat, one season: the checks made from the templates of her components."""

    database_rules = (SameYard("boat"), SameYard("opened_by"), SameYard("closed_by"))

    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="inspections")
    season_year = models.PositiveSmallIntegerField()
    launch_on = models.DateField(help_text="when this boat is to go in")
    afloat_on = models.DateField(null=True, blank=True, help_text="when she went in")
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-season_year", "launch_on"]
        constraints = [
            models.UniqueConstraint(fields=["boat", "season_year"], name="one_inspection_per_boat_and_season"),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True) | Q(closed_at__gte=F("opened_at")),
                name="inspection_closes_after_it_opens",
            ),
        ]
        indexes = [models.Index(fields=["yard", "season_year"], name="inspections_of_a_season")]

    def __str__(self) -> str:
        return f"{self.boat} {self.season_year}"


class OpeningStep(YardOwned):
    """What must come off or be cleaned before a component can be seen. Steps that share a key are done once."""

    database_rules = (SameYard("inspection"), SameYard("component"))

    inspection = models.ForeignKey(Inspection, on_delete=models.CASCADE, related_name="opening_steps")
    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=60)
    kind = models.CharField(max_length=20)
    text = models.CharField(max_length=300)
    shares = models.CharField(max_length=60, blank=True)
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["inspection", "component", "key"], name="one_opening_step_per_key"),
            one_of("kind", ("take_off", "clean"), name="opening_step_kind_is_known"),
        ]

    def __str__(self) -> str:
        return self.text


class CheckOrigin(models.TextChoices):
    TEMPLATE = "template", "from the template"
    WATCHED = "watched", "watched since"
    HELD = "held", "held since"
    DECLINED = "declined", "declined by the decider"
    DEFERRED = "deferred", "put off since"
    REPAIRED = "repaired", "repaired since the last look"
    NOT_SEEN = "not_seen", "not seen last time"
    SECOND_LOOK = "second_look", "asked for a second look"


class Check(YardOwned):
    """One question of an inspection, from a template or taken over from a spot's earlier years."""

    database_rules = (SameYard("inspection"), SameYard("component"), SameYard("template_version"), SameYard("spot"))

    Origin = CheckOrigin

    inspection = models.ForeignKey(Inspection, on_delete=models.CASCADE, related_name="checks")
    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="+")
    template_version = models.ForeignKey(
        TemplateVersion, on_delete=models.PROTECT, null=True, related_name="inspection_checks"
    )
    spot = models.ForeignKey(Spot, on_delete=models.PROTECT, null=True, blank=True, related_name="checks")
    origin = models.CharField(max_length=20, choices=Origin.choices, default=Origin.TEMPLATE)
    key = models.CharField(max_length=80)
    position = models.PositiveSmallIntegerField()
    prompt = models.CharField(max_length=300)
    look_for = models.TextField(blank=True)
    answer_kind = models.CharField(max_length=20)
    # {"quantity", "unit", "minimum", "maximum"} where the answer is a reading
    reading = models.JSONField(null=True, blank=True)
    usual_signs = models.JSONField(default=list)
    after = models.JSONField(default=list)
    contact = models.JSONField(default=list)
    both_sides = models.BooleanField(default=False)
    photo_wanted = models.BooleanField(default=False)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["inspection", "component", "key"], name="one_check_per_key"),
            one_of("answer_kind", ("signs", "reading"), name="check_answer_kind_is_known"),
            one_of("origin", CheckOrigin, name="check_origin_is_known"),
            models.CheckConstraint(
                condition=Q(origin="template") | Q(spot__isnull=False) | Q(origin="not_seen"),
                name="taken_over_check_has_a_spot",
            ),
        ]

    def __str__(self) -> str:
        return self.prompt


class Entry(YardOwned):
    """What a technician recorded. Written once; a later entry supersedes it.

    It answers a check, or records something seen outside the list (`check` empty): on a component, or
    `elsewhere` in words.
    """

    database_rules = (
        AppendOnly(),
        SameYard("inspection"),
        SameYard("answers"),
        SameYard("component"),
        SameYard("spot"),
        SameYard("supersedes"),
        SameYard("author"),
        SameYard("device"),
    )

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="entries")
    answers = models.ForeignKey(Check, on_delete=models.PROTECT, null=True, blank=True, related_name="entries")
    component = models.ForeignKey(
        Component, on_delete=models.PROTECT, null=True, blank=True, related_name="entries"
    )
    elsewhere = models.CharField(max_length=200, blank=True)
    spot = models.ForeignKey(Spot, on_delete=models.PROTECT, null=True, blank=True, related_name="entries")
    answer = models.CharField(max_length=20, choices=choices_of(Answer))
    not_seen_reason = models.CharField(max_length=300, blank=True)
    signs = models.JSONField(default=list)
    size_mm = models.DecimalField(max_digits=9, decimal_places=1, null=True, blank=True)
    water = models.CharField(max_length=20, choices=choices_of(Water), blank=True)
    load = models.CharField(max_length=20, choices=choices_of(Load), blank=True)
    seal = models.CharField(max_length=20, choices=choices_of(Seal), blank=True)
    moves = models.CharField(max_length=20, choices=choices_of(Moves), blank=True)
    sides = models.CharField(max_length=20, choices=choices_of(Sides), blank=True)
    trend = models.CharField(max_length=20, choices=choices_of(Trend), blank=True)
    in_load_path = models.BooleanField(null=True, blank=True)
    note = models.TextField(blank=True)
    author = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="entries")
    device = models.ForeignKey(DeviceToken, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    sequence = models.PositiveIntegerField(null=True, blank=True, help_text="the device's own count")
    observed_at = models.DateTimeField(help_text="the device's clock, put right by its offset where that is known")
    device_clock_at = models.DateTimeField(null=True, blank=True, help_text="what the device's clock said")
    clock_offset_ms = models.BigIntegerField(
        null=True, blank=True, help_text="server minus device; empty: not known"
    )
    received_at = models.DateTimeField(help_text="the server's clock")
    supersedes = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="superseded_by"
    )
    # of what was sent: the same id with other words is a conflict, not a repetition
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["observed_at", "id"]
        verbose_name_plural = "entries"
        constraints = [
            one_of("answer", Answer, name="entry_answer_is_known"),
            one_of("water", Water, name="entry_water_is_known", blank=True),
            one_of("load", Load, name="entry_load_is_known", blank=True),
            one_of("seal", Seal, name="entry_seal_is_known", blank=True),
            one_of("moves", Moves, name="entry_moves_is_known", blank=True),
            one_of("sides", Sides, name="entry_sides_is_known", blank=True),
            one_of("trend", Trend, name="entry_trend_is_known", blank=True),
            between("size_mm", 0, 100_000, name="entry_size_plausible"),
            models.CheckConstraint(
                condition=~Q(answer="not_seen") | ~Q(not_seen_reason=""), name="not_seen_says_why"
            ),
            models.CheckConstraint(
                condition=Q(component__isnull=False) | ~Q(elsewhere=""), name="entry_says_where"
            ),
            models.CheckConstraint(
                condition=~Q(answer="finding") | Q(spot__isnull=False) | ~Q(elsewhere=""),
                name="finding_entry_has_a_spot",
            ),
            models.CheckConstraint(
                condition=Q(supersedes__isnull=True) | ~Q(supersedes=F("id")),
                name="entry_does_not_supersede_itself",
            ),
        ]
        indexes = [
            # serves "what came in this hour" and the list of a yard's entries, newest first
            models.Index(fields=["yard", "-received_at"], name="entries_as_they_came"),
        ]

    def __str__(self) -> str:
        return f"{self.answer} {self.id}"


class Reading(YardOwned):
    """A measured figure of an entry."""

    database_rules = (AppendOnly(), SameYard("entry"))

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="readings")
    quantity = models.CharField(max_length=40)
    value = models.DecimalField(max_digits=9, decimal_places=2)
    unit = models.CharField(max_length=12)
    wood_temperature_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(quantity__startswith="moisture") | Q(value__gte=0, value__lte=120),
                name="moisture_reading_plausible",
            ),
            between("wood_temperature_c", -40, 80, name="wood_temperature_plausible"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.value} {self.unit}"


class EntryPhoto(YardOwned):
    """An entry names a photo by the digest of its file; the file itself may arrive later."""

    database_rules = (AppendOnly(), SameYard("entry"))

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="photo_names")
    sha256 = models.CharField(max_length=64)
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["entry", "sha256"], name="entry_names_a_photo_once"),
            models.CheckConstraint(condition=Q(sha256__regex=r"^[0-9a-f]{64}$"), name="photo_name_is_a_digest"),
        ]
        indexes = [models.Index(fields=["yard", "sha256"], name="entries_that_name_a_photo")]

    def __str__(self) -> str:
        return self.sha256


class SetAside(YardOwned):
    """An entry that can't be placed any more, kept as it came until the office places or dismisses it."""

    database_rules = (SameYard("author"), SameYard("boat"), SameYard("device"), SameYard("settled_by"))

    entry_id = models.UUIDField()
    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    sent = models.JSONField()
    digest = models.CharField(max_length=64)
    why = models.CharField(max_length=300)
    author = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    device = models.ForeignKey(DeviceToken, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    received_at = models.DateTimeField()
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    settled_how = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-received_at"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "entry_id"], name="an_entry_is_set_aside_once"),
        ]

    def __str__(self) -> str:
        return f"{self.entry_id}: {self.why}"


class Photo(YardOwned):
    """A picture, known by the SHA-256 of what was sent. It is stored with the position blanked."""

    database_rules = (SameYard("received_from"),)

    class State(models.TextChoices):
        RECEIVED = "received", "received"
        READY = "ready", "ready"
        BROKEN = "broken", "could not be prepared"

    sha256 = models.CharField(max_length=64)
    stored_sha256 = models.CharField(max_length=64)
    media_type = models.CharField(max_length=20)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    size_bytes = models.PositiveIntegerField()
    file = models.FileField(upload_to="photos/", max_length=200)
    thumbnail = models.FileField(upload_to="photos/", max_length=200, blank=True)
    report_size = models.FileField(upload_to="photos/", max_length=200, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True)
    received_at = models.DateTimeField()
    received_from = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    state = models.CharField(max_length=20, choices=State.choices, default=State.RECEIVED)

    class Meta:
        ordering = ["-received_at"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "sha256"], name="a_photo_is_kept_once"),
            models.CheckConstraint(condition=Q(sha256__regex=r"^[0-9a-f]{64}$"), name="photo_is_known_by_a_digest"),
            one_of(
                "media_type", ("image/jpeg", "image/png", "image/webp", "image/heic"), name="photo_type_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.sha256[:12]


__all__ = [
    "Check",
    "Entry",
    "EntryPhoto",
    "Inspection",
    "OpeningStep",
    "Photo",
    "Reading",
    "SetAside",
]
