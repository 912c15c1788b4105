"""The forms for a finished surface and for a line of its history."""

from __future__ import annotations

from typing import Any

from django import forms

from web.base.forms import DayField, YardForm
from web.office.job_forms import DecimalField, ShortField
from workshop.estimating.finish_rules import Deed
from yard.models import Boat, Component, Surface
from yard.vocabulary import Exposure, Finish


class WholeField(forms.IntegerField):
    """A whole number as it is typed."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "numeric"}))
        kwargs.setdefault("error_messages", {"invalid": "is no whole number; give one like 3."})
        super().__init__(**kwargs)


class SurfaceForm(YardForm):
    """What is stripped and coated in one go, with the parts that it covers."""

    remembers_shown = True

    name = forms.CharField(label="Name", max_length=120, required=False, help_text="Such as: cabin sides.")
    area_m2 = DecimalField(label="Area, m²", help_text="Like 6.5, all of it together.")
    finish = forms.ChoiceField(label="Finish", choices=Finish.choices())
    exposure = forms.ChoiceField(
        label="Sun and weather", choices=Exposure.choices(), initial=Exposure.UNKNOWN.value
    )
    components = forms.ModelMultipleChoiceField(
        label="Parts that it covers",
        queryset=Component.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="A part that belonged to another surface belongs to this one from then on.",
    )
    coat_every_months = WholeField(
        label="A coat every so many months",
        required=False,
        help_text="The yard's own figure; empty takes the rules'.",
    )
    strip_after_years = WholeField(
        label="A strip after so many years",
        required=False,
        help_text="The yard's own figure; empty takes the rules'.",
    )

    def __init__(self, boat: Boat, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        parts = Component.objects.filter(boat=boat, removed_on=None).order_by("name", "position", "pk")
        self.fields["components"].queryset = parts  # type: ignore[attr-defined]

    @staticmethod
    def of(surface: Surface) -> dict[str, Any]:
        """What the form shows first."""
        shown = ("name", "area_m2", "finish", "exposure", "coat_every_months", "strip_after_years")
        fitted = [part for part in surface.components.all() if part.removed_on is None]
        return {**{name: getattr(surface, name) for name in shown}, "components": fitted}


class WorkForm(YardForm):
    """What was done to a surface, and when: coats go with a coating, an area with a patch."""

    deed = forms.ChoiceField(label="What was done", choices=[(deed.value, deed.label) for deed in Deed])
    done_on = DayField(label="On which day")
    coats = WholeField(label="Coats", required=False, help_text="Only where it was coated all over.")
    area_m2 = DecimalField(label="Area of the patch, m²", required=False, help_text="Only where it was patched.")
    note = ShortField(label="Note on it", required=False)

    def __init__(self, surface: int, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id=f"surface-{surface}-%s", **kwargs)


__all__ = ["SurfaceForm", "WorkForm"]
