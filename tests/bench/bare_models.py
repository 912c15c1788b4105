"""Copies of the tables that a batch writes to: the same columns, without foreign keys, constraints or triggers."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from inspections.models import Entry, EntryPhoto, Finding, Reading
from yard.models import OutboxRow, Spot

COPIED: tuple[type[models.Model], ...] = (Spot, Entry, Reading, EntryPhoto, Finding, OutboxRow)


def _plain(model: type[models.Model]) -> type[models.Model]:
    columns: dict[str, Any] = {}
    for field in model._meta.fields:
        if isinstance(field, models.ForeignKey):
            # Named as the key of the row it points to, so that the same words fill both tables.
            kind = (
                models.UUIDField
                if field.target_field.get_internal_type() == "UUIDField"
                else models.BigIntegerField
            )
            columns[field.attname] = kind(null=field.null)
        else:
            copy = field.clone()
            vars(copy).update(db_index=False, _unique=False)  # a bare table has neither
            columns[field.attname] = copy
    meta = type("Meta", (), {"app_label": "bare", "db_table": f"bare_{model._meta.model_name}"})
    return type(f"Bare{model.__name__}", (models.Model,), {**columns, "__module__": __name__, "Meta": meta})


PLAIN: dict[type[models.Model], type[models.Model]] = {model: _plain(model) for model in COPIED}


def tables_make(editor: BaseDatabaseSchemaEditor) -> None:
    for plain in PLAIN.values():
        editor.create_model(plain)


def tables_drop(editor: BaseDatabaseSchemaEditor) -> None:
    for plain in PLAIN.values():
        editor.delete_model(plain)


__all__ = ["PLAIN", "tables_drop", "tables_make"]
