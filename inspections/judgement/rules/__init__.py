"""The rule data: tables with their sources, in one file that a yard can lay its own figures over."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from copy import deepcopy
from enum import Enum
from functools import lru_cache
from pathlib import Path
from typing import Any

from inspections.judgement.rules.tables import Rules, tables_of
from yard.refusals import Refused

DEFAULT_RULES = Path(__file__).with_name("rules_2.json")


def load_rules(path: Path | str | None = None, overrides: Mapping[str, Any] | None = None) -> Rules:
    """The rules of a file, with a yard's own figures laid over them.

    Loaded once per file and overrides. Overrides carry the structure of the file: tables are merged key by key,
    lists and single values take the place of what stood there. The version then ends in `+` and a digest of them.

    Args:
        path: a rule file; the stock rules where none is given.
        overrides: the yard's own figures; empty for none.

    Raises:
        Refused: an override names what the rules do not know, or a table makes no sense.
    """
    laid_over = json.dumps(overrides, sort_keys=True, default=str) if overrides else ""
    return _load(str(path or DEFAULT_RULES), laid_over)


@lru_cache(maxsize=1024)
def _load(path: str, laid_over: str) -> Rules:
    data: dict[str, Any] = json.loads(Path(path).read_text(encoding="utf-8"))
    if laid_over:
        data = deepcopy(data)
        _lay_over(data, json.loads(laid_over), "rules")
        data["version"] = f"{data['version']}+{hashlib.sha256(laid_over.encode()).hexdigest()[:8]}"
    try:
        return tables_of(data)
    except (AttributeError, KeyError, TypeError, ValueError) as trouble:
        if not laid_over:
            raise
        # Something within a list, or in a table where a yard may name what it likes, is of the wrong kind.
        raise Refused(
            "rules", f"something is of the wrong kind ({trouble!r})", "give it as the stock rules do"
        ) from None


# Here a yard may name what the stock rules leave out: a sign, a role, an exposure of its own.
OPEN_TABLES = frozenset(
    {
        "rules.signs.conclusive",
        "rules.signs.multipliers",
        "rules.severity.graver_in_water",
        "rules.severity.loss_by_class",
        "rules.follows",
    }
)


def _lay_over(data: dict[str, Any], overrides: Mapping[str, Any], where: str) -> None:
    for name, value in overrides.items():
        field = f"{where}.{name}"
        if field == "rules.version":
            raise Refused(field, "the version belongs to the rules", "leave it out; overrides are told by a digest")
        if name not in data:
            if where not in OPEN_TABLES:
                raise Refused(field, "the rules know nothing of that name", f"give one of: {', '.join(data)}")
            data[name] = value
        elif isinstance(data[name], dict):
            if not isinstance(value, Mapping):
                raise Refused(field, f"{value!r} can't take the place of a table", "give a table")
            _lay_over(data[name], value, field)
        elif _kind(value) is not _kind(data[name]):
            raise Refused(field, f"{value!r} is no {_kind(data[name]).value}", f"give a {_kind(data[name]).value}")
        else:
            data[name] = value


class Kind(Enum):
    """What a value of the rule data is."""

    FIGURE = "figure"
    WORD = "word"
    TRUTH = "true or false"
    LIST = "list"
    TABLE = "table"


def _kind(value: object) -> Kind:
    match value:
        case bool():
            return Kind.TRUTH
        case int() | float():
            return Kind.FIGURE
        case str():
            return Kind.WORD
        case list() | tuple():
            return Kind.LIST
    return Kind.TABLE


__all__ = ["DEFAULT_RULES", "Rules", "load_rules"]
