"""Forms of the price list: a material, and the sizes in which it is bought."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from django import forms

from web.base.forms import YardForm, sentence
from web.base.overtaken import KeyedForm
from web.office.job_forms import DecimalField
from workshop.estimating.packs import MOST_SIZES
from workshop.models import Material
from yard.models import VatClass
from yard.refusals import Refused

FREE_ROWS: Final = 2


class MaterialForm(KeyedForm):
    unit_price = DecimalField(label="Net price of a unit")
    charged_by = forms.ChoiceField(
        label="The owner pays for", choices=Material.ChargedBy.choices, error_messages={"required": "is missing."}
    )
    vat_class = forms.ChoiceField(label="Class of VAT", required=False)

    def __init__(self, *args: Any, classes: Sequence[VatClass], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.classes = {str(each.pk): each for each in classes}
        choices = [("", "that of the yard's work"), *((key, each.name) for key, each in self.classes.items())]
        field = self.fields["vat_class"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices

    def clean_vat_class(self) -> VatClass | None:
        return self.classes.get(self.cleaned_data["vat_class"])


class PackForm(YardForm):
    """A size. A row that is left empty, or emptied, is none."""

    name = forms.CharField(label="One is called", max_length=40, required=False)
    plural = forms.CharField(label="Several", max_length=40, required=False)
    size = DecimalField(label="Holds", required=False)
    price = DecimalField(label="Net price", required=False)

    @property
    def is_empty(self) -> bool:
        return not any(self.cleaned_data.get(name) not in (None, "") for name in self.fields)


PackForms = forms.formset_factory(
    PackForm, extra=FREE_ROWS, max_num=MOST_SIZES, absolute_max=MOST_SIZES + FREE_ROWS
)


def packs_of(rows: forms.BaseFormSet[PackForm]) -> list[dict[str, Any]]:
    """What was typed in the rows that are not empty, for the service. A name left out is the usual one."""
    return [
        {name: value for name, value in each.cleaned_data.items() if value not in (None, "")}
        for each in rows.forms
        if not each.is_empty
    ]


def price_refuse(form: MaterialForm, rows: forms.BaseFormSet[PackForm], refusal: Refused) -> None:
    """Put each refusal beside its field, in the row of the pack where it was typed."""
    filled = [each for each in rows.forms if not each.is_empty]
    for single in refusal.refusals:
        name, _, place = single.field.partition(".")
        number, _, field = place.partition(".")
        if name == "packs" and field:
            filled[int(number)].add_error(field, sentence(single))
        else:
            form.refuse(single)


__all__ = ["MaterialForm", "PackForm", "PackForms", "packs_of", "price_refuse"]
