"""Bring the message files in line with the code: for whoever has written or changed words for owners."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from yard.message_files import every_file, untranslated


class Command(BaseCommand):
    """Collect the messages, keep their translations, compile them, and say what has none yet."""

    help = "Collect the messages of pages, mails and reports for owners, and compile their translations."

    def handle(self, *args: Any, **options: Any) -> None:
        """Update every file and name what is missing."""
        for file in every_file():
            missing = untranslated(file.update())
            self.stdout.write(f"{file.po}: {len(missing)} without a translation")
            for message in missing:
                self.stdout.write(f"  {message}")
