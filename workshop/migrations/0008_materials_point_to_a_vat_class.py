from datetime import date
from typing import Any

import django.db.models.deletion
from django.db import migrations, models

# Long before anything was quoted: the rate has always held.
ALWAYS = date(2000, 1, 1)


def classes_of_rates(apps: Any, schema_editor: Any) -> None:
    """A rate that stood at a material becomes a class of the yard's, one for each rate."""
    Material = apps.get_model("workshop", "Material")
    VatClass = apps.get_model("yard", "VatClass")
    VatRate = apps.get_model("yard", "VatRate")
    rates = Material.objects.exclude(vat_rate_pct=None).order_by("yard", "vat_rate_pct")
    for yard, rate in rates.values_list("yard", "vat_rate_pct").distinct():
        told = f"{rate.normalize():f}"
        vat_class, new = VatClass.objects.get_or_create(
            yard_id=yard,
            code=f"vat_{told.replace('.', '_')}",
            defaults={"name": f"VAT {told} %", "category": "S" if rate > 0 else "Z"},
        )
        if new:
            VatRate.objects.create(yard_id=yard, vat_class=vat_class, rate_pct=rate, valid_from=ALWAYS)
        Material.objects.filter(yard=yard, vat_rate_pct=rate).update(vat_class=vat_class)


class Migration(migrations.Migration):
    dependencies = [
        ("workshop", "0007_surface_history_and_area_jobs"),
        ("yard", "0005_vat_classes"),
    ]

    operations = [
        migrations.AddField(
            model_name="material",
            name="vat_class",
            field=models.ForeignKey(
                blank=True,
                help_text="empty: that of the yard's work",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="materials",
                to="yard.vatclass",
            ),
        ),
        migrations.RunPython(classes_of_rates, migrations.RunPython.noop),
    ]
