from django.db import migrations


class Migration(migrations.Migration):
    # apart from the one that copies the rates: PostgreSQL alters no table whose rows have just been changed
    dependencies = [
        ("workshop", "0008_materials_point_to_a_vat_class"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="material",
            name="material_vat_is_a_percentage",
        ),
        migrations.RemoveField(
            model_name="material",
            name="vat_rate_pct",
        ),
    ]
