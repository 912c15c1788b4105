"""English: the language that judgement is written in first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from types import MappingProxyType

from inspections.judgement.facts import SignFacts
from inspections.judgement.speech.tables import Speech
from inspections.judgement.vocabulary import (
    Because,
    Condition,
    DueBackKind,
    Priority,
    RiskLevel,
    SafetyRole,
    Trend,
)
from yard.vocabulary import Labelled

WHAT_IT_IS = MappingProxyType(
    {
        Condition.FINISH_ONLY: "Only the finish is touched",
        Condition.WATER_WAY_OPEN: "Water has a way in",
        Condition.WATER_IN: "Water is in the wood",
        Condition.DECAY: "The wood has lost its soundness, or must be taken to have",
        Condition.JOINT_MOVES: "The joint works loose",
        Condition.SPLIT_IN_LOAD_PATH: "The wood is split where it carries its load",
        Condition.METAL_WASTING: "The metal is wasting, or must be taken to be",
        Condition.UNSEEN: "The hidden part was not seen, and what was not seen is not taken for sound",
        Condition.GONE: "The part is gone",
    }
)
SPLIT_BUT_UNLOADED = "The wood is split, though nothing loads it"
IF_IT_FAILS = MappingProxyType(
    {
        SafetyRole.NONE: "If it fails, the harm stays with the part itself",
        SafetyRole.PERSONAL_SAFETY: "If it fails, somebody can be hurt or go overboard",
        SafetyRole.WATERTIGHTNESS: "If it fails, water comes into the boat",
        SafetyRole.ANCHORING: "If it fails, the boat can break loose from her anchor or mooring",
        SafetyRole.RIG: "If it fails, the rig can come down",
        SafetyRole.STEERING: "If it fails, the boat can no longer be steered",
    }
)
HOW_LIKELY = MappingProxyType(
    {
        "A": "As it is, it may well fail within the season",
        "B": "As it is, there is a real chance that it fails within the season",
        "C": "As it is, it can fail within the season",
        "D": "It is not likely to fail within the season, but it can",
        "E": "It is very unlikely to fail within the season",
        "F": "It can't fail any more",
    }
)
RISK_IN_WORDS = MappingProxyType(
    {
        RiskLevel.HIGH: "a high risk",
        RiskLevel.SERIOUS: "a serious risk",
        RiskLevel.MEDIUM: "a medium risk",
        RiskLevel.LOW: "a low risk",
        RiskLevel.ELIMINATED: "no risk any more",
    }
)
WHEN = MappingProxyType(
    {
        Priority.BEFORE_LAUNCH: "It comes before launch",
        Priority.THIS_SEASON: "It is work for this season",
        Priority.NEXT_LAYUP: "It can wait for the next lay-up",
        Priority.WATCH: "It is watched",
    }
)
TO_DO_BY = MappingProxyType(
    {
        DueBackKind.PUT_RIGHT: "Put it right by {day}.",
        DueBackKind.LOOK_AGAIN: "Look again by {day}.",
        DueBackKind.OPEN_UP: "Open it up and look by {day}.",
    }
)
TO_DO_NOW = MappingProxyType(
    {
        DueBackKind.PUT_RIGHT: "Put it right now.",
        DueBackKind.LOOK_AGAIN: "Look again now.",
        DueBackKind.OPEN_UP: "Open it up and look now.",
    }
)
TREND_IN_WORDS = MappingProxyType(
    {
        Trend.NEW: "is new since the last look",
        Trend.UNCHANGED: "has not changed since the last look",
        Trend.GROWN: "has grown since the last look",
        Trend.REOPENED: "has opened again after a repair",
    }
)
SENTENCES = MappingProxyType(
    {
        "seen": "Seen: {signs}.",
        "mark": "A mark: nothing that was recorded speaks for damage that goes on.",
        "what": "{what}.",
        "what_because": "{what}: {because}.",
        "besides": "Besides: {conditions}.",
        "set_aside": "Looked into and set aside: {condition}, because {against}.",
        "size_held": "It measured {before} mm on {day} and measures {now} mm now.",
        "size_grew": "It grew from {before} mm to {now} mm since {day}.",
        "size": "It measures {now} mm.",
        "size_and_trend": "It measures {now} mm and {trend}.",
        "trend": "It {trend}.",
        "moisture": "The meter shows {here} % here; nobody took a reading beside it.",
        "moisture_beside": "The meter shows {here} % here and {beside} % in sound wood beside it.",
        "read_again": (
            "Weather or salt may explain that: wash it, let it dry and read it again before paying for more."
        ),
        "unseen_unknown": "Nothing tells when the hidden part was last seen.",
        "unseen": (
            "Nobody has seen the hidden part for {months}; a part like this is opened up at least "
            "every {cap} months."
        ),
        "at_work": "At work there: {works}.",
        "worse_unmeasured": "It is getting worse, though nobody measured by how much.",
        "stake": "{if_it_fails} (severity {severity}, from 1 the gravest to 4).",
        "likely": "{how_likely} (likelihood {level}, from A to E): {risk}.",
        "likely_figure": "{how_likely} ({odds}; likelihood {level}, from A to E): {risk}.",
        "left_mark": "It can be left as it is: a mark is no defect.",
        "left_alone": "It can be left as it is: nothing works on it.",
        "repairs_can_wait": "Repairs, if it wants any, can wait for the next lay-up.",
        "when": "{when}: {because}.",
        "afloat": "The boat is in the water already: put no load on it and stay in the harbour until then.",
        "launch_waits": "No working day is left before {day}: the launch has to wait.",
        "launch": "The launch is on {day}.",
        "layup": "The next lay-up begins on {day}.",
        "overdue_opening": "It was to be opened by {day} and is overdue. {to_do_now}",
        "overdue": "It was due on {day} and is overdue. {to_do_now}",
        "found_put_right": "What is found is put right by {day}.",
        "never_dry": "Under cover in the open air it does not dry to {target} %, so it can't be sealed there.",
        "never_dry_washed": (
            "Washed and under cover in the open air it does not dry to {target} %, so it can't be sealed there."
        ),
        "dry": ("Under cover in the open air it is likely dry enough to seal ({target} %) on {likely}, {latest}."),
        "dry_washed": (
            "Washed and under cover in the open air it is likely dry enough to seal ({target} %) on {likely}, "
            "{latest}."
        ),
        "latest": "with ill luck on {day}",
        "latest_never": "with ill luck not within three years",
        "dry_in_shed": "In a heated shed that is likely on {day}.",
        "dry_too_late": (
            "In the open air that is too late for {day}: dry it in a shed, or only open, wash and air it by then."
        ),
        "meanwhile": "If a tool or a part is missing, {hold} meanwhile; the proper repair is due by {day}.",
        "sooner": "Come back sooner if it is {grown} mm larger, reads {points} points wetter, or shows any play.",
        "contradiction": (
            "What was recorded contradicts itself. The worse reading counts until somebody looks once more."
        ),
        "one_face": "Only one face of it was seen: look at the other before the work is settled.",
        "no_face": "No face of it was seen: look at both before the work is settled.",
        "taken_water": "water ({label})",
        "taken_load": "load ({label})",
        "taken": "Not recorded, so the worst that such a part meets was taken: {taken}.",
    }
)
HUNDREDTH = 0.01
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def day_in_words(day: date) -> str:
    """A day as an owner reads it: 1 May 2027."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def odds(probability: float) -> str:
    """A probability as people weigh it: about 3 in 100, about 1 in 400.

    Args:
        probability: above 0, at most 1; no unit.
    """
    if probability >= HUNDREDTH:
        return f"about {min(round(probability * 100), 99)} in 100"
    digits = len(str(round(1 / probability))) - 1
    return f"about 1 in {round(1 / probability, -digits):,.0f}".replace(",", " ")


def within_a_sentence(name: str) -> str:
    """A name without its capital, save where it begins with a single letter or an abbreviation."""
    return name[0].lower() + name[1:] if name[1:2].islower() else name


def joined(words: Sequence[str]) -> str:
    """Words as people list them: one, two and three."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _number(figure: float) -> str:
    return f"{figure:g}"


def _months(months: float) -> str:
    return f"{months:.0f} months"


def _label(member: Labelled) -> str:
    return member.label


def _sign(sign: SignFacts) -> str:
    return within_a_sentence(sign.name)


ENGLISH = Speech(
    language="en",
    sentences=SENTENCES,
    what_it_is=WHAT_IT_IS,
    split_but_unloaded=SPLIT_BUT_UNLOADED,
    if_it_fails=IF_IT_FAILS,
    how_likely=HOW_LIKELY,
    risk=RISK_IN_WORDS,
    when=WHEN,
    because=MappingProxyType({reason: reason.label for reason in Because}),
    to_do_by=TO_DO_BY,
    to_do_now=TO_DO_NOW,
    trend=TREND_IN_WORDS,
    label=_label,
    sign=_sign,
    listed=joined,
    because_of=joined,
    day=day_in_words,
    number=_number,
    odds=odds,
    months=_months,
)
