"""The text of a template version: opening-up steps and checks, read from JSON and refused where they make no sense.

Pure: no database, no web. The yard's sign codes are handed in.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal

from inspections.documents import Fields
from yard.vocabulary import Contact, Labelled

MOST_STEPS = 30
MOST_CHECKS = 60
# A figure on any instrument a yard has; finer bounds are the template's own.
LARGEST_FIGURE = Decimal(1_000_000)
_KEY = re.compile(r"[a-z0-9]+(_[a-z0-9]+)*", re.ASCII)
_KEY_REMEDY = "give small letters and digits joined by _, such as hood_ends"


class OpeningKind(Labelled):
    """What has to happen before a place can be seen."""

    TAKE_OFF = "take_off", "take off"
    CLEAN = "clean", "clean"


class AnswerKind(Labelled):
    """What a check asks for."""

    SIGNS = "signs", "signs"
    READING = "reading", "a reading"


@dataclass(frozen=True, slots=True)
class OpeningStep:
    """Something that comes off or is cleaned first.

    Args:
        key: names it within the template.
        kind: take off or clean.
        text: what to do, for the technician.
        shares: steps of one boat with the same `shares` are done once; empty where it is shared with nothing.
    """

    key: str
    kind: OpeningKind
    text: str
    shares: str = ""


@dataclass(frozen=True, slots=True)
class ReadingAsked:
    """A figure that a check asks for.

    Args:
        quantity: what is measured, such as moisture_pct.
        unit: of the figure.
        minimum, maximum: the range it must lie in, both included.
    """

    quantity: str
    unit: str
    minimum: Decimal
    maximum: Decimal

    def as_document(self) -> dict[str, str]:
        return {
            "quantity": self.quantity,
            "unit": self.unit,
            "minimum": f"{self.minimum:f}",
            "maximum": f"{self.maximum:f}",
        }


@dataclass(frozen=True, slots=True)
class Check:
    """One question.

    Args:
        key: names it within the template, through all its versions: by it a place is found again next year.
        prompt: the question.
        answer_kind: signs or a reading.
        reading: what is measured, where a reading is asked for.
        usual_signs: sign codes that are offered first.
        contact: what meets at the place.
        after: keys of the opening steps that come before.
        both_sides: it is to be seen from both sides.
        photo_wanted: a picture is wanted whatever the answer.
        look_for: what gives it away.
    """

    key: str
    prompt: str
    answer_kind: AnswerKind
    reading: ReadingAsked | None = None
    usual_signs: tuple[str, ...] = ()
    contact: tuple[Contact, ...] = ()
    after: tuple[str, ...] = ()
    both_sides: bool = False
    photo_wanted: bool = False
    look_for: str = ""


@dataclass(frozen=True, slots=True)
class TemplateDocument:
    """What one version of a template says."""

    opening_steps: tuple[OpeningStep, ...]
    checks: tuple[Check, ...]

    def opening_steps_json(self) -> list[dict[str, object]]:
        return [
            {"key": step.key, "kind": step.kind.value, "text": step.text, "shares": step.shares or None}
            for step in self.opening_steps
        ]

    def checks_json(self) -> list[dict[str, object]]:
        return [
            {
                "key": check.key,
                "prompt": check.prompt,
                "answer_kind": check.answer_kind.value,
                "reading": check.reading.as_document() if check.reading else None,
                "usual_signs": list(check.usual_signs),
                "contact": [contact.value for contact in check.contact],
                "after": list(check.after),
                "both_sides": check.both_sides,
                "photo_wanted": check.photo_wanted,
                "look_for": check.look_for,
            }
            for check in self.checks
        ]


def read(
    opening_steps: object,
    checks: object,
    *,
    sign_codes: Collection[str] | None = None,
    unfinished: bool = False,
) -> TemplateDocument:
    """Read the two lists of a template version.

    Args:
        opening_steps: list of {key, kind, text, shares}.
        checks: list of {key, prompt, answer_kind, reading, usual_signs, contact, after, both_sides, photo_wanted,
            look_for}; at least one, unless `unfinished`. `reading` is {quantity, unit, minimum, maximum} or null.
        sign_codes: the yard's; None where they are not known, and no code is refused then.
        unfinished: a draft that somebody is still writing, and that may ask nothing yet.

    Raises:
        RefusedMany: everything that is wrong, each with its place, such as `checks[2].reading.maximum`.
    """
    document: Mapping[str, object] = {"opening_steps": opening_steps, "checks": checks}
    fields = Fields(document, known=("opening_steps", "checks"))
    step_keys: set[str] = set()
    steps = tuple(
        step
        for row in fields.rows("opening_steps", known=("key", "kind", "text", "shares"), most=MOST_STEPS)
        if (step := _opening_step(row, step_keys)) is not None
    )
    check_keys: set[str] = set()
    questions = tuple(
        question
        for row in fields.rows("checks", known=_CHECK_NAMES, most=MOST_CHECKS)
        if (question := _check(row, check_keys, step_keys, sign_codes)) is not None
    )
    if not questions and not fields.refusals and not unfinished:
        fields.refuse("checks", "nothing is asked", "give at least one check")
    fields.raise_refusals()
    return TemplateDocument(opening_steps=steps, checks=questions)


_CHECK_NAMES = (
    "key",
    "prompt",
    "answer_kind",
    "reading",
    "usual_signs",
    "contact",
    "after",
    "both_sides",
    "photo_wanted",
    "look_for",
)


def _opening_step(row: Fields, taken: set[str]) -> OpeningStep | None:
    key = _own_key(row, taken, longest=60)
    kind = row.word("kind", OpeningKind, required=True)
    text = row.text("text", longest=300, required=True)
    shares = row.text("shares", longest=60)
    if not key or kind is None or not text:
        return None
    return OpeningStep(key=key, kind=kind, text=text, shares=shares)


def _check(
    row: Fields, taken: set[str], step_keys: Collection[str], sign_codes: Collection[str] | None
) -> Check | None:
    key = _own_key(row, taken, longest=80)
    prompt = row.text("prompt", longest=300, required=True)
    answer_kind = row.word("answer_kind", AnswerKind, required=True)
    reading = _reading(row)
    usual_signs = row.texts("usual_signs", longest=40, most=40)
    after = row.texts("after", longest=60, most=MOST_STEPS)
    for position, code in enumerate(usual_signs):
        if sign_codes is not None and code not in sign_codes:
            row.refuse(f"usual_signs[{position}]", f"{code!r} is no sign of this yard", "name one of its signs")
    for position, name in enumerate(after):
        if name not in step_keys:
            known = ", ".join(sorted(step_keys)) or "there are none"
            row.refuse(f"after[{position}]", f"{name!r} is no opening step", f"name one of them: {known}")
    if answer_kind is AnswerKind.READING and not row.given("reading"):
        row.refuse("reading", "is missing", "say what is measured: quantity, unit, minimum and maximum")
    if answer_kind is AnswerKind.SIGNS and row.given("reading"):
        row.refuse("reading", "stands at a check that asks for signs", "leave it out, or ask for a reading")
    contact = row.words("contact", Contact)
    both_sides, photo_wanted = row.flag("both_sides"), row.flag("photo_wanted")
    look_for = row.text("look_for", longest=600, lines=True)
    if not key or not prompt or answer_kind is None:
        return None
    return Check(
        key=key,
        prompt=prompt,
        answer_kind=answer_kind,
        reading=reading,
        usual_signs=usual_signs,
        contact=contact,
        after=after,
        both_sides=bool(both_sides),
        photo_wanted=bool(photo_wanted),
        look_for=look_for,
    )


def _reading(row: Fields) -> ReadingAsked | None:
    asked = row.inside("reading", known=("quantity", "unit", "minimum", "maximum"))
    if asked is None:
        return None
    quantity = _key(asked, "quantity", longest=40)
    unit = asked.text("unit", longest=12, required=True)
    minimum = asked.decimal("minimum", low=-LARGEST_FIGURE, high=LARGEST_FIGURE, places=2, required=True)
    maximum = asked.decimal("maximum", low=-LARGEST_FIGURE, high=LARGEST_FIGURE, places=2, required=True)
    if minimum is None or maximum is None or not quantity or not unit:
        return None
    if maximum <= minimum:
        asked.refuse("maximum", f"{maximum:f} is not above the minimum of {minimum:f}", "give a larger figure")
        return None
    if quantity.startswith("moisture") and (minimum < 0 or maximum > 120):
        # The same bounds as the database holds every moisture reading in.
        asked.refuse("maximum" if maximum > 120 else "minimum", "no wood reads that", "stay within 0 and 120 pct")
        return None
    return ReadingAsked(quantity=quantity, unit=unit, minimum=minimum, maximum=maximum)


def _key(row: Fields, name: str, *, longest: int) -> str:
    key = row.text(name, longest=longest, required=True)
    if key and not _KEY.fullmatch(key):
        row.refuse(name, f"{key!r} is no key", _KEY_REMEDY)
        return ""
    return key


def _own_key(row: Fields, taken: set[str], *, longest: int) -> str:
    key = _key(row, "key", longest=longest)
    if key in taken:
        row.refuse("key", f"{key!r} stands there twice", "give each its own key")
    elif key:
        taken.add(key)
    return key


__all__ = [
    "AnswerKind",
    "Check",
    "OpeningKind",
    "OpeningStep",
    "ReadingAsked",
    "TemplateDocument",
    "read",
]
