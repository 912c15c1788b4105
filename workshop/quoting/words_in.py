"""German for words that a quote freezes and that stand in no catalogue and no vocabulary of judgement. Pure."""

from __future__ import annotations

from typing import Final

from yard.languages import Language

# By the code of a boat's build.
BUILD_DE: Final = {
    "carvel": "karweel beplankt",
    "clinker": "geklinkert",
    "cold_moulded": "formverleimt",
    "plywood": "Sperrholz",
    "strip": "leistenbeplankt",
    "glassfibre": "Rumpf aus GFK, Teile aus Holz",
    "metal": "Rumpf aus Metall, Teile aus Holz",
}


def build_word(code: str, label: str, language: Language) -> str:
    """How a boat is built, in a language; `label` is the English."""
    return BUILD_DE.get(code, label) if language == "de" else label


__all__ = ["BUILD_DE", "build_word"]
