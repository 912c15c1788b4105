"""The stock catalogue's words in another language.

Rows of a yard begin as copies of the stock catalogue and are the yard's own to change. As long as a text is the
stock catalogue's it can be told in another language; what the yard has put in its own words stays in them.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from typing import Any, Final, Literal

from django.conf import settings

from yard.languages import Language

Kind = Literal[
    "component_classes",
    "signs",
    "treatments",
    "materials",
    "packs",
    "caution_titles",
    "caution_texts",
    "opening_steps",
]

FOLDER: Final = "catalogue"
NAMED: Final[tuple[Kind, ...]] = ("component_classes", "signs", "treatments", "materials")


def stock_word(kind: Kind, text: str, language: Language) -> str:
    """A text of the stock catalogue in a language; any other text as it stands."""
    return text if language == "en" else _german()[kind].get(text, text)


@lru_cache(maxsize=1)
def _german() -> Mapping[Kind, Mapping[str, str]]:
    """German by the English text."""
    german = _file("german")
    found: dict[Kind, Mapping[str, str]] = {
        kind: {
            item["name"]: german[kind][item["code"]]
            for item in _file(kind)["items"]
            if item["code"] in german[kind]
        }
        for kind in NAMED
    }
    cautions = [(item, german["cautions"].get(item["code"])) for item in _file("cautions")["items"]]
    found["caution_titles"] = {item["title"]: told["title"] for item, told in cautions if told}
    found["caution_texts"] = {item["text"]: told["text"] for item, told in cautions if told}
    found["opening_steps"], found["packs"] = german["opening_steps"], german["packs"]
    return found


def _file(name: str) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(
        (settings.FIXTURES_FOLDER / FOLDER / f"{name}.json").read_text(encoding="utf-8")
    )
    return document


__all__ = ["Kind", "stock_word"]
