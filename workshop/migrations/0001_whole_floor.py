import uuid

import django.db.models.deletion
import django.db.models.expressions
from django.db import migrations, models


class Migration(migrations.Migration):
    replaces = [
        ("workshop", "0001_first_floor"),
        ("workshop", "0002_reminder_stops"),
        ("workshop", "0003_hours_adopted"),
        ("workshop", "0004_questions_are_answered"),
        ("workshop", "0005_materials_come_in_packs"),
        ("workshop", "0006_options_needs_and_addenda"),
        ("workshop", "0007_surface_history_and_area_jobs"),
        ("workshop", "0008_materials_point_to_a_vat_class"),
        ("workshop", "0009_materials_have_no_vat_rate_of_their_own"),
        ("workshop", "0010_steps_material_and_second_looks"),
        ("workshop", "0011_calendars_and_weekly_mail"),
    ]

    initial = True

    dependencies = [
        ("inspections", "0001_whole_floor"),
        ("yard", "0001_whole_floor"),
    ]

    operations = [
        migrations.CreateModel(
            name="Job",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("title", models.CharField(max_length=200)),
                ("key", models.CharField(max_length=120)),
                (
                    "opening_up",
                    models.CharField(
                        blank=True, help_text="what has to come off, once for the job", max_length=200
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("proposed", "proposed"),
                            ("quoted", "with the decider"),
                            ("approved", "approved"),
                            ("declined", "declined"),
                            ("not_chosen", "not chosen, another way was"),
                            ("in_work", "in work"),
                            ("stopped", "stopped, waiting"),
                            ("done", "done, to be verified"),
                            ("verified", "verified"),
                            ("dropped", "dropped by the yard"),
                        ],
                        default="proposed",
                        max_length=20,
                    ),
                ),
                ("unsafe_to_leave", models.BooleanField(default=False)),
                (
                    "if_left",
                    models.TextField(blank=True, help_text="what happens if nothing is done, in the owner's words"),
                ),
                ("created_at", models.DateTimeField()),
                ("changed_at", models.DateTimeField()),
                (
                    "boat",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="jobs", to="yard.boat"
                    ),
                ),
                (
                    "edited_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.member",
                    ),
                ),
                (
                    "inspection",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="jobs",
                        to="inspections.inspection",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "alternative_to",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="alternatives",
                        to="workshop.job",
                    ),
                ),
                (
                    "extends",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="extras",
                        to="workshop.job",
                    ),
                ),
                (
                    "means",
                    models.TextField(blank=True, help_text="what choosing this way means, in the owner's words"),
                ),
                (
                    "proper_by",
                    models.DateField(
                        blank=True,
                        help_text="this only holds: the day by which the proper repair is due",
                        null=True,
                    ),
                ),
                (
                    "worked_in",
                    models.CharField(
                        choices=[("outdoors", "outdoors"), ("shed", "in a heated shed")],
                        default="outdoors",
                        help_text="which air its waits are reckoned for",
                        max_length=20,
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "indexes": [models.Index(fields=["yard", "state"], name="jobs_by_state")],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("state", "dropped"), _negated=True),
                        fields=("inspection", "key"),
                        name="one_job_per_opening_up",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("alternative_to__isnull", True), ("extends__isnull", True), _connector="OR"
                        ),
                        name="job_is_another_way_or_more_work",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "state__in",
                                [
                                    "proposed",
                                    "quoted",
                                    "approved",
                                    "declined",
                                    "not_chosen",
                                    "in_work",
                                    "stopped",
                                    "done",
                                    "verified",
                                    "dropped",
                                ],
                            )
                        ),
                        name="job_state_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("worked_in__in", ["outdoors", "shed"])), name="job_air_is_known"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Material",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("code", models.CharField(max_length=40)),
                ("name", models.CharField(max_length=120)),
                ("unit", models.CharField(max_length=12)),
                ("unit_price", models.DecimalField(decimal_places=4, help_text="net, per unit", max_digits=10)),
                ("waste_pct", models.DecimalField(decimal_places=2, default=0, max_digits=5)),
                (
                    "least_per_job",
                    models.DecimalField(
                        blank=True,
                        decimal_places=2,
                        help_text="the smallest amount worth mixing",
                        max_digits=8,
                        null=True,
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "charged_by",
                    models.CharField(
                        choices=[
                            ("amount", "the amount used: what is opened keeps"),
                            ("pack", "whole packs: what is opened for a job can't be kept"),
                        ],
                        default="amount",
                        max_length=10,
                    ),
                ),
                (
                    "vat_class",
                    models.ForeignKey(
                        blank=True,
                        help_text="empty: that of the yard's work",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="materials",
                        to="yard.vatclass",
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "code"), name="one_material_per_code"),
                    models.CheckConstraint(
                        condition=models.Q(("unit_price__gte", 0)), name="material_price_not_negative"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("waste_pct__gte", 0), ("waste_pct__lte", 300)),
                            ("waste_pct__isnull", True),
                            _connector="OR",
                        ),
                        name="material_waste_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("least_per_job__gte", 0), ("least_per_job__lte", 100000)),
                            ("least_per_job__isnull", True),
                            _connector="OR",
                        ),
                        name="material_least_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("charged_by__in", ["amount", "pack"])),
                        name="material_charged_by_amount_or_pack",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Quote",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("number", models.PositiveIntegerField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("draft", "draft"),
                            ("sent", "sent"),
                            ("decided", "decided"),
                            ("lapsed", "lapsed"),
                            ("superseded", "superseded"),
                        ],
                        default="draft",
                        max_length=20,
                    ),
                ),
                ("currency", models.CharField(max_length=3)),
                ("valid_until", models.DateField()),
                ("created_at", models.DateTimeField()),
                ("sent_at", models.DateTimeField(blank=True, null=True)),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("content", models.TextField(blank=True)),
                ("digest", models.CharField(blank=True, max_length=64)),
                (
                    "boat",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="quotes", to="yard.boat"
                    ),
                ),
                (
                    "created_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.member",
                    ),
                ),
                (
                    "inspection",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="quotes",
                        to="inspections.inspection",
                    ),
                ),
                (
                    "sent_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.member",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "adds_to",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="addenda",
                        to="workshop.quote",
                    ),
                ),
            ],
            options={
                "ordering": ["-created_at"],
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "number"), name="quote_numbers_are_unique"),
                    models.UniqueConstraint(
                        condition=models.Q(("state", "draft")),
                        fields=("inspection",),
                        name="one_draft_quote_per_inspection",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["draft", "sent", "decided", "lapsed", "superseded"])),
                        name="quote_state_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("digest", ""), ("sent_at__isnull", True), ("state", "draft")),
                            models.Q(("sent_at__isnull", True), ("state", "superseded")),
                            models.Q(
                                ("digest__regex", "^[0-9a-f]{64}$"),
                                ("sent_at__isnull", False),
                                models.Q(("content", ""), _negated=True),
                                models.Q(("state", "draft"), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="sent_quote_has_a_digest",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Treatment",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("code", models.CharField(max_length=40)),
                ("name", models.CharField(max_length=120)),
                (
                    "trade",
                    models.CharField(default="shipwright", help_text="whose hourly rate applies", max_length=40),
                ),
                ("unit", models.CharField(max_length=20)),
                ("suits_signs", models.JSONField(default=list)),
                ("suits_conditions", models.JSONField(default=list)),
                ("suits_classes", models.JSONField(default=list)),
                ("steps", models.JSONField(default=list)),
                ("tools", models.JSONField(default=list)),
                ("needs", models.JSONField(default=list)),
                ("hours_low", models.DecimalField(decimal_places=2, max_digits=7)),
                ("hours_likely", models.DecimalField(decimal_places=2, max_digits=7)),
                ("hours_high", models.DecimalField(decimal_places=2, max_digits=7)),
                ("setup_hours", models.DecimalField(decimal_places=2, default=0, max_digits=7)),
                ("materials", models.JSONField(default=list)),
                ("extras", models.JSONField(default=list)),
                ("minimum_temperature_c", models.SmallIntegerField(blank=True, null=True)),
                ("maximum_moisture_pct", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("needs_shelter", models.BooleanField(default=False)),
                ("needs_dry_weather", models.BooleanField(default=False)),
                ("cautions", models.JSONField(default=list)),
                ("limits", models.TextField(blank=True)),
                ("basis", models.TextField(blank=True)),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "code"), name="one_treatment_per_code"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("hours_high__gte", models.F("hours_likely")),
                            ("hours_likely__gte", models.F("hours_low")),
                            ("hours_low__gte", 0),
                        ),
                        name="treatment_hours_in_order",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("setup_hours__gte", 0), ("setup_hours__lte", 1000)),
                            ("setup_hours__isnull", True),
                            _connector="OR",
                        ),
                        name="treatment_setup_plausible",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Caution",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("code", models.CharField(max_length=40)),
                ("title", models.CharField(max_length=120)),
                ("text", models.TextField()),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["title"],
                "constraints": [models.UniqueConstraint(fields=("yard", "code"), name="one_caution_per_code")],
            },
        ),
        migrations.CreateModel(
            name="ReminderStop",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("stopped_at", models.DateTimeField()),
                (
                    "member",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="reminder_stop",
                        to="yard.member",
                    ),
                ),
                (
                    "owner",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="reminder_stop",
                        to="yard.owner",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["-stopped_at"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("member__isnull", True), ("owner__isnull", False)),
                            models.Q(("member__isnull", False), ("owner__isnull", True)),
                            _connector="OR",
                        ),
                        name="reminder_stop_is_somebodys",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="DigestChoice",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("chosen_at", models.DateTimeField()),
                (
                    "member",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="digest_choice", to="yard.member"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["-chosen_at"],
            },
        ),
        migrations.CreateModel(
            name="CalendarFeed",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField()),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                ("last_used_at", models.DateTimeField(blank=True, null=True)),
                ("digest", models.CharField(blank=True, max_length=64)),
                ("changed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "boat",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="calendar_feeds",
                        to="yard.boat",
                    ),
                ),
                (
                    "made_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["-created_at"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("boat__isnull", False), ("revoked_at__isnull", True)),
                        fields=("boat",),
                        name="one_live_calendar_per_boat",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("boat__isnull", True), ("revoked_at__isnull", True)),
                        fields=("yard",),
                        name="one_live_calendar_per_yard",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("changed_at__isnull", True), ("digest", "")),
                            models.Q(models.Q(("digest", ""), _negated=True), ("changed_at__isnull", False)),
                            _connector="OR",
                        ),
                        name="calendar_says_since_when",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Hold",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("tool", "a tool"),
                            ("part", "a part"),
                            ("skill", "a skill"),
                            ("dry_wood", "dry wood"),
                            ("owner", "the owner"),
                        ],
                        max_length=20,
                    ),
                ),
                ("what", models.CharField(max_length=200)),
                ("expected_on", models.DateField()),
                ("meanwhile", models.CharField(max_length=300)),
                ("made_at", models.DateTimeField()),
                ("released_at", models.DateTimeField(blank=True, null=True)),
                (
                    "who",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.member",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="holds", to="workshop.job"
                    ),
                ),
                (
                    "put_right_by",
                    models.DateField(blank=True, help_text="when the proper repair is due", null=True),
                ),
                (
                    "stopped_work",
                    models.BooleanField(default=False, help_text="the job was in work and stands half done"),
                ),
            ],
            options={
                "ordering": ["expected_on"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["tool", "part", "skill", "dry_wood", "owner"])),
                        name="hold_kind_is_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="OwnerLink",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField()),
                ("expires_at", models.DateTimeField()),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                (
                    "boat",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="owner_links", to="yard.boat"
                    ),
                ),
                (
                    "mail",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.mail",
                    ),
                ),
                (
                    "member",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="links",
                        to="yard.member",
                    ),
                ),
                (
                    "owner",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="links",
                        to="yard.owner",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "quote",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="owner_links", to="workshop.quote"
                    ),
                ),
            ],
            options={
                "ordering": ["-created_at"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("revoked_at__isnull", True)),
                        fields=("quote",),
                        name="one_live_link_per_quote",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("member__isnull", True), ("owner__isnull", False)),
                            models.Q(("member__isnull", False), ("owner__isnull", True)),
                            _connector="OR",
                        ),
                        name="owner_link_is_somebodys",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("expires_at__gt", models.F("created_at"))),
                        name="owner_link_expires_later",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Report",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("file", models.FileField(max_length=200, upload_to="reports/")),
                ("sha256", models.CharField(max_length=64)),
                ("pages", models.PositiveSmallIntegerField()),
                ("made_at", models.DateTimeField()),
                (
                    "boat",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="reports", to="yard.boat"
                    ),
                ),
                (
                    "inspection",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports",
                        to="inspections.inspection",
                    ),
                ),
                (
                    "quote",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="report",
                        to="workshop.quote",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["-made_at"],
            },
        ),
        migrations.CreateModel(
            name="Operation",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("quantity", models.DecimalField(decimal_places=2, default=1, max_digits=8)),
                ("hours_low", models.DecimalField(decimal_places=2, max_digits=7)),
                ("hours_likely", models.DecimalField(decimal_places=2, max_digits=7)),
                ("hours_high", models.DecimalField(decimal_places=2, max_digits=7)),
                ("position", models.PositiveSmallIntegerField()),
                (
                    "finding",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="operations",
                        to="inspections.finding",
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="operations", to="workshop.job"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "treatment",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="workshop.treatment"
                    ),
                ),
                (
                    "surface",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="operations",
                        to="yard.surface",
                    ),
                ),
            ],
            options={
                "ordering": ["position"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("job", "finding", "treatment"), name="one_operation_per_finding"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gt", 0)), name="operation_quantity_positive"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("hours_high__gte", models.F("hours_likely")),
                            ("hours_likely__gte", models.F("hours_low")),
                            ("hours_low__gte", 0),
                        ),
                        name="operation_hours_in_order",
                    ),
                    models.UniqueConstraint(
                        fields=("job", "surface", "treatment"), name="one_operation_per_surface"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("finding__isnull", False), ("surface__isnull", True)),
                            models.Q(("finding__isnull", True), ("surface__isnull", False)),
                            _connector="OR",
                        ),
                        name="operation_is_on_a_finding_or_a_surface",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Verification",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("photo_sha256", models.CharField(blank=True, max_length=64)),
                ("reading", models.CharField(blank=True, max_length=120)),
                ("note", models.TextField(blank=True)),
                ("seen_at", models.DateTimeField()),
                ("look_again_on", models.DateField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "finding",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="verifications",
                        to="inspections.finding",
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="verifications",
                        to="workshop.job",
                    ),
                ),
                (
                    "second_look_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.member",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "surface",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="verifications",
                        to="yard.surface",
                    ),
                ),
                (
                    "judged_look_on",
                    models.DateField(blank=True, help_text="what the rules gave for the next look", null=True),
                ),
                (
                    "look_again_kind",
                    models.CharField(
                        choices=[
                            ("put_right", "put right"),
                            ("look_again", "look again"),
                            ("open_up", "open up and look"),
                        ],
                        default="look_again",
                        max_length=20,
                    ),
                ),
                (
                    "look_again_reason",
                    models.CharField(blank=True, help_text="why later than the rules gave", max_length=300),
                ),
                ("needs_second_look", models.BooleanField(default=False)),
                (
                    "turn",
                    models.PositiveSmallIntegerField(
                        default=1, help_text="again where a second look found it wanting"
                    ),
                ),
            ],
            options={
                "ordering": ["seen_at"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("photo_sha256", ""), _negated=True),
                            models.Q(("reading", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="verification_has_a_photo_or_a_reading",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("second_look_by__isnull", True),
                            models.Q(("second_look_by", models.F("by")), _negated=True),
                            _connector="OR",
                        ),
                        name="second_look_is_by_somebody_else",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("finding__isnull", False), ("surface__isnull", True)),
                            models.Q(("finding__isnull", True), ("job__isnull", False), ("surface__isnull", False)),
                            _connector="OR",
                        ),
                        name="verification_is_of_a_finding_or_a_surface",
                    ),
                    models.UniqueConstraint(
                        fields=("job", "surface"), name="one_verification_per_surface_of_a_job"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("look_again_kind__in", ["put_right", "look_again", "open_up"])),
                        name="verification_look_is_known",
                    ),
                    models.UniqueConstraint(fields=("finding", "turn"), name="one_verification_each_turn"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("judged_look_on__isnull", True),
                            ("look_again_on__lte", models.F("judged_look_on")),
                            models.Q(("look_again_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="later_look_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="WorkLog",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("worked_on", models.DateField()),
                ("hours", models.DecimalField(decimal_places=2, max_digits=6)),
                ("note", models.CharField(blank=True, max_length=300)),
                ("booked_at", models.DateTimeField()),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="work_logs", to="workshop.job"
                    ),
                ),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "past_ceiling",
                    models.CharField(
                        blank=True, help_text="why more was worked than the decider had agreed to", max_length=300
                    ),
                ),
            ],
            options={
                "ordering": ["worked_on", "id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("hours__gte", -24), ("hours__lte", 24), models.Q(("hours", 0), _negated=True)
                        ),
                        name="work_log_hours_within_a_day",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="HoursAdopted",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("hours_low_before", models.DecimalField(decimal_places=2, max_digits=7)),
                ("hours_likely_before", models.DecimalField(decimal_places=2, max_digits=7)),
                ("hours_high_before", models.DecimalField(decimal_places=2, max_digits=7)),
                ("hours_low", models.DecimalField(decimal_places=2, max_digits=7)),
                ("hours_likely", models.DecimalField(decimal_places=2, max_digits=7)),
                ("hours_high", models.DecimalField(decimal_places=2, max_digits=7)),
                ("jobs", models.PositiveIntegerField(help_text="done jobs behind the figures")),
                ("why", models.TextField()),
                ("adopted_at", models.DateTimeField()),
                (
                    "adopted_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "treatment",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="adoptions",
                        to="workshop.treatment",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["-adopted_at", "-id"],
                "indexes": [models.Index(fields=["yard", "-adopted_at"], name="hours_adopted_by_day")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("why", ""), _negated=True), name="hours_adopted_says_why"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("jobs__gte", 10)), name="hours_adopted_has_the_jobs"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("hours_high__gte", models.F("hours_likely")),
                            ("hours_likely__gte", models.F("hours_low")),
                            ("hours_low__gte", 0),
                        ),
                        name="hours_adopted_in_order",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="MaterialPack",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "name",
                    models.CharField(default="pack", help_text="what one is called, like cartridge", max_length=40),
                ),
                ("plural", models.CharField(default="packs", help_text="what several are called", max_length=40)),
                (
                    "size",
                    models.DecimalField(
                        decimal_places=3, help_text="what it holds, in the material's unit", max_digits=9
                    ),
                ),
                ("price", models.DecimalField(decimal_places=2, help_text="net, for one pack", max_digits=10)),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="packs", to="workshop.material"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["size"],
                "constraints": [
                    models.UniqueConstraint(fields=("material", "size"), name="one_pack_per_size"),
                    models.CheckConstraint(
                        condition=models.Q(("size__gt", 0), ("size__lte", 100000)), name="pack_size_plausible"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("price__gte", 0), ("price__lte", 1000000)), name="pack_price_plausible"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("name", ""), _negated=True), models.Q(("plural", ""), _negated=True)
                        ),
                        name="pack_has_a_name",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ExtraWork",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("what", models.CharField(max_length=300)),
                (
                    "hours_likely",
                    models.DecimalField(decimal_places=2, help_text="of the extra work", max_digits=8),
                ),
                (
                    "hours_before",
                    models.DecimalField(decimal_places=2, help_text="expected or booked before it", max_digits=8),
                ),
                (
                    "hours_ceiling",
                    models.DecimalField(decimal_places=2, help_text="that the decider had agreed to", max_digits=8),
                ),
                ("found_at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="extra_work", to="workshop.job"
                    ),
                ),
                (
                    "more",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="found_as",
                        to="workshop.job",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "extra work",
                "ordering": ["found_at", "id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("hours_likely__gt", 0)), name="extra_work_takes_hours"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("more__isnull", False),
                            (
                                "hours_ceiling__gte",
                                django.db.models.expressions.CombinedExpression(
                                    models.F("hours_before"), "+", models.F("hours_likely")
                                ),
                            ),
                            _connector="OR",
                        ),
                        name="extra_work_past_the_ceiling_is_asked_for",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="JobNeed",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="needs", to="workshop.job"
                    ),
                ),
                (
                    "needed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="needed_by", to="workshop.job"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.UniqueConstraint(fields=("job", "needed"), name="a_job_needs_another_once"),
                    models.CheckConstraint(
                        condition=models.Q(("job", models.F("needed")), _negated=True),
                        name="a_job_needs_no_other_self",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="OptionGroup",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "title",
                    models.CharField(help_text="what is to be chosen, as the decider reads it", max_length=120),
                ),
                (
                    "quote",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="option_groups",
                        to="workshop.quote",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("quote", "title"), name="option_groups_have_titles_of_their_own"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SurfaceWork",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "deed",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("stripped", "stripped to bare wood"),
                            ("stained", "stained"),
                            ("coated", "coated all over"),
                            ("patched", "patched"),
                        ],
                        max_length=20,
                    ),
                ),
                ("done_on", models.DateField()),
                (
                    "coats",
                    models.PositiveSmallIntegerField(blank=True, help_text="over the whole surface", null=True),
                ),
                (
                    "area_m2",
                    models.DecimalField(
                        blank=True, decimal_places=3, help_text="of a patch", max_digits=8, null=True
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
                ("written_at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.member",
                    ),
                ),
                (
                    "finding",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="surface_works",
                        to="inspections.finding",
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="surface_works",
                        to="workshop.job",
                    ),
                ),
                (
                    "product",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workshop.material",
                    ),
                ),
                (
                    "strikes",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="struck_by",
                        to="workshop.surfacework",
                    ),
                ),
                (
                    "surface",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="works", to="yard.surface"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["done_on", "id"],
                "indexes": [models.Index(fields=["surface", "done_on"], name="history_of_a_surface")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("deed__in", ["stripped", "stained", "coated", "patched", ""])),
                        name="surface_work_deed_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("deed", "coated"), ("coats__isnull", False)),
                            models.Q(models.Q(("deed", "coated"), _negated=True), ("coats__isnull", True)),
                            _connector="OR",
                        ),
                        name="surface_work_counts_its_coats",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("coats__gte", 1), ("coats__lte", 30)),
                            ("coats__isnull", True),
                            _connector="OR",
                        ),
                        name="surface_work_coats_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("deed", "patched"), ("area_m2__gt", 0)),
                            models.Q(models.Q(("deed", "patched"), _negated=True), ("area_m2__isnull", True)),
                            _connector="OR",
                        ),
                        name="surface_work_measures_its_patch",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("deed", ""), ("strikes__isnull", False)),
                            models.Q(models.Q(("deed", ""), _negated=True), ("strikes__isnull", True)),
                            _connector="OR",
                        ),
                        name="surface_work_does_or_strikes",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("finding__isnull", True), ("job__isnull", False)),
                        fields=("job", "surface", "deed"),
                        name="a_job_writes_each_deed_once",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("finding__isnull", False), ("job__isnull", False)),
                        fields=("job", "finding"),
                        name="a_job_patches_a_finding_once",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="MaterialLog",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("used_on", models.DateField()),
                ("quantity", models.DecimalField(decimal_places=3, max_digits=10)),
                ("unit", models.CharField(help_text="as the list had it that day", max_length=12)),
                ("note", models.CharField(blank=True, max_length=300)),
                ("booked_at", models.DateTimeField()),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="material_logs", to="workshop.job"
                    ),
                ),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="workshop.material"
                    ),
                ),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["used_on", "id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity", 0), _negated=True), name="material_log_is_of_something"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("quantity__gte", -100000), ("quantity__lte", 100000)),
                            ("quantity__isnull", True),
                            _connector="OR",
                        ),
                        name="material_log_plausible",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="MeterReading",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("moisture_pct", models.DecimalField(decimal_places=1, help_text="% of dry mass", max_digits=5)),
                ("read_at", models.DateTimeField()),
                ("note", models.CharField(blank=True, max_length=300)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "finding",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="meter_readings",
                        to="inspections.finding",
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="meter_readings",
                        to="workshop.job",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["read_at", "id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("moisture_pct__gte", 0), ("moisture_pct__lte", 120)),
                            ("moisture_pct__isnull", True),
                            _connector="OR",
                        ),
                        name="meter_reading_plausible",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="LinkOpening",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("opened_at", models.DateTimeField()),
                ("from_address", models.GenericIPAddressField(blank=True, null=True)),
                ("user_agent", models.CharField(blank=True, max_length=300)),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "link",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="openings",
                        to="workshop.ownerlink",
                    ),
                ),
            ],
            options={
                "ordering": ["-opened_at"],
            },
        ),
        migrations.CreateModel(
            name="QuoteLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("position", models.PositiveSmallIntegerField()),
                (
                    "hours_likely",
                    models.DecimalField(decimal_places=2, help_text="as likely more as less", max_digits=8),
                ),
                (
                    "hours_ceiling",
                    models.DecimalField(
                        decimal_places=2, help_text="the yard asks again before this", max_digits=8
                    ),
                ),
                ("net_labour", models.DecimalField(decimal_places=2, max_digits=12)),
                ("net_materials", models.DecimalField(decimal_places=2, max_digits=12)),
                ("vat_rate_pct", models.DecimalField(decimal_places=2, max_digits=5)),
                ("frozen_at", models.DateTimeField(blank=True, null=True)),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="quote_lines", to="workshop.job"
                    ),
                ),
                (
                    "quote",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="lines", to="workshop.quote"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                ("recommended", models.BooleanField(default=False, help_text="the option that the yard advises")),
                (
                    "option_group",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.RESTRICT,
                        related_name="lines",
                        to="workshop.optiongroup",
                    ),
                ),
            ],
            options={
                "ordering": ["position"],
                "constraints": [
                    models.UniqueConstraint(fields=("quote", "job"), name="a_job_stands_once_in_a_quote"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("hours_ceiling__gte", models.F("hours_likely")), ("hours_likely__gte", 0)
                        ),
                        name="quote_ceiling_not_below_likely",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("net_labour__gte", 0), ("net_materials__gte", 0)),
                        name="quote_amounts_not_negative",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("recommended", True)),
                        fields=("option_group",),
                        name="one_option_of_a_group_is_advised",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("recommended", False), ("option_group__isnull", False), _connector="OR"
                        ),
                        name="only_options_are_advised",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SecondLook",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("holds", models.BooleanField(help_text="the repair is good")),
                ("note", models.TextField(blank=True)),
                ("seen_at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "first_look_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "verification",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="second_look",
                        to="workshop.verification",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["seen_at"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("by", models.F("first_look_by")), _negated=True),
                        name="second_look_is_by_another",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("holds", True), models.Q(("note", ""), _negated=True), _connector="OR"),
                        name="doubtful_second_look_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StepTick",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("step", models.PositiveSmallIntegerField(help_text="counted from 1")),
                ("text", models.TextField()),
                (
                    "kind",
                    models.CharField(
                        choices=[("done", "done"), ("taken_back", "taken back"), ("left_out", "left out")],
                        max_length=20,
                    ),
                ),
                ("turn", models.PositiveSmallIntegerField(help_text="the how manieth word on this step, from 1")),
                ("ticked_at", models.DateTimeField()),
                ("note", models.CharField(blank=True, max_length=300)),
                (
                    "reason",
                    models.CharField(blank=True, help_text="why early, out of turn or not at all", max_length=300),
                ),
                ("allowed_on", models.DateField(blank=True, null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="ticks", to="workshop.job"
                    ),
                ),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="ticks", to="workshop.operation"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["ticked_at", "id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["done", "taken_back", "left_out"])),
                        name="tick_kind_is_known",
                    ),
                    models.UniqueConstraint(
                        fields=("operation", "step", "turn"), name="one_word_on_a_step_each_turn"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("step__gte", 1), ("turn__gte", 1)), name="tick_counts_from_one"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "left_out"), _negated=True),
                            models.Q(("reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="left_out_step_says_why",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("allowed_on__isnull", True), models.Q(("reason", ""), _negated=True), _connector="OR"
                        ),
                        name="early_tick_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="VerificationReading",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("quantity", models.CharField(max_length=20)),
                ("value", models.DecimalField(decimal_places=2, max_digits=7)),
                ("unit", models.CharField(max_length=12)),
                (
                    "verification",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="workshop.verification",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__in", ["moisture", "play", "gap"])),
                        name="verification_quantity_is_known",
                    ),
                    models.UniqueConstraint(fields=("verification", "quantity"), name="each_quantity_once_a_look"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("value__gte", 0), ("value__lte", 1000)),
                            ("value__isnull", True),
                            _connector="OR",
                        ),
                        name="verification_reading_plausible",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Decision",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "verdict",
                    models.CharField(
                        choices=[
                            ("approve", "approved"),
                            ("decline", "declined"),
                            ("ask", "asked"),
                            ("not_chosen", "not chosen"),
                        ],
                        max_length=20,
                    ),
                ),
                ("question", models.TextField(blank=True)),
                ("digest", models.CharField(max_length=64)),
                ("decided_at", models.DateTimeField()),
                ("from_address", models.GenericIPAddressField(blank=True, null=True)),
                (
                    "member",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="decisions",
                        to="yard.member",
                    ),
                ),
                (
                    "owner",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="decisions",
                        to="yard.owner",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="decisions",
                        to="workshop.quoteline",
                    ),
                ),
                (
                    "because",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="followed_by",
                        to="workshop.decision",
                    ),
                ),
                (
                    "option_group",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workshop.optiongroup",
                    ),
                ),
            ],
            options={
                "ordering": ["decided_at"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("verdict", "ask"), _negated=True),
                        fields=("line",),
                        name="one_yes_or_no_per_job_of_a_quote",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("member__isnull", True), ("owner__isnull", False)),
                            models.Q(("member__isnull", False), ("owner__isnull", True)),
                            _connector="OR",
                        ),
                        name="decision_is_somebodys",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("verdict", "ask"), _negated=True),
                            models.Q(("question", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="a_question_has_words",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("digest__regex", "^[0-9a-f]{64}$")), name="decision_names_a_digest"
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("verdict", "approve")),
                        fields=("option_group",),
                        name="one_yes_per_option_group",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("verdict", "not_chosen"), _negated=True),
                            ("because__isnull", False),
                            _connector="OR",
                        ),
                        name="not_chosen_for_something_else",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("verdict__in", ["approve", "decline", "ask", "not_chosen"])),
                        name="decision_verdict_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Reply",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("text", models.TextField()),
                ("written_at", models.DateTimeField()),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="replies", to="workshop.quoteline"
                    ),
                ),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "replies",
                "ordering": ["written_at", "id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("text", ""), _negated=True), name="a_reply_has_words"
                    )
                ],
            },
        ),
    ]
