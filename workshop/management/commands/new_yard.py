"""A new yard with its first manager and its own copy of the stock catalogue."""

from __future__ import annotations

import argparse
import getpass
import os
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from workshop.services.new_yard import catalogue_load
from yard.refusals import Refused
from yard.services.people import member_create
from yard.services.yards import hourly_rate_set, season_set, yard_create

PASSWORD_VARIABLE = "NEW_YARD_PASSWORD"  # noqa: S105 - a variable's name


class Command(BaseCommand):
    help = (
        "Makes a yard, its first manager (who then makes the rest on the pages and through the API) and its first "
        f"season, and loads the stock catalogue. The password is asked for, or read from {PASSWORD_VARIABLE}."
    )

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("name", help="of the yard")
        parser.add_argument("--manager", required=True, metavar="USERNAME", help="log-in of the first manager")
        parser.add_argument("--manager-name", required=True, help="as the yard's people call them")
        parser.add_argument("--time-zone", required=True, help="IANA name, for example Europe/Lisbon")
        parser.add_argument("--currency", required=True, help="ISO 4217, for example EUR")
        parser.add_argument("--vat", required=True, type=decimal, help="VAT in per cent")
        parser.add_argument("--hourly-rate", required=True, type=decimal, help="of a shipwright, net")
        parser.add_argument("--launch", required=True, type=day, help="when the boats go in, YYYY-MM-DD")
        parser.add_argument("--lay-up", required=True, type=day, help="when they come out, YYYY-MM-DD")
        parser.add_argument("--mail-from", default="", help="address that owners' mails come from")

    def handle(self, *args: Any, **options: Any) -> None:
        password = os.environ.get(PASSWORD_VARIABLE) or getpass.getpass(f"Password for {options['manager']}: ")
        now = timezone.now()
        try:
            with transaction.atomic():
                yard = yard_create(
                    name=options["name"],
                    time_zone=options["time_zone"],
                    currency=options["currency"],
                    vat_rate_pct=options["vat"],
                    mail_from=options["mail_from"],
                )
                launch_on: date = options["launch"]
                season_set(yard=yard, year=launch_on.year, launch_on=launch_on, layup_on=options["lay_up"], at=now)
                hourly_rate_set(yard=yard, amount=options["hourly_rate"], at=now)
                member_create(
                    yard=yard,
                    username=options["manager"],
                    password=password,
                    name=options["manager_name"],
                    role="manager",
                )
                catalogue_load(yard=yard, at=now)
        except Refused as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(f"{yard.name} is there, with the stock catalogue. Sign in as {options['manager']}.")


def decimal(text: str) -> Decimal:
    try:
        return Decimal(text)
    except InvalidOperation as error:
        raise argparse.ArgumentTypeError(f"{text!r} is no number; write 25 or 64.50") from error


def day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{text!r} is no day; write YYYY-MM-DD") from error
