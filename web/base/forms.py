"""Forms: reading what was typed, and showing what a service refused beside the field it was about."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from yard.refusals import Refused


class YardForm(forms.Form):
    """A form whose fields carry the names that the services use."""

    required_css_class = "required"
    # Whether the page carries along what it showed, so that of two people each changes what they have changed.
    remembers_shown = False
    # Fields that are one thing: whoever changes one of them has looked at the others too.
    one_thing: tuple[frozenset[str], ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        if self.remembers_shown:
            for field in self.fields.values():
                field.show_hidden_initial = True

    @property
    def changed(self) -> dict[str, Any]:
        """What was typed otherwise than it was shown; of what came without that, all. For a form that is valid."""
        touched = set(self.changed_data)
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name in touched or self[name].html_initial_name not in self.data
        }

    def refuse(self, refusal: Refused) -> None:
        """Put each refusal beside its field, or above the form where it has no such field."""
        self.is_valid()  # errors can be added to a form that was read
        for single in refusal.refusals:
            if single.field in self.fields:
                self.add_error(single.field, sentence(single))
            else:
                self.add_error(None, f"{_words(single.field)} {sentence(single)}")


def sentence(refusal: Refused) -> str:
    """What was wrong and what would do, as it stands beside a field."""
    return f"{refusal.problem}; {refusal.remedy}."


def first_refusal(form: forms.Form) -> Refused:
    """The form's own objections, told like a service's."""
    for field, problems in form.errors.items():
        for problem in problems:
            return Refused(field, str(problem).rstrip("."), "see the field below")
    raise ValueError("The form has no objection.")


def _words(field: str) -> str:
    return field.replace("_", " ").replace(".", " ").capitalize()


class DayInput(forms.DateInput):
    """The browser's own field for a day; it sends ISO 8601 whatever it shows."""

    input_type = "date"

    def __init__(self, attrs: Mapping[str, Any] | None = None) -> None:
        super().__init__(attrs=dict(attrs or {}), format="%Y-%m-%d")


class DayField(forms.DateField):
    widget = DayInput

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("input_formats", ["%Y-%m-%d"])
        kwargs.setdefault(
            "error_messages",
            {"invalid": "is no day; give one like 2027-05-01.", "required": "is missing; give a day."},
        )
        super().__init__(**kwargs)


class TextField(forms.CharField):
    """Several lines of text."""

    widget = forms.Textarea(attrs={"rows": 3})

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("error_messages", {"required": "is empty; write a sentence."})
        super().__init__(**kwargs)


__all__ = ["DayField", "DayInput", "TextField", "YardForm", "first_refusal", "sentence"]
