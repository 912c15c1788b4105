"""Rules that a column constraint cannot state, kept in the database as triggers on both engines.

A model lists its rules beside its constraints:

    class Entry(YardOwned):
        database_rules = (AppendOnly(), SameYard("inspection"))

Every `migrate` takes all triggers down first and puts them up again afterwards (see `yard.apps`): SQLite
rebuilds a table to alter it, which drops its triggers and trips over those of other tables.
A broken rule reaches Python as `django.db.IntegrityError`, like any other constraint.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

from django.apps import AppConfig
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper

PREFIX = "faying_"

POSTGRES_FUNCTIONS = """
CREATE OR REPLACE FUNCTION faying_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'check_violation', CONSTRAINT = TG_NAME;
END $$;
"""

# One function a reference, with the tables' names written into it: the server plans its query once a connection,
# where a function for all of them would have to plan it for each row of a batch.
POSTGRES_SAME_YARD = """
CREATE OR REPLACE FUNCTION "{name}"() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE parent_yard bigint;
BEGIN
    SELECT yard_id INTO parent_yard FROM "{parent}" WHERE "{key}" = NEW."{column}";
    IF parent_yard IS DISTINCT FROM NEW.yard_id THEN
        RAISE EXCEPTION 'the {column} belongs to another yard'
            USING ERRCODE = 'check_violation', CONSTRAINT = TG_NAME;
    END IF;
    RETURN NEW;
END $$;
"""


class Rule(Protocol):
    def statements(self, model: type[models.Model], vendor: str) -> Iterator[str]: ...


def _trigger_name(model: type[models.Model], what: str) -> str:
    # PostgreSQL cuts names at 63 characters.
    return f"{PREFIX}{model._meta.db_table}_{what}"[:63]


def _column(model: type[models.Model], field_name: str) -> str:
    field = model._meta.get_field(field_name)
    assert isinstance(field, models.Field)
    assert field.column is not None
    return field.column


@dataclass(frozen=True)
class AppendOnly:
    """A row is written once and never changed."""

    def statements(self, model: type[models.Model], vendor: str) -> Iterator[str]:
        table, name = model._meta.db_table, _trigger_name(model, "append_only")
        message = f"{model._meta.verbose_name} is never changed; a later one supersedes it"
        if vendor == "postgresql":
            yield (
                f'CREATE OR REPLACE TRIGGER "{name}" BEFORE UPDATE ON "{table}" FOR EACH ROW '
                f"EXECUTE FUNCTION faying_refuse('{message}')"
            )
        else:
            yield (
                f'CREATE TRIGGER IF NOT EXISTS "{name}" BEFORE UPDATE ON "{table}" FOR EACH ROW '
                f"BEGIN SELECT RAISE(ABORT, '{message}'); END"
            )


@dataclass(frozen=True)
class FrozenOnce:
    """Once the field `since` is filled, the named fields (and `since` itself) keep their values."""

    since: str
    fields: Sequence[str]

    def statements(self, model: type[models.Model], vendor: str) -> Iterator[str]:
        table, name = model._meta.db_table, _trigger_name(model, f"frozen_{self.since}")
        since = _column(model, self.since)
        columns = [_column(model, field) for field in (*self.fields, self.since)]
        differs = "IS DISTINCT FROM" if vendor == "postgresql" else "IS NOT"
        changed = " OR ".join(f'OLD."{column}" {differs} NEW."{column}"' for column in columns)
        when = f'OLD."{since}" IS NOT NULL AND ({changed})'
        message = f"{model._meta.verbose_name} is frozen since it has a {self.since}"
        if vendor == "postgresql":
            yield (
                f'CREATE OR REPLACE TRIGGER "{name}" BEFORE UPDATE ON "{table}" FOR EACH ROW '
                f"WHEN ({when}) EXECUTE FUNCTION faying_refuse('{message}')"
            )
        else:
            yield (
                f'CREATE TRIGGER IF NOT EXISTS "{name}" BEFORE UPDATE ON "{table}" FOR EACH ROW '
                f"WHEN {when} BEGIN SELECT RAISE(ABORT, '{message}'); END"
            )


@dataclass(frozen=True)
class SameYard:
    """What the foreign key points to belongs to the row's own yard."""

    field: str

    def statements(self, model: type[models.Model], vendor: str) -> Iterator[str]:
        table = model._meta.db_table
        field = model._meta.get_field(self.field)
        assert isinstance(field, models.ForeignKey)
        column, parent = field.column, field.related_model._meta
        key = parent.pk.column
        if vendor == "postgresql":
            name = _trigger_name(model, f"same_yard_{self.field}")
            yield POSTGRES_SAME_YARD.format(name=name, parent=parent.db_table, key=key, column=column)
            yield (
                f'CREATE OR REPLACE TRIGGER "{name}" BEFORE INSERT OR UPDATE ON "{table}" FOR EACH ROW '
                f'WHEN (NEW."{column}" IS NOT NULL) EXECUTE FUNCTION "{name}"()'
            )
            return
        for event in ("INSERT", "UPDATE"):
            name = _trigger_name(model, f"same_yard_{self.field}_{event.lower()}")
            yield (  # names from the models, nothing from a request
                f'CREATE TRIGGER IF NOT EXISTS "{name}" BEFORE {event} ON "{table}" FOR EACH ROW '  # noqa: S608
                f'WHEN NEW."{column}" IS NOT NULL AND (SELECT yard_id FROM "{parent.db_table}" '
                f'WHERE "{key}" = NEW."{column}") IS NOT NEW.yard_id '
                f"BEGIN SELECT RAISE(ABORT, 'the {column} belongs to another yard'); END"
            )


def rules_of(model: type[models.Model]) -> tuple[Rule, ...]:
    return tuple(getattr(model, "database_rules", ()))


def put_up(app_config: AppConfig, connection: BaseDatabaseWrapper) -> None:
    """Create the triggers of one app's models; those that stand already are left or replaced."""
    ruled = [model for model in app_config.get_models() if rules_of(model)]
    tables = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if ruled and connection.vendor == "postgresql":
            cursor.execute(POSTGRES_FUNCTIONS)
        for model in ruled:
            if model._meta.db_table not in tables:
                continue
            for rule in rules_of(model):
                for statement in rule.statements(model, connection.vendor):
                    cursor.execute(statement)


def take_down(connection: BaseDatabaseWrapper) -> None:
    """Drop every trigger of ours and what it calls, so that migrations may alter tables freely."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT tgname, relname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid "
                "WHERE tgname LIKE %s AND NOT tgisinternal",
                [PREFIX + "%"],
            )
            for name, table in cursor.fetchall():
                cursor.execute(f'DROP TRIGGER "{name}" ON "{table}"')
            cursor.execute(
                "SELECT proname FROM pg_proc "
                "WHERE proname LIKE %s AND pronamespace = current_schema()::regnamespace",
                [PREFIX + "%"],
            )
            for (name,) in cursor.fetchall():
                cursor.execute(f'DROP FUNCTION "{name}"')
        else:
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' AND name LIKE %s", [PREFIX + "%"])
            for (name,) in cursor.fetchall():
                cursor.execute(f'DROP TRIGGER "{name}"')
