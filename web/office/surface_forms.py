"""The form for a line of a finished surface's history."""

from __future__ import annotations

from typing import Any

from django import forms

from web.base.forms import DayField, YardForm
from web.office.job_forms import DecimalField, ShortField
from workshop.estimating.finish_rules import Deed


class WorkForm(YardForm):
    """What was done to a surface, and when: coats go with a coating, an area with a patch."""

    deed = forms.ChoiceField(label="What was done", choices=[(deed.value, deed.label) for deed in Deed])
    done_on = DayField(label="On which day")
    coats = forms.IntegerField(
        label="Coats",
        required=False,
        help_text="Only where it was coated all over.",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        error_messages={"invalid": "is no whole number; give one like 3."},
    )
    area_m2 = DecimalField(label="Area of the patch, m²", required=False, help_text="Only where it was patched.")
    note = ShortField(label="Note on it", required=False)

    def __init__(self, surface: int, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id=f"surface-{surface}-%s", **kwargs)


__all__ = ["WorkForm"]
