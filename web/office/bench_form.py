"""What every form of the bench does: fill itself from the address, answer, and tell the address of its answer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, ClassVar
from urllib.parse import urlencode

from django.forms import BooleanField, BoundField

from inspections.selectors.air import AirGiven
from web.base.forms import YardForm
from web.office.bench_fields import Choice
from web.office.bench_told import Bench, Told
from yard.refusals import Refused


class BenchForm(YardForm):
    """A calculator. What an address leaves out is what stands in the form at first."""

    slug: ClassVar[str]
    title: ClassVar[str]
    purpose: ClassVar[str]
    promise: ClassVar[str]
    button: ClassVar[str]
    more_title: ClassVar[str]
    more: ClassVar[tuple[str, ...]] = ()

    def __init__(self, bench: Bench, given: Mapping[str, str]) -> None:
        """`given` is what the address says, this calculator's own and the others'."""
        super().__init__(prefix=self.slug)
        self.bench = bench
        self.fill_in()
        own = {name: given[self.add_prefix(name)] for name in self.fields if self.add_prefix(name) in given}
        self.asked = bool(own)
        if self.asked:
            self.data = {self.add_prefix(name): value for name, value in (self._at_first() | own).items()}
            self.is_bound = True

    def fill_in(self) -> None:
        """Put in what the yard's day and climate say: first values and hints."""

    def _at_first(self) -> dict[str, str]:
        return {
            name: str(field.initial)
            for name, field in self.fields.items()
            if field.initial is not None and not isinstance(field, BooleanField)
        }

    def answer(self) -> Told | None:
        """What comes out; None where nothing was asked, or where it was refused, which then stands at its field."""
        if not self.asked:
            return self.unasked()
        if not self.is_valid():
            return None
        try:
            # What was left empty is not given.
            return self.reckon({name: value for name, value in self.cleaned_data.items() if value is not None})
        except Refused as refused:
            self.refuse(refused)
            return None

    def reckon(self, given: dict[str, Any]) -> Told:
        """The answer to what was typed.

        Raises:
            Refused: in the name of a field.
        """
        raise NotImplementedError

    def unasked(self) -> Told | None:
        """What can be told before anything was typed."""
        return None

    @staticmethod
    def air_given(given: dict[str, Any]) -> AirGiven:
        """Take the air out of what was typed."""
        month = given.pop("month", None)
        return AirGiven(
            month=None if month is None else int(month),
            air_temperature_c=given.pop("air_temperature_c", None),
            relative_humidity_pct=given.pop("relative_humidity_pct", None),
        )

    @property
    def said(self) -> list[tuple[str, str]]:
        """What the address has to say for this answer: parameters and their values, without what says nothing."""
        if not self.asked:
            return []
        return [
            (self.add_prefix(name), value)
            for name in self.fields
            if (value := self.data.get(self.add_prefix(name))) is not None
            and (value or self.fields[name].initial is not None)
        ]

    @property
    def address(self) -> str:
        """Leads to this answer, without the other calculators'."""
        return f"?{urlencode(self.said)}#{self.slug}-answer"

    def first_fields(self) -> Iterator[BoundField]:
        return (bound for bound in self if bound.name not in self.more)

    def more_fields(self) -> Iterator[BoundField]:
        return (bound for bound in self if bound.name in self.more)

    @property
    def more_open(self) -> bool:
        """Whether something in the folded part was filled in, or is wanting."""
        return any(bound.errors or (self.asked and self._changed(bound)) for bound in self.more_fields())

    @staticmethod
    def _changed(bound: BoundField) -> bool:
        return bool(bound.data) and bound.data != bound.field.initial

    def hint(self, name: str, text: str) -> None:
        self.fields[name].help_text = text

    def hint_air(self) -> None:
        """Say what an empty temperature and humidity stand for."""
        normals, bench = self.bench.normals, self.bench
        month = self.fields["month"]
        assert isinstance(month, Choice)
        month.offer((str(number), bench.month(number)) for number in range(1, 13))
        month.initial = str(bench.today.month)
        if normals is None:
            self.hint("air_temperature_c", "Needed: the yard has no climate entered.")
            self.hint("relative_humidity_pct", "Needed: the yard has no climate entered.")
            return
        mean = f"the mean of the month: {bench.month(normals.month)} here has"
        self.hint("air_temperature_c", f"Empty: {mean} {bench.figure(normals.temperature_c, 1)} °C.")
        self.hint("relative_humidity_pct", f"Empty: {mean} {bench.figure(normals.relative_humidity_pct)} %.")


__all__ = ["BenchForm"]
