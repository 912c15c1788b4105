"""`judge_cases`: put cases of the trade to judgement, and say where the two agree."""

from __future__ import annotations

import csv
import json
from argparse import ArgumentParser, ArgumentTypeError
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from inspections.judgement.facts import YardFacts
from inspections.judgement.rules import load_rules
from inspections.judgement.sensitivity import sensitivity
from inspections.judgement.trade_cases import Catalogue, TradeCase, agreement, catalogue_of, trade_case
from yard.refusals import Refused

CATALOGUE = Path(settings.FIXTURES_FOLDER) / "catalogue"
FIRST_YEAR, LAST_YEAR = 1900, 2200


class Command(BaseCommand):
    help = (
        "Judge the cases of a CSV file and print one JSON object: how many agree with the decision that the file "
        "expects, how many are at least acceptable, and which disagree, with the reasons."
    )
    requires_system_checks = ()
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="columns as in tests/reference/trade/judgement_cases.csv")
        parser.add_argument("--seen-on", type=_day, default=date(2027, 4, 1), help="day of the look (YYYY-MM-DD)")
        parser.add_argument("--launch-on", type=_day, default=None, help="default: the next 1 May")
        parser.add_argument("--layup-on", type=_day, default=None, help="default: the next 15 October")
        parser.add_argument("--scheffer-index", type=float, default=50.0, help="how much the climate favours decay")
        parser.add_argument("--durability-class", type=int, default=3, help="of the wood by EN 350, 1 to 5")
        parser.add_argument(
            "--sensitivity",
            action="store_true",
            help="halve and double each rate and multiplier in turn, and say which cases move",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        seen_on: date = options["seen_on"]
        launch_on = options["launch_on"] or _next(seen_on, 5, 1)
        layup_on = options["layup_on"] or _next(launch_on, 10, 15)
        try:
            yard = YardFacts(launch_on, layup_on, scheffer_index=options["scheffer_index"])
            cases = _cases(options["file"], seen_on, options["durability_class"])
        except Refused as refusal:
            raise CommandError(str(refusal)) from refusal
        told = agreement(cases, yard, load_rules())
        if options["sensitivity"]:
            told["sensitivity"] = sensitivity(cases, yard)
        self.stdout.write(json.dumps(told, indent=2, ensure_ascii=False))


def _cases(file: Path, seen_on: date, durability_class: int) -> list[TradeCase]:
    try:
        with file.open(encoding="utf-8-sig", newline="") as lines:
            reader = csv.DictReader(lines)
            columns = reader.fieldnames or ()
            rows = [row for row in reader if any((row[name] or "").strip() for name in columns)]
    except (OSError, UnicodeDecodeError, csv.Error) as trouble:
        raise CommandError(f"{file} can't be read: {trouble}") from trouble
    if "case_id" not in columns:
        raise CommandError(
            f"{file}: its first line names no column case_id; begin with the names of the columns, parted by commas"
        )
    catalogue = _catalogue()
    return [trade_case(row, catalogue, seen_on=seen_on, durability_class=durability_class) for row in rows]


def _catalogue() -> Catalogue:
    signs, classes = (
        json.loads((CATALOGUE / name).read_text(encoding="utf-8"))["items"]
        for name in ("signs.json", "component_classes.json")
    )
    return catalogue_of(signs, classes)


def _next(after: date, month: int, day: int) -> date:
    this_year = date(after.year, month, day)
    return this_year if this_year > after else date(after.year + 1, month, day)


def _day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError(f"{text!r} is no day; give it as 2027-04-01") from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ArgumentTypeError(f"{text} is too far off; give a year from {FIRST_YEAR} to {LAST_YEAR}")
    return day
