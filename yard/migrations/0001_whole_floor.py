import uuid

import django.contrib.auth.models
import django.contrib.auth.validators
import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

import yard.models.yards


class Migration(migrations.Migration):
    replaces = [
        ("yard", "0001_first_floor"),
        ("yard", "0002_mail_says_where_to_end_it"),
        ("yard", "0003_tablets_are_let_in_by_codes_and_shared"),
        ("yard", "0004_finished_surfaces"),
        ("yard", "0005_vat_classes"),
    ]

    initial = True

    dependencies = [
        ("auth", "0012_alter_user_first_name_max_length"),
    ]

    operations = [
        migrations.CreateModel(
            name="User",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("last_login", models.DateTimeField(blank=True, null=True, verbose_name="last login")),
                (
                    "is_superuser",
                    models.BooleanField(
                        default=False,
                        help_text="Designates that this user has all permissions without explicitly assigning them.",
                        verbose_name="superuser status",
                    ),
                ),
                (
                    "username",
                    models.CharField(
                        error_messages={"unique": "A user with that username already exists."},
                        help_text="Required. 150 characters or fewer. Letters, digits and @/./+/-/_ only.",
                        max_length=150,
                        unique=True,
                        validators=[django.contrib.auth.validators.UnicodeUsernameValidator()],
                        verbose_name="username",
                    ),
                ),
                ("first_name", models.CharField(blank=True, max_length=150, verbose_name="first name")),
                ("last_name", models.CharField(blank=True, max_length=150, verbose_name="last name")),
                ("email", models.EmailField(blank=True, max_length=254, verbose_name="email address")),
                (
                    "is_staff",
                    models.BooleanField(
                        default=False,
                        help_text="Designates whether the user can log into this admin site.",
                        verbose_name="staff status",
                    ),
                ),
                (
                    "is_active",
                    models.BooleanField(
                        default=True,
                        help_text="Designates whether this user should be treated as active. Unselect this instead of deleting accounts.",
                        verbose_name="active",
                    ),
                ),
                (
                    "date_joined",
                    models.DateTimeField(default=django.utils.timezone.now, verbose_name="date joined"),
                ),
                (
                    "groups",
                    models.ManyToManyField(
                        blank=True,
                        help_text="The groups this user belongs to. A user will get all permissions granted to each of their groups.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.group",
                        verbose_name="groups",
                    ),
                ),
                (
                    "user_permissions",
                    models.ManyToManyField(
                        blank=True,
                        help_text="Specific permissions for this user.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.permission",
                        verbose_name="user permissions",
                    ),
                ),
            ],
            options={
                "verbose_name": "user",
                "verbose_name_plural": "users",
                "abstract": False,
            },
            managers=[
                ("objects", django.contrib.auth.models.UserManager()),
            ],
        ),
        migrations.CreateModel(
            name="Yard",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("name", models.CharField(max_length=120)),
                (
                    "time_zone",
                    models.CharField(
                        default="UTC", help_text="IANA name, for example Europe/Lisbon", max_length=64
                    ),
                ),
                ("currency", models.CharField(default="EUR", help_text="ISO 4217", max_length=3)),
                (
                    "vat_rate_pct",
                    models.DecimalField(
                        decimal_places=2,
                        default=0,
                        help_text="on its work, until a VAT class for work has a rate",
                        max_digits=5,
                    ),
                ),
                ("locale", models.CharField(default="en_GB", max_length=16)),
                (
                    "working_weekdays",
                    models.JSONField(default=yard.models.yards.monday_to_friday, help_text="0 is Monday"),
                ),
                (
                    "holiday_country",
                    models.CharField(blank=True, help_text="ISO 3166, empty for none", max_length=2),
                ),
                ("holiday_subdivision", models.CharField(blank=True, max_length=6)),
                (
                    "own_holidays",
                    models.JSONField(blank=True, default=list, help_text="ISO dates the yard is closed besides"),
                ),
                ("latitude", models.DecimalField(blank=True, decimal_places=5, max_digits=8, null=True)),
                ("longitude", models.DecimalField(blank=True, decimal_places=5, max_digits=8, null=True)),
                ("mail_from", models.EmailField(blank=True, max_length=254)),
                ("quote_valid_days", models.PositiveSmallIntegerField(default=21)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("vat_rate_pct__gte", 0), ("vat_rate_pct__lte", 100)),
                            ("vat_rate_pct__isnull", True),
                            _connector="OR",
                        ),
                        name="yard_vat_rate_is_a_percentage",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("latitude__gte", -90), ("latitude__lte", 90)),
                            ("latitude__isnull", True),
                            _connector="OR",
                        ),
                        name="yard_latitude_on_the_globe",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("longitude__gte", -180), ("longitude__lte", 180)),
                            ("longitude__isnull", True),
                            _connector="OR",
                        ),
                        name="yard_longitude_on_the_globe",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("quote_valid_days__gte", 1), ("quote_valid_days__lte", 365)),
                            ("quote_valid_days__isnull", True),
                            _connector="OR",
                        ),
                        name="yard_quote_validity_within_a_year",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("currency__regex", "^[A-Z]{3}$")), name="yard_currency_is_three_letters"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Owner",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("name", models.CharField(max_length=120)),
                ("email", models.EmailField(max_length=254)),
                ("phone", models.CharField(blank=True, max_length=40)),
                ("locale", models.CharField(default="en_GB", max_length=16)),
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
                    models.UniqueConstraint(fields=("yard", "email"), name="one_owner_per_address"),
                    models.CheckConstraint(
                        condition=models.Q(("email", ""), _negated=True), name="owner_has_an_address"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Member",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "role",
                    models.CharField(choices=[("manager", "manager"), ("technician", "technician")], max_length=20),
                ),
                ("name", models.CharField(max_length=120)),
                ("left_on", models.DateField(blank=True, null=True)),
                (
                    "user",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="member",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                ("pin_hash", models.CharField(blank=True, max_length=44)),
                ("pin_salt", models.CharField(blank=True, max_length=24)),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("role__in", ["manager", "technician"])), name="member_role_is_known"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("pin_hash", ""), ("pin_salt", "")),
                            models.Q(
                                models.Q(("pin_salt", ""), _negated=True), models.Q(("pin_hash", ""), _negated=True)
                            ),
                            _connector="OR",
                        ),
                        name="member_pin_has_salt_and_hash",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="OutboxRow",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("task", models.CharField(max_length=80)),
                ("arguments", models.JSONField(default=dict)),
                ("key", models.CharField(max_length=200)),
                ("times_asked", models.PositiveIntegerField(default=1)),
                ("created_at", models.DateTimeField()),
                ("not_before", models.DateTimeField()),
                ("lease_until", models.DateTimeField(blank=True, null=True)),
                ("attempts", models.PositiveSmallIntegerField(default=0)),
                ("last_error", models.TextField(blank=True)),
                ("done_at", models.DateTimeField(blank=True, null=True)),
                ("failed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "yard",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("done_at__isnull", True), ("failed_at__isnull", True)),
                        fields=["not_before", "id"],
                        name="outbox_open_in_order",
                    ),
                    models.Index(
                        condition=models.Q(("failed_at__isnull", False)),
                        fields=["yard", "failed_at"],
                        name="outbox_failed",
                    ),
                ],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("done_at__isnull", True), ("failed_at__isnull", True)),
                        fields=("key",),
                        name="one_open_outbox_row_per_key",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("done_at__isnull", True), ("failed_at__isnull", True), _connector="OR"),
                        name="outbox_row_done_or_failed",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Mail",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("key", models.CharField(max_length=200)),
                ("message_id", models.CharField(max_length=200, unique=True)),
                ("to_address", models.EmailField(max_length=254)),
                ("subject", models.CharField(max_length=200)),
                ("text", models.TextField()),
                ("html", models.TextField(blank=True)),
                ("attachments", models.JSONField(blank=True, default=list)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "waiting"),
                            ("sent", "sent"),
                            ("refused", "refused by the mail server"),
                        ],
                        default="waiting",
                        max_length=20,
                    ),
                ),
                ("created_at", models.DateTimeField()),
                ("sent_at", models.DateTimeField(blank=True, null=True)),
                ("refusal", models.TextField(blank=True)),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                ("unsubscribe_url", models.URLField(blank=True, max_length=500)),
            ],
            options={
                "ordering": ["-created_at"],
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "key"), name="one_mail_per_key"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "sent"), ("sent_at__isnull", False)),
                            models.Q(models.Q(("state", "sent"), _negated=True), ("sent_at__isnull", True)),
                            _connector="OR",
                        ),
                        name="sent_mail_says_when",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HourlyRate",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("trade", models.CharField(default="shipwright", max_length=40)),
                ("amount", models.DecimalField(decimal_places=2, max_digits=10)),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "trade"), name="one_rate_per_trade"),
                    models.CheckConstraint(condition=models.Q(("amount__gte", 0)), name="hourly_rate_not_negative"),
                ],
            },
        ),
        migrations.CreateModel(
            name="ComponentClass",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("code", models.CharField(max_length=40)),
                ("name", models.CharField(max_length=120)),
                ("group", models.CharField(blank=True, max_length=40)),
                ("fits", models.JSONField(default=list)),
                ("contact", models.JSONField(default=list)),
                ("load", models.JSONField(default=list)),
                ("water", models.JSONField(default=list)),
                (
                    "safety_role",
                    models.CharField(
                        choices=[
                            ("none", "nobody's safety"),
                            ("personal_safety", "the safety of people on board"),
                            ("watertightness", "keeping the water out"),
                            ("anchoring", "anchoring and mooring"),
                            ("rig", "the rig"),
                            ("steering", "the steering"),
                        ],
                        max_length=20,
                    ),
                ),
                ("hidden_by", models.JSONField(default=list)),
                ("look_first_at", models.JSONField(default=list)),
                ("usual_signs", models.JSONField(default=list)),
                ("recheck_months", models.PositiveSmallIntegerField()),
                ("open_up_months", models.PositiveSmallIntegerField()),
                ("basis", models.TextField(blank=True)),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "component classes",
                "ordering": ["name"],
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "code"), name="one_class_per_code"),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "safety_role__in",
                                ["none", "personal_safety", "watertightness", "anchoring", "rig", "steering"],
                            )
                        ),
                        name="class_safety_role_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("recheck_months__gte", 1), ("recheck_months__lte", 120)),
                            ("recheck_months__isnull", True),
                            _connector="OR",
                        ),
                        name="class_recheck_within_ten_years",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("open_up_months__gte", 1), ("open_up_months__lte", 240)),
                            ("open_up_months__isnull", True),
                            _connector="OR",
                        ),
                        name="class_open_up_within_twenty_years",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("open_up_months__gte", models.F("recheck_months"))),
                        name="class_looked_at_before_opened_up",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ClimateNormal",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("month", models.PositiveSmallIntegerField()),
                ("air_temperature_c", models.DecimalField(decimal_places=1, max_digits=4)),
                ("relative_humidity_pct", models.DecimalField(decimal_places=1, max_digits=4)),
                ("rain_days", models.DecimalField(decimal_places=1, max_digits=3)),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["month"],
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "month"), name="one_normal_per_month"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("month__gte", 1), ("month__lte", 12)),
                            ("month__isnull", True),
                            _connector="OR",
                        ),
                        name="climate_month_in_the_year",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("air_temperature_c__gte", -60), ("air_temperature_c__lte", 60)),
                            ("air_temperature_c__isnull", True),
                            _connector="OR",
                        ),
                        name="climate_temperature_on_earth",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("relative_humidity_pct__gte", 0), ("relative_humidity_pct__lte", 100)),
                            ("relative_humidity_pct__isnull", True),
                            _connector="OR",
                        ),
                        name="climate_humidity_is_a_percentage",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("rain_days__gte", 0), ("rain_days__lte", 31)),
                            ("rain_days__isnull", True),
                            _connector="OR",
                        ),
                        name="climate_rain_days_in_a_month",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Season",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("year", models.PositiveSmallIntegerField()),
                ("launch_on", models.DateField()),
                ("layup_on", models.DateField()),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["year"],
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "year"), name="one_season_per_year"),
                    models.CheckConstraint(
                        condition=models.Q(("layup_on__gt", models.F("launch_on"))), name="layup_after_launch"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="VatClass",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("code", models.CharField(max_length=40)),
                ("name", models.CharField(max_length=120)),
                (
                    "category",
                    models.CharField(
                        choices=[("S", "a rate, full or reduced"), ("Z", "zero rated"), ("E", "exempt")],
                        default="S",
                        max_length=2,
                    ),
                ),
                (
                    "for_work",
                    models.BooleanField(
                        default=False, help_text="the yard's work, and materials in no class, are in it"
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
                "verbose_name": "VAT class",
                "verbose_name_plural": "VAT classes",
                "ordering": ["code"],
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "code"), name="one_vat_class_per_code"),
                    models.UniqueConstraint(
                        condition=models.Q(("for_work", True)), fields=("yard",), name="one_vat_class_for_work"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("category__in", ["S", "Z", "E"])), name="vat_category_is_known"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Boat",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("name", models.CharField(max_length=120)),
                (
                    "build",
                    models.CharField(
                        choices=[
                            ("carvel", "carvel"),
                            ("clinker", "clinker"),
                            ("cold_moulded", "cold-moulded"),
                            ("plywood", "plywood"),
                            ("strip", "strip-planked"),
                            ("glassfibre", "glassfibre hull, wooden parts"),
                            ("metal", "metal hull, wooden parts"),
                        ],
                        max_length=20,
                    ),
                ),
                ("material", models.CharField(blank=True, max_length=120)),
                ("loa_mm", models.PositiveIntegerField(help_text="length over all")),
                ("beam_mm", models.PositiveIntegerField()),
                ("year", models.PositiveSmallIntegerField(blank=True, help_text="year built", null=True)),
                ("left_on", models.DateField(blank=True, null=True)),
                (
                    "decider_member",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="decides_on",
                        to="yard.member",
                    ),
                ),
                (
                    "decider_owner",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="decides_on",
                        to="yard.owner",
                    ),
                ),
                ("owners", models.ManyToManyField(blank=True, related_name="boats", to="yard.owner")),
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
                    models.UniqueConstraint(fields=("yard", "name"), name="one_boat_of_a_name"),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "build__in",
                                ["carvel", "clinker", "cold_moulded", "plywood", "strip", "glassfibre", "metal"],
                            )
                        ),
                        name="boat_build_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("loa_mm__gte", 1500), ("loa_mm__lte", 120000)),
                            ("loa_mm__isnull", True),
                            _connector="OR",
                        ),
                        name="boat_length_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("beam_mm__gte", 500), ("beam_mm__lte", 30000)),
                            ("beam_mm__isnull", True),
                            _connector="OR",
                        ),
                        name="boat_beam_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("year__gte", 1700), ("year__lte", 2200)),
                            ("year__isnull", True),
                            _connector="OR",
                        ),
                        name="boat_year_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("loa_mm__gt", models.F("beam_mm"))), name="boat_longer_than_wide"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("decider_member__isnull", True), ("decider_owner__isnull", False)),
                            models.Q(("decider_member__isnull", False), ("decider_owner__isnull", True)),
                            _connector="OR",
                        ),
                        name="boat_has_one_decider",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DeviceToken",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("device_name", models.CharField(max_length=80)),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("created_at", models.DateTimeField()),
                ("last_used_at", models.DateTimeField(blank=True, null=True)),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="device_tokens", to="yard.member"
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.yard"
                    ),
                ),
                ("shared", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["-created_at"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("digest__regex", "^[0-9a-f]{64}$")), name="device_token_is_a_digest"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="VatRate",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("rate_pct", models.DecimalField(decimal_places=2, max_digits=5)),
                ("valid_from", models.DateField()),
                (
                    "vat_class",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="rates", to="yard.vatclass"
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
                "verbose_name": "VAT rate",
                "ordering": ["valid_from"],
                "constraints": [
                    models.UniqueConstraint(fields=("vat_class", "valid_from"), name="one_vat_rate_from_a_day"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("rate_pct__gte", 0), ("rate_pct__lte", 100)),
                            ("rate_pct__isnull", True),
                            _connector="OR",
                        ),
                        name="vat_rate_is_a_percentage",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DeviceCode",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("device_name", models.CharField(blank=True, max_length=80)),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("created_at", models.DateTimeField()),
                ("expires_at", models.DateTimeField()),
                ("used_at", models.DateTimeField(blank=True, null=True)),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                (
                    "made_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="yard.member"
                    ),
                ),
                (
                    "token",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="yard.devicetoken",
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
                    models.CheckConstraint(
                        condition=models.Q(("digest__regex", "^[0-9a-f]{64}$")), name="device_code_is_a_digest"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("expires_at__gt", models.F("created_at"))),
                        name="device_code_is_good_for_a_time",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("token__isnull", True), ("used_at__isnull", True)),
                            models.Q(("token__isnull", False), ("used_at__isnull", False)),
                            _connector="OR",
                        ),
                        name="used_device_code_names_its_token",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("used_at__isnull", True), ("revoked_at__isnull", True), _connector="OR"
                        ),
                        name="device_code_is_used_or_revoked",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Surface",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("name", models.CharField(max_length=120)),
                ("area_m2", models.DecimalField(decimal_places=2, max_digits=8)),
                (
                    "finish",
                    models.CharField(
                        choices=[("varnish", "varnish"), ("oil", "oil"), ("paint", "paint"), ("bare", "left bare")],
                        max_length=20,
                    ),
                ),
                (
                    "exposure",
                    models.CharField(
                        choices=[
                            ("full_sun", "full sun"),
                            ("weather", "weather, but not the full sun"),
                            ("shaded", "shaded or under a cover"),
                            ("interior", "inside the boat"),
                            ("unknown", "exposure not known"),
                        ],
                        default="unknown",
                        max_length=20,
                    ),
                ),
                ("coat_every_months", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("strip_after_years", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("entered_at", models.DateTimeField()),
                (
                    "boat",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="surfaces", to="yard.boat"
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
                "ordering": ["name", "id"],
                "constraints": [
                    models.UniqueConstraint(fields=("boat", "name"), name="one_surface_of_a_name"),
                    models.CheckConstraint(
                        condition=models.Q(("area_m2__gt", 0), ("area_m2__lte", 10000)),
                        name="surface_area_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("finish__in", ["varnish", "oil", "paint", "bare"])),
                        name="surface_finish_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("exposure__in", ["full_sun", "weather", "shaded", "interior", "unknown"])
                        ),
                        name="surface_exposure_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("coat_every_months__gte", 1), ("coat_every_months__lte", 240)),
                            ("coat_every_months__isnull", True),
                            _connector="OR",
                        ),
                        name="surface_coat_within_twenty_years",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("strip_after_years__gte", 1), ("strip_after_years__lte", 60)),
                            ("strip_after_years__isnull", True),
                            _connector="OR",
                        ),
                        name="surface_strip_within_sixty_years",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Component",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("name", models.CharField(max_length=120)),
                ("position", models.CharField(blank=True, help_text="port side, frame 12", max_length=120)),
                ("species", models.CharField(blank=True, max_length=60)),
                ("finish", models.CharField(blank=True, max_length=60)),
                ("removed_on", models.DateField(blank=True, null=True)),
                (
                    "boat",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="components", to="yard.boat"
                    ),
                ),
                (
                    "component_class",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="components",
                        to="yard.componentclass",
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
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="components",
                        to="yard.surface",
                    ),
                ),
            ],
            options={
                "ordering": ["name", "position"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("boat", "name", "position"), name="one_component_of_a_name_and_position"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Spot",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=120)),
                ("tag", models.CharField(max_length=8)),
                ("plan_x", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("plan_y", models.PositiveSmallIntegerField(blank=True, null=True)),
                (
                    "level",
                    models.CharField(
                        choices=[("deck", "deck"), ("hull", "hull"), ("interior", "inside"), ("rig", "rig")],
                        default="deck",
                        max_length=20,
                    ),
                ),
                ("created_at", models.DateTimeField()),
                (
                    "component",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="spots", to="yard.component"
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
                "ordering": ["created_at"],
                "constraints": [
                    models.UniqueConstraint(fields=("yard", "tag"), name="one_spot_per_tag"),
                    models.CheckConstraint(
                        condition=models.Q(("tag__regex", "^[0-9A-Z]{8}$")), name="spot_tag_has_eight_characters"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("plan_x__gte", 0), ("plan_x__lte", 1000)),
                            ("plan_x__isnull", True),
                            _connector="OR",
                        ),
                        name="spot_within_the_length",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("plan_y__gte", 0), ("plan_y__lte", 1000)),
                            ("plan_y__isnull", True),
                            _connector="OR",
                        ),
                        name="spot_within_the_beam",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("level__in", ["deck", "hull", "interior", "rig"])),
                        name="spot_level_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("plan_x__isnull", True), ("plan_y__isnull", True)),
                            models.Q(("plan_x__isnull", False), ("plan_y__isnull", False)),
                            _connector="OR",
                        ),
                        name="spot_has_both_coordinates_or_none",
                    ),
                ],
            },
        ),
    ]
