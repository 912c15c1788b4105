from typing import Any

import django.db.models.deletion
from django.db import migrations, models


def successors_of_before(apps: Any, schema_editor: Any) -> None:
    """A quote that was drawn up in the very moment in which another of its inspection was taken back replaces it."""
    Quote = apps.get_model("workshop", "Quote")
    taken_back = Quote.objects.filter(state="superseded", sent_at__isnull=False)
    for quote in taken_back.only("inspection_id", "ended_at", "number"):
        successor = (
            Quote.objects.filter(inspection=quote.inspection_id, created_at=quote.ended_at, number__gt=quote.number)
            .order_by("number")
            .first()
        )
        if successor is not None:  # one at the most: `replaces` is unique
            Quote.objects.filter(pk=successor.pk).update(replaces=quote.pk)


class Migration(migrations.Migration):
    dependencies = [
        ("workshop", "0011_calendars_and_weekly_mail"),
    ]

    operations = [
        migrations.AddField(
            model_name="quote",
            name="replaces",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="replaced_by",
                to="workshop.quote",
            ),
        ),
        migrations.RunPython(successors_of_before, migrations.RunPython.noop),
    ]
