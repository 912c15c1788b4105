"""The messages of the owner's pages, mails and reports, and the files that hold them in other languages.

A floor that speaks to owners has `locale/<language>/LC_MESSAGES/django.po`, which people edit, and beside it the
`.mo` that Django reads. Both are made with Babel: `manage.py messages` brings them in line with the code.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

PROJECT: Final = Path(__file__).parents[1]
FLOORS: Final = ("workshop", "web")
TRANSLATED: Final = ("de",)
TEMPLATES: Final = frozenset({".html", ".txt", ".css", ".svg"})
KEYWORDS: Final = {
    "_": None,
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "pgettext": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
}
ABOUT: Final = "# For the owners of boats: plain, polite, in the words of the trade.\n#"
MADE: Final = datetime(2027, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class MessageFile:
    """The messages of one floor in one language."""

    floor: str
    language: str

    @property
    def po(self) -> Path:
        return PROJECT / self.floor / "locale" / self.language / "LC_MESSAGES" / "django.po"

    @property
    def mo(self) -> Path:
        return self.po.with_suffix(".mo")

    def read(self) -> Catalog:
        """What is there; empty where nothing is yet."""
        if not self.po.exists():
            return Catalog(locale=self.language)
        with self.po.open("rb") as file:
            return read_po(file, locale=self.language)

    def update(self) -> Catalog:
        """Bring both files in line with the code. What is new has no translation yet; what is gone is left out."""
        catalogue = self.read()
        catalogue.update(messages_of(self.floor), no_fuzzy_matching=True)
        catalogue.obsolete.clear()
        catalogue.header_comment, catalogue.fuzzy = ABOUT, False
        catalogue.project, catalogue.version = "Faying", ""
        # No clock: the same words give the same files.
        catalogue.creation_date = catalogue.revision_date = MADE
        self.po.parent.mkdir(parents=True, exist_ok=True)
        with self.po.open("wb") as file:
            write_po(file, catalogue, width=100, omit_header=False, include_lineno=False, sort_output=True)
        self.mo.write_bytes(compiled(catalogue))
        return catalogue


def every_file() -> tuple[MessageFile, ...]:
    """All that are kept."""
    return tuple(MessageFile(floor, language) for floor in FLOORS for language in TRANSLATED)


def messages_of(floor: str) -> Catalog:
    """What the code and the templates of a floor say."""
    found = Catalog(fuzzy=False)
    root = PROJECT / floor
    for path in sorted(root.rglob("*")):
        if path.suffix == ".py" or (path.suffix in TEMPLATES and "templates" in path.parts):
            for context, message in _messages_in(path):
                found.add(message, locations=[(str(path.relative_to(PROJECT)), 0)], context=context)
    return found


def compiled(catalogue: Catalog) -> bytes:
    """The bytes of the `.mo` file."""
    file = io.BytesIO()
    write_mo(file, catalogue)
    return file.getvalue()


def untranslated(catalogue: Catalog) -> list[str]:
    """Messages that have no words in the catalogue's language, or none that somebody has confirmed."""
    return [_first(message) for message in catalogue if message.id and (message.fuzzy or not _is_told(message))]


def _first(message: Message) -> str:
    return str(message.id[0] if isinstance(message.id, list | tuple) else message.id)


def _is_told(message: Message) -> bool:
    told = message.string
    return all(told) if isinstance(told, list | tuple) else bool(told)


def _messages_in(path: Path) -> Iterator[tuple[str | None, str | tuple[str, ...]]]:
    text = path.read_text(encoding="utf-8")
    if path.suffix != ".py":
        # what Django makes of a template is Python, but for the indentation
        text = "\n".join(line.lstrip() for line in templatize(text).splitlines())
    for _, message, _, context in extract("python", io.BytesIO(text.encode()), keywords=KEYWORDS):
        yield context, message


__all__ = ["MessageFile", "compiled", "every_file", "messages_of", "untranslated"]
