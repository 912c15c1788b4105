import uuid

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    replaces = [
        ("inspections", "0001_first_floor"),
        ("inspections", "0002_rule_editions"),
        ("inspections", "0003_who_saw_it_when_and_opening_up_said"),
        ("inspections", "0004_due_back_of_a_surface"),
    ]

    initial = True

    dependencies = [
        ("yard", "0001_whole_floor"),
    ]

    operations = [
        migrations.CreateModel(
            name="Inspection",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("season_year", models.PositiveSmallIntegerField()),
                ("launch_on", models.DateField(help_text="when this boat is to go in")),
                ("opened_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "boat",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="inspections", to="yard.boat"
                    ),
                ),
                (
                    "closed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.member",
                    ),
                ),
                (
                    "opened_by",
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
            ],
            options={
                "ordering": ["-season_year", "launch_on"],
                "indexes": [models.Index(fields=["yard", "season_year"], name="inspections_of_a_season")],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("boat", "season_year"), name="one_inspection_per_boat_and_season"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("closed_at__isnull", True), ("closed_at__gte", models.F("opened_at")), _connector="OR"
                        ),
                        name="inspection_closes_after_it_opens",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Photo",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("sha256", models.CharField(max_length=64)),
                ("stored_sha256", models.CharField(max_length=64)),
                ("media_type", models.CharField(max_length=20)),
                ("width_px", models.PositiveIntegerField()),
                ("height_px", models.PositiveIntegerField()),
                ("size_bytes", models.PositiveIntegerField()),
                ("file", models.FileField(max_length=200, upload_to="photos/")),
                ("thumbnail", models.FileField(blank=True, max_length=200, upload_to="photos/")),
                ("report_size", models.FileField(blank=True, max_length=200, upload_to="photos/")),
                ("taken_at", models.DateTimeField(blank=True, null=True)),
                ("received_at", models.DateTimeField()),
                (
                    "state",
                    models.CharField(
                        choices=[("received", "received"), ("ready", "ready"), ("broken", "could not be prepared")],
                        default="received",
                        max_length=20,
                    ),
                ),
                (
                    "received_from",
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
            ],
            options={
                "ordering": ["-received_at"],
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "sha256"), name="a_photo_is_kept_once"),
                    models.CheckConstraint(
                        condition=models.Q(("sha256__regex", "^[0-9a-f]{64}$")), name="photo_is_known_by_a_digest"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("media_type__in", ["image/jpeg", "image/png", "image/webp", "image/heic"])
                        ),
                        name="photo_type_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SetAside",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("entry_id", models.UUIDField()),
                ("sent", models.JSONField()),
                ("digest", models.CharField(max_length=64)),
                ("why", models.CharField(max_length=300)),
                ("received_at", models.DateTimeField()),
                ("settled_at", models.DateTimeField(blank=True, null=True)),
                ("settled_how", models.CharField(blank=True, max_length=300)),
                (
                    "author",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "boat",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.boat",
                    ),
                ),
                (
                    "settled_by",
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
                    "device",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.devicetoken",
                    ),
                ),
            ],
            options={
                "ordering": ["-received_at"],
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "entry_id"), name="an_entry_is_set_aside_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="Sign",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("code", models.CharField(max_length=40)),
                ("name", models.CharField(max_length=120)),
                ("record_as", models.CharField(blank=True, max_length=200)),
                ("size_unit", models.CharField(blank=True, max_length=10)),
                ("meaning", models.TextField(blank=True)),
                ("confirm_by", models.TextField(blank=True)),
                ("made_worse_by", models.TextField(blank=True)),
                ("raises", models.TextField(blank=True)),
                ("lowers", models.TextField(blank=True)),
                ("conditions", models.JSONField(default=list)),
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
                "constraints": [models.UniqueConstraint(fields=("yard", "code"), name="one_sign_per_code")],
            },
        ),
        migrations.CreateModel(
            name="Template",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("title", models.CharField(max_length=120)),
                (
                    "component_class",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="template",
                        to="yard.componentclass",
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
                "ordering": ["title"],
            },
        ),
        migrations.CreateModel(
            name="RuleEdition",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("overrides", models.JSONField(default=dict)),
                ("why", models.TextField()),
                ("adopted_at", models.DateTimeField()),
                (
                    "adopted_by",
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
                "ordering": ["-adopted_at", "-id"],
                "indexes": [models.Index(fields=["yard", "-adopted_at"], name="rule_editions_by_day")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("why", ""), _negated=True), name="rule_edition_says_why"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="OpeningStep",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("key", models.CharField(max_length=60)),
                ("kind", models.CharField(max_length=20)),
                ("text", models.CharField(max_length=300)),
                ("shares", models.CharField(blank=True, max_length=60)),
                ("position", models.PositiveSmallIntegerField()),
                (
                    "component",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.component"
                    ),
                ),
                (
                    "inspection",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="opening_steps",
                        to="inspections.inspection",
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
                "ordering": ["position"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("inspection", "component", "key"), name="one_opening_step_per_key"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["take_off", "clean"])), name="opening_step_kind_is_known"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="TemplateVersion",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("number", models.PositiveSmallIntegerField()),
                ("opening_steps", models.JSONField(default=list)),
                ("checks", models.JSONField(default=list)),
                ("note", models.CharField(blank=True, help_text="what changed", max_length=200)),
                ("created_at", models.DateTimeField()),
                ("edited_at", models.DateTimeField()),
                ("published_at", models.DateTimeField(blank=True, null=True)),
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
                    "published_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.member",
                    ),
                ),
                (
                    "template",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="versions",
                        to="inspections.template",
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
                "ordering": ["template", "-number"],
                "constraints": [
                    models.UniqueConstraint(fields=("template", "number"), name="template_versions_are_numbered"),
                    models.UniqueConstraint(
                        condition=models.Q(("published_at__isnull", True)),
                        fields=("template",),
                        name="one_draft_per_template",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Check",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "origin",
                    models.CharField(
                        choices=[
                            ("template", "from the template"),
                            ("watched", "watched since"),
                            ("held", "held since"),
                            ("declined", "declined by the decider"),
                            ("deferred", "put off since"),
                            ("repaired", "repaired since the last look"),
                            ("not_seen", "not seen last time"),
                            ("second_look", "asked for a second look"),
                        ],
                        default="template",
                        max_length=20,
                    ),
                ),
                ("key", models.CharField(max_length=80)),
                ("position", models.PositiveSmallIntegerField()),
                ("prompt", models.CharField(max_length=300)),
                ("look_for", models.TextField(blank=True)),
                ("answer_kind", models.CharField(max_length=20)),
                ("reading", models.JSONField(blank=True, null=True)),
                ("usual_signs", models.JSONField(default=list)),
                ("after", models.JSONField(default=list)),
                ("contact", models.JSONField(default=list)),
                ("both_sides", models.BooleanField(default=False)),
                ("photo_wanted", models.BooleanField(default=False)),
                (
                    "component",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.component"
                    ),
                ),
                (
                    "spot",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="checks",
                        to="yard.spot",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "inspection",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="checks",
                        to="inspections.inspection",
                    ),
                ),
                (
                    "template_version",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="inspection_checks",
                        to="inspections.templateversion",
                    ),
                ),
            ],
            options={
                "ordering": ["position"],
                "constraints": [
                    models.UniqueConstraint(fields=("inspection", "component", "key"), name="one_check_per_key"),
                    models.CheckConstraint(
                        condition=models.Q(("answer_kind__in", ["signs", "reading"])),
                        name="check_answer_kind_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "origin__in",
                                [
                                    "template",
                                    "watched",
                                    "held",
                                    "declined",
                                    "deferred",
                                    "repaired",
                                    "not_seen",
                                    "second_look",
                                ],
                            )
                        ),
                        name="check_origin_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("origin", "template"), ("spot__isnull", False), ("origin", "not_seen"), _connector="OR"
                        ),
                        name="taken_over_check_has_a_spot",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StepEntry",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                (
                    "outcome",
                    models.CharField(choices=[("done", "done"), ("not_possible", "not possible")], max_length=20),
                ),
                ("reason", models.CharField(blank=True, max_length=300)),
                (
                    "sequence",
                    models.PositiveIntegerField(blank=True, help_text="the device's own count", null=True),
                ),
                (
                    "observed_at",
                    models.DateTimeField(
                        help_text="the device's clock, put right by its offset where that is known"
                    ),
                ),
                (
                    "device_clock_at",
                    models.DateTimeField(blank=True, help_text="what the device's clock said", null=True),
                ),
                (
                    "clock_offset_ms",
                    models.BigIntegerField(
                        blank=True, help_text="server minus device; empty: not known", null=True
                    ),
                ),
                ("received_at", models.DateTimeField(help_text="the server's clock")),
                ("digest", models.CharField(max_length=64)),
                (
                    "author",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "device",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.devicetoken",
                    ),
                ),
                (
                    "inspection",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="step_entries",
                        to="inspections.inspection",
                    ),
                ),
                (
                    "step",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entries",
                        to="inspections.openingstep",
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
                "verbose_name_plural": "step entries",
                "ordering": ["observed_at", "id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("outcome__in", ["done", "not_possible"])),
                        name="step_entry_outcome_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("outcome", "not_possible"), _negated=True),
                            models.Q(("reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="step_not_possible_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Entry",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ("elsewhere", models.CharField(blank=True, max_length=200)),
                (
                    "answer",
                    models.CharField(
                        choices=[
                            ("sound", "sound"),
                            ("finding", "finding"),
                            ("not_seen", "not seen"),
                            ("not_fitted", "not fitted"),
                        ],
                        max_length=20,
                    ),
                ),
                ("not_seen_reason", models.CharField(blank=True, max_length=300)),
                ("signs", models.JSONField(default=list)),
                ("size_mm", models.DecimalField(blank=True, decimal_places=1, max_digits=9, null=True)),
                (
                    "water",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("none", "no water"),
                            ("shielded", "shielded from water"),
                            ("interior", "inside the boat"),
                            ("rain", "rain"),
                            ("splash", "splashing sea water"),
                            ("standing", "standing water"),
                            ("immersed", "under water"),
                            ("unknown", "not known"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "load",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("none", "no load"),
                            ("static", "steady load"),
                            ("cyclic", "load that comes and goes"),
                            ("shock", "sudden load"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "seal",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("intact", "whole"),
                            ("film_broken", "film broken"),
                            ("partly", "let go in part"),
                            ("reopened", "sealed before and open again"),
                            ("open", "open"),
                            ("unknown", "not known"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "moves",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("no", "does not move"),
                            ("suspected", "may move"),
                            ("yes", "moves"),
                            ("unknown", "not tried"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "sides",
                    models.CharField(
                        blank=True,
                        choices=[("none", "no face"), ("one", "one face"), ("both", "both faces")],
                        max_length=20,
                    ),
                ),
                (
                    "trend",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("new", "new"),
                            ("unchanged", "unchanged"),
                            ("grown", "grown"),
                            ("reopened", "opened again after repair"),
                            ("unknown", "not known"),
                        ],
                        max_length=20,
                    ),
                ),
                ("in_load_path", models.BooleanField(blank=True, null=True)),
                ("note", models.TextField(blank=True)),
                (
                    "sequence",
                    models.PositiveIntegerField(blank=True, help_text="the device's own count", null=True),
                ),
                (
                    "observed_at",
                    models.DateTimeField(
                        help_text="the device's clock, put right by its offset where that is known"
                    ),
                ),
                ("received_at", models.DateTimeField(help_text="the server's clock")),
                ("digest", models.CharField(max_length=64)),
                (
                    "answers",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entries",
                        to="inspections.check",
                    ),
                ),
                (
                    "author",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="entries", to="yard.member"
                    ),
                ),
                (
                    "component",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entries",
                        to="yard.component",
                    ),
                ),
                (
                    "device",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.devicetoken",
                    ),
                ),
                (
                    "spot",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entries",
                        to="yard.spot",
                    ),
                ),
                (
                    "supersedes",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="superseded_by",
                        to="inspections.entry",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "inspection",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entries",
                        to="inspections.inspection",
                    ),
                ),
                (
                    "clock_offset_ms",
                    models.BigIntegerField(
                        blank=True, help_text="server minus device; empty: not known", null=True
                    ),
                ),
                (
                    "device_clock_at",
                    models.DateTimeField(blank=True, help_text="what the device's clock said", null=True),
                ),
            ],
            options={
                "verbose_name_plural": "entries",
                "ordering": ["observed_at", "id"],
                "indexes": [models.Index(fields=["yard", "-received_at"], name="entries_as_they_came")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("answer__in", ["sound", "finding", "not_seen", "not_fitted"])),
                        name="entry_answer_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "water__in",
                                [
                                    "none",
                                    "shielded",
                                    "interior",
                                    "rain",
                                    "splash",
                                    "standing",
                                    "immersed",
                                    "unknown",
                                    "",
                                ],
                            )
                        ),
                        name="entry_water_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("load__in", ["none", "static", "cyclic", "shock", ""])),
                        name="entry_load_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("seal__in", ["intact", "film_broken", "partly", "reopened", "open", "unknown", ""])
                        ),
                        name="entry_seal_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("moves__in", ["no", "suspected", "yes", "unknown", ""])),
                        name="entry_moves_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("sides__in", ["none", "one", "both", ""])), name="entry_sides_is_known"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("trend__in", ["new", "unchanged", "grown", "reopened", "unknown", ""])),
                        name="entry_trend_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("size_mm__gte", 0), ("size_mm__lte", 100000)),
                            ("size_mm__isnull", True),
                            _connector="OR",
                        ),
                        name="entry_size_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("answer", "not_seen"), _negated=True),
                            models.Q(("not_seen_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="not_seen_says_why",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("component__isnull", False),
                            models.Q(("elsewhere", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="entry_says_where",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("answer", "finding"), _negated=True),
                            ("spot__isnull", False),
                            models.Q(("elsewhere", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="finding_entry_has_a_spot",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("supersedes__isnull", True),
                            models.Q(("supersedes", models.F("id")), _negated=True),
                            _connector="OR",
                        ),
                        name="entry_does_not_supersede_itself",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Finding",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("open", "open"),
                            ("watched", "watched"),
                            ("held", "held"),
                            ("declined", "declined"),
                            ("deferred", "put off"),
                            ("repaired", "repaired, not yet verified"),
                            ("verified", "verified"),
                            ("withdrawn", "withdrawn by a later entry"),
                            ("seen_again", "looked at again since"),
                        ],
                        default="open",
                        max_length=20,
                    ),
                ),
                ("found_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "boat",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="findings", to="yard.boat"
                    ),
                ),
                (
                    "component",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="findings",
                        to="yard.component",
                    ),
                ),
                (
                    "entry",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="finding", to="inspections.entry"
                    ),
                ),
                (
                    "spot",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="findings",
                        to="yard.spot",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "inspection",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="findings",
                        to="inspections.inspection",
                    ),
                ),
            ],
            options={
                "ordering": ["-found_at"],
                "indexes": [models.Index(fields=["yard", "state"], name="findings_by_state")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "state__in",
                                [
                                    "open",
                                    "watched",
                                    "held",
                                    "declined",
                                    "deferred",
                                    "repaired",
                                    "verified",
                                    "withdrawn",
                                    "seen_again",
                                ],
                            )
                        ),
                        name="finding_state_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("state__in", ["verified", "withdrawn", "seen_again"]), ("ended_at__isnull", False)
                            ),
                            models.Q(
                                models.Q(("state__in", ["verified", "withdrawn", "seen_again"]), _negated=True),
                                ("ended_at__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="ended_finding_says_when",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Reading",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("quantity", models.CharField(max_length=40)),
                ("value", models.DecimalField(decimal_places=2, max_digits=9)),
                ("unit", models.CharField(max_length=12)),
                ("wood_temperature_c", models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True)),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="readings", to="inspections.entry"
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
                        condition=models.Q(
                            models.Q(("quantity__startswith", "moisture"), _negated=True),
                            models.Q(("value__gte", 0), ("value__lte", 120)),
                            _connector="OR",
                        ),
                        name="moisture_reading_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("wood_temperature_c__gte", -40), ("wood_temperature_c__lte", 80)),
                            ("wood_temperature_c__isnull", True),
                            _connector="OR",
                        ),
                        name="wood_temperature_plausible",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="EntryPhoto",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("sha256", models.CharField(max_length=64)),
                ("position", models.PositiveSmallIntegerField()),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="photo_names",
                        to="inspections.entry",
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
                "ordering": ["position"],
                "indexes": [models.Index(fields=["yard", "sha256"], name="entries_that_name_a_photo")],
                "constraints": [
                    models.UniqueConstraint(fields=("entry", "sha256"), name="entry_names_a_photo_once"),
                    models.CheckConstraint(
                        condition=models.Q(("sha256__regex", "^[0-9a-f]{64}$")), name="photo_name_is_a_digest"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Assessment",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "condition",
                    models.CharField(
                        choices=[
                            ("finish_only", "finish only"),
                            ("water_way_open", "a way in for water is open"),
                            ("water_in", "water is in"),
                            ("decay", "decay"),
                            ("joint_moves", "the joint moves"),
                            ("split_in_load_path", "split where the load runs"),
                            ("metal_wasting", "metal is wasting"),
                            ("unseen", "out of sight"),
                            ("gone", "the part is gone"),
                        ],
                        max_length=30,
                    ),
                ),
                ("severity", models.PositiveSmallIntegerField()),
                ("probability_level", models.CharField(max_length=1)),
                (
                    "risk",
                    models.CharField(
                        choices=[
                            ("high", "high"),
                            ("serious", "serious"),
                            ("medium", "medium"),
                            ("low", "low"),
                            ("eliminated", "eliminated"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "priority",
                    models.CharField(
                        choices=[
                            ("before_launch", "before launch"),
                            ("this_season", "this season"),
                            ("next_layup", "next lay-up"),
                            ("watch", "watch"),
                        ],
                        max_length=20,
                    ),
                ),
                ("due_back_on", models.DateField()),
                (
                    "due_back_kind",
                    models.CharField(
                        choices=[
                            ("put_right", "put right"),
                            ("look_again", "look again"),
                            ("open_up", "open up and look"),
                        ],
                        max_length=20,
                    ),
                ),
                ("treatments", models.JSONField(default=list)),
                ("reasons", models.JSONField(default=list)),
                ("document", models.JSONField()),
                ("rules_version", models.CharField(max_length=40)),
                ("inputs_digest", models.CharField(max_length=64)),
                ("made_at", models.DateTimeField()),
                ("superseded_at", models.DateTimeField(blank=True, null=True)),
                (
                    "boat",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="assessments", to="yard.boat"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="assessments",
                        to="inspections.entry",
                    ),
                ),
                (
                    "finding",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="assessments",
                        to="inspections.finding",
                    ),
                ),
            ],
            options={
                "ordering": ["-made_at"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("superseded_at__isnull", True)),
                        fields=["yard", "due_back_on"],
                        name="standing_by_due_back",
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("superseded_at__isnull", True)),
                        fields=("entry",),
                        name="one_standing_assessment_per_entry",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("finding__isnull", False), ("superseded_at__isnull", True)),
                        fields=("finding",),
                        name="one_standing_assessment_per_finding",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("severity__gte", 1), ("severity__lte", 4)),
                            ("severity__isnull", True),
                            _connector="OR",
                        ),
                        name="assessment_severity_is_a_category",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("probability_level__in", ["A", "B", "C", "D", "E", "F"])),
                        name="assessment_probability_is_a_level",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("risk__in", ["high", "serious", "medium", "low", "eliminated"])),
                        name="assessment_risk_is_a_level",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("priority__in", ["before_launch", "this_season", "next_layup", "watch"])
                        ),
                        name="assessment_priority_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("due_back_kind__in", ["put_right", "look_again", "open_up"])),
                        name="assessment_due_back_kind_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reasons", []), _negated=True), name="assessment_has_reasons"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DueBack",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("due_on", models.DateField()),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("put_right", "put right"),
                            ("look_again", "look again"),
                            ("open_up", "open up and look"),
                        ],
                        max_length=20,
                    ),
                ),
                ("reason", models.TextField()),
                ("set_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "boat",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="due_backs", to="yard.boat"
                    ),
                ),
                (
                    "component",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.component",
                    ),
                ),
                (
                    "spot",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="due_backs",
                        to="yard.spot",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                (
                    "entry",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="due_backs",
                        to="inspections.entry",
                    ),
                ),
                (
                    "finding",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="due_backs",
                        to="inspections.finding",
                    ),
                ),
                (
                    "surface",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="due_backs",
                        to="yard.surface",
                    ),
                ),
            ],
            options={
                "ordering": ["due_on", "id"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("ended_at__isnull", True)),
                        fields=["yard", "due_on"],
                        name="due_back_book",
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("ended_at__isnull", True), ("finding__isnull", False)),
                        fields=("finding",),
                        name="one_open_due_back_per_finding",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("ended_at__isnull", True), ("entry__isnull", False)),
                        fields=("entry",),
                        name="one_open_due_back_per_entry",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["put_right", "look_again", "open_up"])),
                        name="due_back_kind_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("surface__isnull", True),
                                models.Q(("finding__isnull", False), ("entry__isnull", False), _connector="OR"),
                            ),
                            models.Q(
                                ("entry__isnull", True), ("finding__isnull", True), ("surface__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="due_back_stands_for_something",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("ended_at__isnull", True), ("surface__isnull", False)),
                        fields=("surface",),
                        name="one_open_due_back_per_surface",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Overruling",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "priority",
                    models.CharField(
                        choices=[
                            ("before_launch", "before launch"),
                            ("this_season", "this season"),
                            ("next_layup", "next lay-up"),
                            ("watch", "watch"),
                        ],
                        max_length=20,
                    ),
                ),
                ("due_back_on", models.DateField()),
                ("reason", models.TextField()),
                ("made_at", models.DateTimeField()),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                (
                    "assessment",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="overrulings",
                        to="inspections.assessment",
                    ),
                ),
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
                        related_name="overrulings",
                        to="inspections.finding",
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
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("withdrawn_at__isnull", True)),
                        fields=("finding",),
                        name="one_standing_overruling_per_finding",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("priority__in", ["before_launch", "this_season", "next_layup", "watch"])
                        ),
                        name="overruling_priority_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True), name="overruling_has_a_reason"
                    ),
                ],
            },
        ),
    ]
