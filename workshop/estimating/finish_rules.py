"""How long a finish lasts, and what an operation does to one: the rule data beside this module, read."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from yard.refusals import Refused
from yard.vocabulary import Exposure, Finish, Labelled

FILE: Final = Path(__file__).with_name("finish_rules.json")


class Deed(Labelled):
    """What can be done to a finished surface."""

    STRIPPED = "stripped", "stripped to bare wood"
    STAINED = "stained", "stained"
    COATED = "coated", "coated all over"
    PATCHED = "patched", "patched"


@dataclass(frozen=True, slots=True)
class FinishRule:
    """When a finish wants a coat, and when it has had its time. None where that never comes.

    Args:
        coat_every_months: from one full coat to the next [months], 1 to 240.
        strip_after_years: from one strip to the next [years], 1 to 60.
        strip_at_patched_pct: share of the surface that may be patches [%], 1 to 100.

    Raises:
        Refused: a figure outside its range.
    """

    coat_every_months: int | None
    strip_after_years: int | None
    strip_at_patched_pct: int | None

    def __post_init__(self) -> None:
        for field, value, most in (
            ("coat_every_months", self.coat_every_months, 240),
            ("strip_after_years", self.strip_after_years, 60),
            ("strip_at_patched_pct", self.strip_at_patched_pct, 100),
        ):
            if value is not None and not 1 <= value <= most:
                raise Refused(field, f"is {value}", f"give a whole number from 1 to {most}, or nothing")


@dataclass(frozen=True, slots=True)
class WholeDeed:
    """What an operation does when it is done on a whole surface. `coats` is None where it follows the quantity."""

    deed: Deed
    coats: int | None
    product: str


@dataclass(frozen=True, slots=True)
class FinishWorkRule:
    """What an operation does to a finish: the patch a unit leaves at a finding [m²], its deeds on a whole one."""

    patch_m2_per_unit: Decimal | None
    whole: tuple[WholeDeed, ...]


@dataclass(frozen=True, slots=True)
class FinishRules:
    """All of it. `strip_by` names the operation that strips a finish and builds it up again."""

    version: str
    strip_within_months: int
    rows: Mapping[tuple[Finish, Exposure], FinishRule]
    strip_by: Mapping[Finish, str]
    treatments: Mapping[str, FinishWorkRule]

    def of(self, finish: Finish, exposure: Exposure) -> FinishRule:
        """The rule for a surface; an exposure that nobody knows counts as the full sun."""
        return self.rows[finish, Exposure.FULL_SUN if exposure is Exposure.UNKNOWN else exposure]


@lru_cache(maxsize=1)
def finish_rules() -> FinishRules:
    """The rule data of the house."""
    data: dict[str, Any] = json.loads(FILE.read_text(encoding="utf-8"))
    return FinishRules(
        version=data["version"],
        strip_within_months=data["strip_within_months"],
        rows={
            (Finish(row["finish"]), Exposure(row["exposure"])): FinishRule(
                row["coat_every_months"], row["strip_after_years"], row["strip_at_patched_pct"]
            )
            for row in data["rows"]
        },
        strip_by={Finish(finish): code for finish, code in data["strip_by"].items()},
        treatments={code: _work_rule(row) for code, row in data["treatments"].items()},
    )


def _work_rule(row: Mapping[str, Any]) -> FinishWorkRule:
    patch = row["patch_m2_per_unit"]
    return FinishWorkRule(
        patch_m2_per_unit=None if patch is None else Decimal(patch),
        whole=tuple(_whole_deed(each) for each in row["whole"]),
    )


def _whole_deed(row: Mapping[str, Any]) -> WholeDeed:
    return WholeDeed(Deed(row["deed"]), row.get("coats"), row.get("product", ""))


__all__ = ["Deed", "FinishRule", "FinishRules", "FinishWorkRule", "WholeDeed", "finish_rules"]
