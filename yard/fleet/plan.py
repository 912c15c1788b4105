"""What taking the sheets in would do: each row's fate, reckoned from the rows and from what the yard has."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Final, Literal, TypeVar

from yard.fleet.columns import BOATS, COMPONENTS, MANAGER, OWNERS, Empty, SheetKind, Value, value_text
from yard.fleet.reading import Row, Table
from yard.refusals import Refused
from yard.services.boats import BOAT, proportions_check
from yard.services.changes import COMPONENT, OWNER

T = TypeVar("T")
Complete = Callable[[Row, "Record | None"], None]
Fate = Literal["new", "changed", "unchanged", "refused"]
NEW_OWNERS_LOCALE: Final = "en_GB"


@dataclass(frozen=True, slots=True)
class Record:
    """What the yard has of a row: its key, and its values by column. `gone`: a part that was taken off."""

    pk: int
    values: Mapping[str, Any]
    gone: bool = False


@dataclass(frozen=True, slots=True)
class Stored:
    """What the yard has: owners, boats and components, its component classes and managers by their log-in."""

    owners: tuple[Record, ...]
    boats: tuple[Record, ...]
    components: tuple[Record, ...]
    classes: Mapping[str, int]
    managers: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Change:
    """A cell of the row, what stands there now and what would. A new row has nothing before."""

    column: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class CellRefusal:
    """A cell that can't be taken in, what is wrong and what would do."""

    cell: str
    column: str
    problem: str
    remedy: str


@dataclass(frozen=True, slots=True)
class PlannedRow:
    """A row with its fate. `pk` is that of what the yard has already."""

    kind: SheetKind
    title: str
    number: int
    told: str
    fate: Fate
    changes: tuple[Change, ...]
    refusals: tuple[CellRefusal, ...]
    values: Mapping[str, Value]
    pk: int | None


@dataclass(frozen=True, slots=True)
class Plan:
    rows: tuple[PlannedRow, ...]

    def of(self, fate: Fate) -> list[PlannedRow]:
        return [row for row in self.rows if row.fate == fate]

    @property
    def does_something(self) -> bool:
        return any(row.fate in ("new", "changed") for row in self.rows)

    @property
    def digest(self) -> str:
        """Of all that would be done: the same plan has the same, and what the yard has now is part of it."""
        told = [
            [row.kind.name, row.number, row.fate, row.pk, row.told]
            + [[change.column, change.before, change.after] for change in row.changes]
            for row in self.rows
        ]
        return hashlib.sha256(json.dumps(told).encode()).hexdigest()


def fleet_plan(tables: Iterable[Table], stored: Stored) -> Plan:
    """Each row's fate. Nothing is done, and nothing is asked for but what is given."""
    by_kind = {table.kind.name: table.rows for table in tables}
    owners = Known(stored.owners, ("email",))
    boats = Known(stored.boats, ("name",))
    parts = Known(stored.components, ("boat", "name", "position"), fold=("boat",))
    planned = [_planned(row, owners, OWNER, _owner) for row in by_kind.get(OWNERS.name, ())]
    planned += [
        _planned(row, boats, BOAT, lambda row, record: _boat(row, record, owners, stored.managers))
        for row in by_kind.get(BOATS.name, ())
    ]
    planned += [
        _planned(row, parts, COMPONENT, lambda row, record: _component(row, record, boats, stored.classes))
        for row in by_kind.get(COMPONENTS.name, ())
    ]
    return Plan(tuple(planned))


class Known:
    """What is known by a key: what the yard has, and the rows before. Columns in `fold` are alike in capitals."""

    def __init__(
        self, records: Iterable[Record], key: tuple[str, ...], fold: tuple[str, ...] | None = None
    ) -> None:
        self.key = key
        self.fold = key if fold is None else fold
        self.rows: dict[tuple[str, ...], Row] = {}
        self._exact: dict[tuple[str, ...], Record] = {}
        self._folded: dict[tuple[str, ...], list[Record]] = {}
        for record in records:
            self._exact[self._texts(record.values)] = record
            self._folded.setdefault(self.folded(record.values), []).append(record)

    def record(self, values: Mapping[str, Any]) -> Record | None:
        """What the yard has of this key.

        Raises:
            Refused: two have it but for their capitals.
        """
        exact = self._exact.get(self._texts(values))
        alike = self._folded.get(self.folded(values), [])
        if exact is None and len(alike) > 1:
            names = " and ".join(value_text(each.values[self.key[0]]) for each in alike)
            raise Refused(self.key[0], f"could be {names}", "write it with the same capitals")
        return exact or (alike[0] if alike else None)

    def named(self, text: str) -> str | None:
        """The one-column key as the yard has it, or as a row before has it; None where neither has."""
        values = {self.key[0]: text}
        record = self.record(values)
        if record is not None:
            return str(record.values[self.key[0]])
        row = self.rows.get(self.folded(values))
        return None if row is None else str(row.values[self.key[0]])

    def folded(self, values: Mapping[str, Any]) -> tuple[str, ...]:
        texts = zip(self.key, self._texts(values), strict=True)
        return tuple(text.casefold() if column in self.fold else text for column, text in texts)

    def _texts(self, values: Mapping[str, Any]) -> tuple[str, ...]:
        return tuple(value_text(values.get(column) or "") for column in self.key)


def _planned(row: Row, known: Known, checks: Mapping[str, Callable[[Any], Any]], complete: Complete) -> PlannedRow:
    row = replace(row, values=dict(row.values), refusals=list(row.refusals))
    for column in row.values.keys() & checks.keys():
        row.values[column] = _try(row, partial(checks[column], row.values[column]), row.values[column])
    record = None
    if all(column in row.values or column == "position" for column in known.key):
        record = _try(row, lambda: known.record(row.values), None)
        first = known.rows.setdefault(known.folded(row.values), row)
        if first is not row:
            by = "name" if "name" in known.key else "email"
            row.refuse(Refused(by, f"stands in row {first.number} already", "leave one of them out"))
    if record is not None:
        # Rows are found by these; how they are written there stays.
        row.values.update({column: record.values[column] for column in known.key if column in record.values})
    else:
        for needed in row.kind.columns:
            if needed.name not in row.letters and needed.empty is Empty.REFUSED:
                row.refuse(Refused(needed.name, "is missing for a new one", f"add the column {needed.name}"))
    complete(row, record)
    changes = tuple(_changes(row, record))
    fate: Fate = "refused" if row.refusals else "new" if record is None else "changed" if changes else "unchanged"
    places = {column.name: place for place, column in enumerate(row.kind.columns)}
    refusals = tuple(
        CellRefusal(row.cell(refusal.field), refusal.field, refusal.problem, refusal.remedy)
        for refusal in sorted(row.refusals, key=lambda each: places.get(each.field, -1))
    )
    told = ", ".join(text for text in (value_text(row.values.get(column)) for column in known.key) if text)
    pk = None if record is None else record.pk
    return PlannedRow(row.kind, row.title, row.number, told, fate, changes, refusals, dict(row.values), pk)


def _changes(row: Row, record: Record | None) -> Iterable[Change]:
    for column in row.kind.columns:
        if column.name not in row.values:
            continue
        after = value_text(row.values[column.name])
        before = "" if record is None else value_text(record.values[column.name])
        if before != after and not (record is None and column.known_by):
            yield Change(column.name, before, after)


def _try(row: Row, do: Callable[[], T], otherwise: T) -> T:
    try:
        return do()
    except Refused as refusal:
        row.refusals.extend(refusal.refusals)
        return otherwise


def _owner(row: Row, record: Record | None) -> None:
    if record is None:
        row.values.setdefault("locale", NEW_OWNERS_LOCALE)


def _boat(row: Row, record: Record | None, owners: Known, managers: Mapping[str, int]) -> None:
    values = row.values
    before: Mapping[str, Any] = {} if record is None else record.values
    _try(row, lambda: _proportions({**before, **values}), None)
    if "owners" in values:
        nobody: tuple[str, ...] = ()
        values["owners"] = _try(row, lambda: _addresses(values["owners"], owners), nobody)
    hers: Any = values.get("owners", before.get("owners", ()))
    if record is None and "decider" not in values and len(hers) == 1:
        values["decider"] = hers[0]
    if any(refusal.field == "owners" for refusal in row.refusals):
        return
    _try(row, lambda: _decider(values, before, hers, owners, managers), None)


def _proportions(values: Mapping[str, Any]) -> None:
    if isinstance(values.get("loa_mm"), int) and isinstance(values.get("beam_mm"), int):
        proportions_check(values["loa_mm"], values["beam_mm"])


def _addresses(asked: Any, owners: Known) -> tuple[str, ...]:
    found = {address: owners.named(address) for address in asked}
    if unknown := [address for address, named in found.items() if named is None]:
        remedy = "enter them on the sheet of owners as well"
        raise Refused("owners", f"{', '.join(unknown)[:200]}: no owner of this yard", remedy)
    return tuple(sorted({str(named) for named in found.values()}))


def _decider(
    values: dict[str, Value], before: Mapping[str, Any], hers: Any, owners: Known, managers: Mapping[str, int]
) -> None:
    decider = value_text(values.get("decider", before.get("decider", "")))
    if not decider:
        problem = "is missing, and she has not one owner alone"
        raise Refused("decider", problem, f"give one of her owners' e-mail, or {MANAGER} and a manager's log-in")
    if decider.lower().startswith(MANAGER):
        login = decider[len(MANAGER) :].strip()
        # Who decides on her already may have become something else meanwhile; a service would refuse it as well.
        if login not in managers:
            raise Refused("decider", f"is no manager of this yard: {login!r}", "give the log-in of one who is")
        decider = f"{MANAGER}{login}"
    else:
        named = owners.named(decider)
        if named is None or named not in hers:
            raise Refused("decider", f"{decider} is not among her owners", "take one of her owners")
        decider = named
    if "decider" in values:
        values["decider"] = decider


def _component(row: Row, record: Record | None, boats: Known, classes: Mapping[str, int]) -> None:
    values = row.values
    if "boat" in values:
        boat = _try(row, lambda: boats.named(value_text(values["boat"])), None)
        if boat is not None:
            values["boat"] = boat
        elif not any(refusal.field == "boat" for refusal in row.refusals):
            row.refuse(Refused("boat", "is none of this yard", "enter her on the sheet of boats as well"))
    code = values.get("class")
    if code is not None and code not in classes:
        remedy = "take a code of the yard's classes; the export has those in use"
        row.refuse(Refused("class", f"is no class of this yard: {code!r}", remedy))
    elif record is not None and code is not None and code != record.values["class"]:
        problem = f"is {record.values['class']} until now, and a part can't become another"
        row.refuse(Refused("class", problem, "take the part off, and enter the new one under another name"))
    if record is not None and record.gone:
        row.refuse(Refused("name", "was taken off her", "give a name or position that tells the two apart"))


__all__ = ["CellRefusal", "Change", "Plan", "PlannedRow", "Record", "Stored", "fleet_plan"]
