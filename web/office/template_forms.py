"""The forms of a step and of a check. What makes no sense the services refuse, and it is told beside its field."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, Final

from django import forms

from inspections.templates.document import AnswerKind, OpeningKind
from inspections.templates.editing import CHECKS, STEPS
from inspections.templates.quantities import BY_CODE, QUANTITIES
from web.base.forms import YardForm, sentence
from web.office.template_words import KINDS, OPENINGS
from yard.refusals import Refused, RefusedMany
from yard.vocabulary import Contact

_PLACE: Final = re.compile(r"(opening_steps|checks)\[(\d+)\]\.(?:reading\.)?([a-z_]+)(?:\[\d+\])?", re.ASCII)


def in_words(refusal: Refused) -> Refused:
    """The same with its places as a reader counts them: `checks[2].prompt` is in check 3 of the draft."""
    return RefusedMany(_in_words(single) for single in refusal.refusals)


def _in_words(single: Refused) -> Refused:
    found = _PLACE.fullmatch(single.field)
    if found is None:
        return single
    what = "opening-up step" if found[1] == STEPS else "check"
    return Refused(f"{what} {int(found[2]) + 1} of the draft", single.problem, single.remedy)


class ItemForm(YardForm):
    """A step or a check, with what it said when it was opened.

    Args:
        key: empty where one is added.
    """

    part: str

    key = forms.CharField(required=False, max_length=80, widget=forms.HiddenInput)
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    opened = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def said(self) -> dict[str, Any]:
        """What the form says, as the template's text has it, without its key."""
        raise NotImplementedError

    def refuse_at(self, refusal: Refused, position: int) -> None:
        """Put each refusal beside its field; what is wrong elsewhere in the draft is told with its number."""
        for single in refusal.refusals:
            found = _PLACE.fullmatch(single.field)
            if found is None:
                self.refuse(single)
            elif (found[1], int(found[2])) == (self.part, position):
                name = {"unit": "quantity", "answer_kind": "answer"}.get(found[3], found[3])
                self.refuse(Refused(name, single.problem, single.remedy))
            else:
                told = in_words(single)
                self.add_error(None, f"{told.field.capitalize()}: {sentence(told)}")


class StepForm(ItemForm):
    part = STEPS

    text = forms.CharField(
        label="What to do",
        max_length=300,
        help_text="As one would say it aboard: “Headlining down along both sides”.",
        error_messages={"required": "is empty; say in a few words what comes off or is cleaned."},
    )
    kind = forms.ChoiceField(
        label="Take off or clean",
        widget=forms.RadioSelect,
        choices=[(kind.value, OPENINGS[kind].name) for kind in OpeningKind],
        error_messages={"required": "is not chosen; say whether it comes off or is cleaned."},
    )
    shares = forms.ChoiceField(
        label="Done once together with",
        required=False,
        help_text="One headlining comes down for beams and windows alike: the tablet asks for it once.",
        error_messages={"invalid_choice": "is none of the list; choose one, or write a new name."},
    )
    shares_new = forms.CharField(
        label="Or under a new name",
        required=False,
        max_length=60,
        help_text="Such as: engine box. Other classes can choose it then.",
    )

    def __init__(self, shared: Iterable[tuple[str, str]], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["shares"].choices = [("", "nothing else"), *shared]  # type: ignore[attr-defined]

    @property
    def kinds(self) -> list[tuple[Any, str]]:
        return [(box, OPENINGS[OpeningKind(str(box.data["value"]))].use) for box in self["kind"]]

    def said(self) -> dict[str, Any]:
        given = self.cleaned_data
        new = "_".join(given["shares_new"].lower().split())
        return {"kind": given["kind"], "text": given["text"], "shares": new or given["shares"] or None}

    @staticmethod
    def begun(item: Mapping[str, Any]) -> dict[str, Any]:
        return {"text": item["text"], "kind": item["kind"], "shares": item.get("shares") or ""}


class CheckForm(ItemForm):
    part = CHECKS

    prompt = forms.CharField(
        label="Question",
        max_length=300,
        help_text="One place, one question that “sound” can answer: “Are the lower corners tight?”",
        error_messages={"required": "is empty; ask what is to be looked at."},
    )
    answer = forms.ChoiceField(
        label="Answer",
        widget=forms.RadioSelect,
        choices=[(kind.value, KINDS[kind].name) for kind in AnswerKind],
        error_messages={"required": "is not chosen; say what is to be answered."},
    )
    quantity = forms.ChoiceField(
        label="What is measured",
        required=False,
        choices=[
            ("", "choose one"),
            *((one.code, f"{one.name}, in {one.unit_name}") for one in QUANTITIES),
        ],
        error_messages={"invalid_choice": "is none of the list; choose one of it."},
    )
    minimum = forms.CharField(label="From", required=False, max_length=12)
    maximum = forms.CharField(label="To", required=False, max_length=12)
    usual_signs = forms.MultipleChoiceField(
        label="Usual signs",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "%(value)s is none of the yard's signs; tick others."},
    )
    look_for = forms.CharField(
        label="Look for",
        required=False,
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="What gives it away, for somebody who has not done it often. It stands under the question.",
    )
    after = forms.MultipleChoiceField(
        label="Comes after",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "%(value)s is no step of the draft any more; tick others."},
    )
    contact = forms.MultipleChoiceField(
        label="What meets there",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=[(contact.value, contact.label) for contact in Contact if contact is not Contact.NONE],
    )
    both_sides = forms.BooleanField(label="Look from both sides", required=False)
    photo_wanted = forms.BooleanField(label="A photo is wanted", required=False)

    def __init__(
        self,
        signs: Iterable[tuple[str, str]],
        usual: Iterable[str],
        steps: Iterable[tuple[str, str]],
        *args: Any,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        known = dict(signs)
        chosen = self["usual_signs"].value() or () if self.is_bound else self.initial.get("usual_signs", ())
        gone = [(code, f"{code}, which is no sign of the yard any more") for code in chosen if code not in known]
        first = [code for code in usual if code in known]
        self._first = {*first, *chosen}
        order = [*first, *(code for code in known if code not in first)]
        self.fields["usual_signs"].choices = [*((code, known[code]) for code in order), *gone]  # type: ignore[attr-defined]
        self.fields["after"].choices = list(steps)  # type: ignore[attr-defined]
        asked = self.initial.get("quantity", "")
        if asked and asked not in BY_CODE:
            self.fields["quantity"].choices.append((asked, asked.replace("_", " ")))  # type: ignore[attr-defined]

    quantities = QUANTITIES

    @property
    def answers(self) -> list[tuple[Any, str]]:
        return [(box, KINDS[AnswerKind(str(box.data["value"]))].use) for box in self["answer"]]

    @property
    def first_signs(self) -> list[Any]:
        """Those usual for the class, and those that are ticked."""
        return [box for box in self["usual_signs"] if box.data["value"] in self._first]

    @property
    def other_signs(self) -> list[Any]:
        return [box for box in self["usual_signs"] if box.data["value"] not in self._first]

    def clean(self) -> dict[str, Any]:
        given: dict[str, Any] = super().clean() or self.cleaned_data
        if given.get("answer") == AnswerKind.READING and "quantity" in given and not given["quantity"]:
            self.add_error("quantity", "is not chosen; say what is measured.")
        return given

    def said(self) -> dict[str, Any]:
        given = self.cleaned_data
        return {
            "prompt": given["prompt"],
            "answer_kind": given["answer"],
            "reading": self._reading() if given["answer"] == AnswerKind.READING else None,
            "usual_signs": given["usual_signs"],
            "contact": given["contact"],
            "after": given["after"],
            "both_sides": given["both_sides"],
            "photo_wanted": given["photo_wanted"],
            "look_for": given["look_for"],
        }

    def _reading(self) -> dict[str, Any]:
        given = self.cleaned_data
        known = BY_CODE.get(given["quantity"])
        low, high = (given[name].strip().replace(",", ".") for name in ("minimum", "maximum"))
        if known is not None and not low and not high:
            low, high = f"{known.minimum:f}", f"{known.maximum:f}"
        unit = known.unit if known is not None else self.initial.get("unit", "")
        return {"quantity": given["quantity"], "unit": unit, "minimum": low, "maximum": high}

    @staticmethod
    def begun(item: Mapping[str, Any]) -> dict[str, Any]:
        same = ("prompt", "usual_signs", "look_for", "after", "contact", "both_sides", "photo_wanted")
        reading = item.get("reading") or {}
        return {name: item.get(name) for name in same} | {"answer": item["answer_kind"], **reading}


__all__ = ["CheckForm", "ItemForm", "StepForm", "in_words"]
