"""Looking a first reading up in a boat's package as the contract tells a tablet to: by the JSON alone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

YES_NO = {True: "yes", False: "no", None: ""}


def looked_up(table: Mapping[str, Any], component: str, entry: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """The value for an entry's answers, or None: the yard will judge."""
    if component not in table["components"] or entry.get("load"):
        return None
    group = table["groups"][table["components"][component]]
    bucket = read_as(table, group, entry)
    if bucket is None:
        return None
    answers = {name: entry.get(name, "") for name in ("water", "seal", "moves", "trend")}
    answers = {name: table["same"][name].get(said, said) for name, said in answers.items()}
    answers |= {"path": YES_NO[entry.get("in_load_path")], "moisture": bucket}
    values = [one_sign(table, group, answers, code) for code in entry["signs"]]
    if None in values or (len(values) > 1 and set(entry["signs"]) & set(table["alone"])):
        return None
    told: list[Mapping[str, Any]] = [value for value in values if value is not None]
    holding = [value for value in told if not value["left"]] or told
    return min(holding, key=lambda value: int(value["rank"]))


def one_sign(
    table: Mapping[str, Any], group: Mapping[str, Any], answers: Mapping[str, str], code: str
) -> Mapping[str, Any] | None:
    said = {name for name, answer in answers.items() if answer}
    for number, plane in enumerate(group["planes"]):
        if not said <= {name for name, _ in plane}:
            continue
        sheet = group["signs"].get(code, [None] * len(group["planes"]))[number]
        index = 0
        for name, words in plane:
            if answers[name] not in words:
                return None
            index = index * len(words) + words.index(answers[name])
        character = " " if sheet is None else table["sheets"][sheet][index]
        value: Mapping[str, Any] | None = table["values"].get(character)
        return value
    return None


def read_as(table: Mapping[str, Any], group: Mapping[str, Any], entry: Mapping[str, Any]) -> str | None:
    """What the meter tells; empty where nothing was read, None where the table can't say."""
    readings = [(row["quantity"], float(row["value"]), row.get("wood_temperature_c")) for row in entry["readings"]]
    here = [row for row in readings if row[0] == "moisture"]
    beside = [value for quantity, value, _ in readings if quantity == "moisture_beside"]
    if not here:
        return ""
    (_, high, wood_c), told = max(here, key=lambda row: row[1]), table["beside"]
    if beside:
        apart = high - min(beside)
        if apart >= told["contrast_points"]:
            return (
                "soaking_wetter"
                if high >= told["soaking_pct"]
                else ("wet_wetter" if high >= told["wet_pct"] else "wetter")
            )
        if apart <= told["same_points"]:
            return "soaking_same" if high >= told["soaking_pct"] else "same"
        return None if high >= told["soaking_pct"] else "between"
    if high >= told["soaking_pct"]:
        return "soaking"
    month = str(int(entry["observed_at"][5:7]))
    steps = group.get("meter", {}).get(month, {}).get("" if wood_c is None else str(wood_c))
    if steps is None:
        return None
    damp_from, wet_from = steps
    return "wet" if wet_from is not None and high >= wet_from else "damp" if high >= damp_from else "dry"
