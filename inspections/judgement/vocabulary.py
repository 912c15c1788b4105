"""The words of judgement: answers, what was seen beside a sign, and what it comes to.

Codes are the same in code, JSON and database; each member has a plain English `label`. What is worse than what is
no matter of this file: the orders stand in the rule data.
"""

from __future__ import annotations

from yard.vocabulary import Contact, Labelled, Load, SafetyRole, Water


class Answer(Labelled):
    """The answer to a check. Silence is none."""

    SOUND = "sound", "sound"
    FINDING = "finding", "finding"
    NOT_SEEN = "not_seen", "not seen"
    NOT_FITTED = "not_fitted", "not fitted"


class Condition(Labelled):
    """The state a place is in."""

    FINISH_ONLY = "finish_only", "finish only"
    WATER_WAY_OPEN = "water_way_open", "a way in for water is open"
    WATER_IN = "water_in", "water is in"
    DECAY = "decay", "decay"
    JOINT_MOVES = "joint_moves", "the joint moves"
    SPLIT_IN_LOAD_PATH = "split_in_load_path", "split where the load runs"
    METAL_WASTING = "metal_wasting", "metal is wasting"
    UNSEEN = "unseen", "out of sight"
    GONE = "gone", "the part is gone"


class Exposure(Labelled):
    """Whether water reaches a place: what rechecks are told apart by."""

    WET = "wet", "water reaches it"
    DRY = "dry", "no water reaches it"


class Priority(Labelled):
    """When."""

    BEFORE_LAUNCH = "before_launch", "before launch"
    THIS_SEASON = "this_season", "this season"
    NEXT_LAYUP = "next_layup", "next lay-up"
    WATCH = "watch", "watch"


class Because(Labelled):
    """Why a priority, in words that follow "because"."""

    NOTHING_LEFT = "nothing_left", "nothing is left there that could fail"
    NOT_LONG_UNSEEN = "not_long_unseen", "it has been out of sight for no longer than such a part may be"
    CLOSED_LONG_ENOUGH = "closed_long_enough", "the time that such a part may stay closed has nearly run"
    NOTHING_GAINED = "nothing_gained", "nothing is gained by touching it"
    STANDS_STILL = "stands_still", "it stands still, and can be done with other work ashore"
    TOO_HIGH_TO_LEAVE = "too_high_to_leave", "the risk is too high to leave, but nothing hangs on it"
    TOO_HIGH_AFLOAT = "too_high_afloat", "the risk is too high to go afloat with"
    GETS_WORSE = "gets_worse", "it is getting worse"
    MOVES = "moves", "it moves, and every movement opens it further"
    LOAD = "load", "the load works on it"
    WATER = "water", "water drives it on"


class ReasonGroup(Labelled):
    """What a sentence of a judgement is about, in the order in which a report tells it."""

    WHAT = "what", "what it is"
    GO_BY = "go_by", "what we go by"
    LIKELY = "likely", "how likely"
    WHEN = "when", "when"
    DO_NOT = "do_not", "not to be done"
    MEANWHILE = "meanwhile", "meanwhile"
    SEALED = "sealed", "to be sealed"
    BESIDES = "besides", "besides"


class RiskLevel(Labelled):
    """The levels of the matrix in MIL-STD-882E, Table III."""

    HIGH = "high", "high"
    SERIOUS = "serious", "serious"
    MEDIUM = "medium", "medium"
    LOW = "low", "low"
    ELIMINATED = "eliminated", "eliminated"


class DueBackKind(Labelled):
    """What somebody must be back for."""

    PUT_RIGHT = "put_right", "put right"
    LOOK_AGAIN = "look_again", "look again"
    OPEN_UP = "open_up", "open up and look"


class Seal(Labelled):
    """The film, bedding or seam that should keep water out."""

    INTACT = "intact", "whole"
    FILM_BROKEN = "film_broken", "film broken"
    PARTLY = "partly", "let go in part"
    REOPENED = "reopened", "sealed before and open again"
    OPEN = "open", "open"
    UNKNOWN = "unknown", "not known"


class Moves(Labelled):
    """Whether it moves under hand load."""

    NO = "no", "does not move"
    SUSPECTED = "suspected", "may move"
    YES = "yes", "moves"
    UNKNOWN = "unknown", "not tried"


class Trend(Labelled):
    """Against the last look."""

    NEW = "new", "new"
    UNCHANGED = "unchanged", "unchanged"
    GROWN = "grown", "grown"
    REOPENED = "reopened", "opened again after repair"
    UNKNOWN = "unknown", "not known"


class Sides(Labelled):
    """Which faces were seen."""

    NONE = "none", "no face"
    ONE = "one", "one face"
    BOTH = "both", "both faces"


__all__ = [
    "Answer",
    "Because",
    "Condition",
    "Contact",
    "DueBackKind",
    "Exposure",
    "Load",
    "Moves",
    "Priority",
    "ReasonGroup",
    "RiskLevel",
    "SafetyRole",
    "Seal",
    "Sides",
    "Trend",
    "Water",
]
