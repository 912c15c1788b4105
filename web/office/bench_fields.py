"""What is typed at the bench: figures with their unit in the label, counts, woods of the table, ticks."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import Any, ClassVar, Final, cast

from django import forms

from inspections.timber.species import LONGEST_NAME, all_species, species_named
from web.base.forms import DayField

# A comma is a point where many of these keyboards come from.
DECIMAL: Final = re.compile(r"[-+]?[0-9]{1,12}([.,][0-9]{0,12})?", re.ASCII)
WHOLE: Final = re.compile(r"[0-9]{1,6}", re.ASCII)
LONGEST_TYPED: Final = 40


class BenchField(forms.Field):
    """A field whose label carries its unit; `short` is the label without it, for sentences about the field."""

    short: str
    shape: ClassVar[str] = "figure"
    """How it is laid out: `figure`, `word` or `yes`."""

    def __init__(self, short: str, unit: str = "", **kwargs: Any) -> None:
        self.short = short
        kwargs.setdefault("required", False)
        kwargs.setdefault("error_messages", {"required": "is missing; give a figure."})
        super().__init__(label=f"{short}, {unit}" if unit else short, **kwargs)


class Figure(BenchField):
    """A measured figure; its range is known to whoever reckons with it."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "maxlength": LONGEST_TYPED, "autocomplete": "off"})

    def clean(self, value: Any) -> float | None:
        typed = str(value or "").strip().replace("−", "-")
        if not typed:
            self.validate(None)
            return None
        if not DECIMAL.fullmatch(typed):
            raise forms.ValidationError("that is no number; give one like 12.5.")
        figure = float(typed.replace(",", "."))
        return figure if math.isfinite(figure) else None


class Count(BenchField):
    """How many, or a number on a box."""

    widget = forms.TextInput(attrs={"inputmode": "numeric", "maxlength": LONGEST_TYPED, "autocomplete": "off"})

    def __init__(self, short: str, low: int, high: int, **kwargs: Any) -> None:
        self.low, self.high = low, high
        super().__init__(short, **kwargs)

    def clean(self, value: Any) -> int | None:
        typed = str(value or "").strip()
        if not typed:
            self.validate(None)
            return None
        if not WHOLE.fullmatch(typed) or not self.low <= int(typed) <= self.high:
            raise forms.ValidationError(f"that can't be; give a whole number from {self.low} to {self.high}.")
        return int(typed)


class Choice(BenchField):
    """One of a few words."""

    widget = forms.Select
    shape = "word"

    def __init__(self, short: str, choices: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(short, **kwargs)
        self.offer(choices)

    def offer(self, choices: Iterable[tuple[str, str]]) -> None:
        """Set the words, each with its code before it."""
        self.choices = list(choices)
        cast("forms.Select", self.widget).choices = self.choices  # an instance by now

    def clean(self, value: Any) -> str | None:
        chosen = str(value or "")
        if not chosen:
            self.validate(None)
            return None
        if chosen not in dict(self.choices):
            raise forms.ValidationError("there is no such choice; take one of the list.")
        return chosen


class Wood(Choice):
    """A wood of the table. An address may name it in any way that the table knows."""

    def __init__(self, *, unknown: str, **kwargs: Any) -> None:
        woods = sorted((wood.name, wood.code) for wood in all_species())
        super().__init__("Wood", [("", unknown), *((code, name) for name, code in woods)], **kwargs)

    def bound_data(self, data: Any, initial: Any) -> Any:
        return self._code(data)

    def clean(self, value: Any) -> str | None:
        return super().clean(self._code(value))

    @staticmethod
    def _code(value: Any) -> str:
        named = str(value or "")
        wood = species_named(named) if len(named) <= LONGEST_NAME else None
        return named if wood is None else wood.code


class Tick(forms.BooleanField):
    """Yes, or left open."""

    shape: ClassVar[str] = "yes tick"

    def __init__(self, short: str, **kwargs: Any) -> None:
        self.short = short
        super().__init__(label=short, required=False, **kwargs)


class Day(DayField):
    """A day, by the browser's own field."""

    shape: ClassVar[str] = "word"

    def __init__(self, short: str, **kwargs: Any) -> None:
        self.short = short
        super().__init__(label=short, required=False, **kwargs)


__all__ = ["BenchField", "Choice", "Count", "Day", "Figure", "Tick", "Wood"]
