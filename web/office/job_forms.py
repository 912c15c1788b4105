"""The forms of a job's page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any, Final

from django import forms

from inspections.models import Finding
from web.base.forms import DayField, YardForm
from workshop.models import Material, Treatment
from workshop.models.jobs import HoldKind, WorkedIn
from workshop.services.verifying import MEASURED, Measured
from yard.models import Member

# No figure of a form has more digits before the point; what is told with an exponent is not written out beyond.
MOST_DIGITS: Final = 12


class DecimalField(forms.DecimalField):
    """A figure as it is typed; the keyboard of a phone shows digits, and what is no figure is told in words."""

    widget = forms.TextInput(attrs={"inputmode": "decimal"})

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault(
            "error_messages",
            {"invalid": "is no figure; give one like 2.5.", "required": "is missing; give a figure."},
        )
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> Any:
        figure: Decimal | None = super().to_python(value.replace(",", ".") if isinstance(value, str) else value)
        if figure is not None and figure.is_finite() and figure.adjusted() >= MOST_DIGITS:
            raise forms.ValidationError("is far too large; give one like 2.5.")
        return figure


class ShortField(forms.CharField):
    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("error_messages", {"required": "is empty; say it in a few words."})
        super().__init__(**{"max_length": 300, **kwargs})


class HoursForm(YardForm):
    worked_on = DayField(label="Day")
    hours = DecimalField(label="Hours", help_text="Like 2.5; with a minus to correct an earlier line.")
    note = ShortField(label="Note", required=False)
    past_ceiling = ShortField(
        label="Why more than was agreed", required=False, help_text="Only past the hours that were agreed."
    )


class MaterialForm(YardForm):
    material = forms.ChoiceField(label="Material")
    quantity = DecimalField(label="Quantity", help_text="With a minus to correct an earlier line.")
    used_on = DayField(label="Used on")
    note = ShortField(label="Material note", required=False)

    def __init__(self, materials: Iterable[Material], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["material"].choices = [  # type: ignore[attr-defined]
            (material.code, f"{material.name}, in {material.unit}") for material in materials
        ]


class MeterForm(YardForm):
    finding = forms.ChoiceField(label="Metered at")
    moisture_pct = DecimalField(label="Moisture, % of dry mass")
    note = ShortField(label="Meter note", required=False)

    def __init__(self, places: Mapping[Finding, str], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["finding"].choices = [  # type: ignore[attr-defined]
            (str(finding.pk), place) for finding, place in places.items()
        ]


class AirForm(YardForm):
    worked_in = forms.ChoiceField(label="Where it is done", choices=WorkedIn.choices)


class ExtraWorkForm(YardForm):
    """What was found on the way, as one operation at one of the job's places."""

    what = ShortField(label="What was found", help_text="In the words in which the decider would read it.")
    finding = forms.ChoiceField(label="At which place")
    treatment = forms.ChoiceField(label="What is to be done")
    quantity = DecimalField(label="How much", help_text="In the unit that stands beside what is to be done.")

    def __init__(
        self, treatments: Iterable[Treatment], places: Mapping[Finding, str], *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["finding"].choices = [  # type: ignore[attr-defined]
            (str(finding.pk), place) for finding, place in places.items()
        ]
        self.fields["treatment"].choices = [  # type: ignore[attr-defined]
            (each.code, f"{each.name}, in {each.unit.replace('_', ' ')}") for each in treatments
        ]


class HoldForm(YardForm):
    kind = forms.ChoiceField(label="It waits for", choices=HoldKind.choices)
    what = ShortField(label="What exactly", max_length=200)
    who = forms.ChoiceField(label="Who gets it")
    expected_on = DayField(label="Expected on")
    meanwhile = ShortField(label="What holds the boat meanwhile", help_text="Sealed now, a cover, a support.")

    def __init__(self, members: Iterable[Member], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["who"].choices = [(str(each.pk), each.name) for each in members]  # type: ignore[attr-defined]


class DoneForm(YardForm):
    left_out_because = ShortField(label="Why steps are left open", required=False)


class VerifyForm(YardForm):
    """A photo or a figure, and the day of the next look, which the rules give."""

    photo = forms.FileField(label="Photo of the finished work", required=False)
    moisture = DecimalField(label="Moisture, %", required=False)
    play = DecimalField(label="Play, mm", required=False)
    gap = DecimalField(label="Gap, mm", required=False)
    look_again_on = DayField(label="Look again by", required=False)
    look_again_reason = ShortField(label="Why later than that", required=False)
    note = ShortField(label="What was seen", required=False, max_length=2000)

    def readings(self) -> list[Measured]:
        given = ((name, self.cleaned_data.get(name)) for name in MEASURED)
        return [Measured(name, value) for name, value in given if value is not None]


__all__ = [
    "AirForm",
    "DoneForm",
    "ExtraWorkForm",
    "HoldForm",
    "HoursForm",
    "MaterialForm",
    "MeterForm",
    "VerifyForm",
]
