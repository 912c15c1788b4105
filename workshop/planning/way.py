"""How far a boat is on her way through the spring, and what blocks her. Pure: the day of today is an argument.

A stage is what lies behind her. `opened up` and `in work` are reached when they are begun, the others when they are
done. What a boat does not need (no job came of what was found) is behind her as soon as the stage before it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from yard.vocabulary import Labelled
from yard.weeks import days_overdue


class Stage(Labelled):
    """The way through the spring, in its order."""

    BOOKED = "booked", "booked"
    OPENED_UP = "opened_up", "opened up"
    INSPECTED = "inspected", "inspected"
    JUDGED = "judged", "judged"
    QUOTED = "quoted", "quoted"
    DECIDED = "decided", "decided"
    IN_WORK = "in_work", "in work"
    VERIFIED = "verified", "verified"
    AFLOAT = "afloat", "afloat"


STAGES = tuple(Stage)


class Blocker(Labelled):
    """What kind of thing blocks a boat, in the order in which it is to be cleared away."""

    LOOK = "look", "still to be looked at"
    SET_ASIDE = "set_aside", "entries set aside"
    JUDGEMENT = "judgement", "findings not judged yet"
    QUOTE = "quote", "a quote to be made or sent"
    QUESTION = "question", "a question of the decider"
    DECISION = "decision", "a quote that waits"
    HOLD = "hold", "a hold"
    WORK = "work", "work to be done"
    VERIFYING = "verifying", "work to be verified"
    NOT_SEEN = "not_seen", "places not seen"
    LAUNCH = "launch", "the launch day has passed"
    AFLOAT = "afloat", "afloat with work from before launch"


# Told, but it keeps no boat ashore: the due-back book says by when somebody has to look.
TOLD_ONLY = frozenset({Blocker.NOT_SEEN})


@dataclass(frozen=True, slots=True)
class Block:
    """One thing that blocks a boat, and how it is told."""

    kind: Blocker
    told: str


@dataclass(frozen=True, slots=True)
class QuoteFacts:
    """A quote that is drafted or sent, and not settled.

    Attributes:
        sent: it is with the decider; otherwise it is a draft.
        since: the day it was sent, or drawn up.
        jobs, decided, questions: how many jobs it has, are decided, and wait for an answer of the yard.
    """

    number: int
    sent: bool
    since: date
    jobs: int
    decided: int
    questions: int


@dataclass(frozen=True, slots=True)
class HoldFacts:
    """What a job waits for: the kind in words, and the day it is expected."""

    told: str
    expected_on: date


@dataclass(frozen=True, slots=True)
class JobFacts:
    """How many of a boat's jobs are in which state."""

    proposed: int = 0
    approved: int = 0
    in_work: int = 0
    stopped: int = 0
    done: int = 0
    verified: int = 0

    @property
    def to_do(self) -> int:
        return self.approved + self.in_work + self.stopped

    @property
    def begun(self) -> int:
        return self.in_work + self.stopped + self.done + self.verified


@dataclass(frozen=True, slots=True)
class BoatFacts:
    """What is known of a boat in one season.

    Attributes:
        opened: there is an inspection.
        closed: it is closed.
        steps, steps_said: opening-up steps, and those of which it was said that they are done or not possible.
        checks, answered, not_seen: questions, those with an answer, and those answered so.
        before_launch: findings of this priority that have not ended.
        quotes: those that are drafted or sent, the oldest first.
    """

    decider: str
    launch_on: date | None = None
    afloat_on: date | None = None
    opened: bool = False
    closed: bool = False
    steps: int = 0
    steps_said: int = 0
    checks: int = 0
    answered: int = 0
    not_seen: int = 0
    photos_missing: int = 0
    set_aside: int = 0
    unjudged: int = 0
    before_launch: int = 0
    jobs: JobFacts = JobFacts()
    quotes: tuple[QuoteFacts, ...] = ()
    holds: tuple[HoldFacts, ...] = ()


def stage_of(boat: BoatFacts) -> Stage:
    """The last stage behind her that has no gap before it. Work that has begun counts, whatever else waits."""
    if boat.afloat_on is not None:
        return Stage.AFLOAT
    stage = Stage.BOOKED
    for reached, is_behind in _behind(boat):
        if not is_behind:
            break
        stage = reached
    jobs = boat.jobs
    if jobs.begun and jobs.to_do + jobs.done and STAGES.index(stage) < STAGES.index(Stage.IN_WORK):
        return Stage.IN_WORK
    return stage


def _behind(boat: BoatFacts) -> Iterator[tuple[Stage, bool]]:
    jobs = boat.jobs
    yield Stage.OPENED_UP, boat.opened and (boat.closed or boat.steps_said > 0 or boat.answered > 0)
    yield Stage.INSPECTED, boat.closed
    yield Stage.JUDGED, boat.unjudged == 0
    yield Stage.QUOTED, jobs.proposed == 0 and all(quote.sent for quote in boat.quotes)
    yield Stage.DECIDED, not boat.quotes
    yield Stage.IN_WORK, jobs.begun > 0 or jobs.approved == 0
    yield Stage.VERIFIED, jobs.to_do == 0 and jobs.done == 0


def blocks_of(boat: BoatFacts, today: date) -> tuple[Block, ...]:
    """What blocks her, in the order of the work, the first to be cleared away first."""
    return tuple(Block(kind, told) for kind, told in _blocks(boat, today))


def is_clear(blocks: Iterable[Block]) -> bool:
    """Whether nothing keeps her ashore."""
    return all(block.kind in TOLD_ONLY for block in blocks)


def _blocks(boat: BoatFacts, today: date) -> Iterator[tuple[Blocker, str]]:
    if not boat.opened:
        yield Blocker.LOOK, "inspection to be opened"
    elif not boat.closed:
        yield from _looking(boat)
    yield from _some(Blocker.SET_ASIDE, boat.set_aside, "entry set aside", "entries set aside")
    yield from _some(Blocker.JUDGEMENT, boat.unjudged, "finding not judged yet", "findings not judged yet")
    yield from _asking(boat, today)
    if boat.holds:
        first = min(hold.expected_on for hold in boat.holds)
        kinds = ", ".join(dict.fromkeys(hold.told for hold in boat.holds))
        yield Blocker.HOLD, f"holds: {kinds}, expected {_expected(first, today)}"
    yield from _some(Blocker.WORK, boat.jobs.to_do, "job to be done", "jobs to be done")
    yield from _some(Blocker.VERIFYING, boat.jobs.done, "job to be verified", "jobs to be verified")
    yield from _some(Blocker.NOT_SEEN, boat.not_seen, "place not seen", "places not seen")
    if boat.afloat_on is not None:
        yield from _some(
            Blocker.AFLOAT,
            boat.before_launch,
            "finding was to be put right before launch",
            "findings were to be put right before launch",
        )
    elif boat.launch_on is not None and boat.launch_on < today:
        yield Blocker.LAUNCH, f"launch day passed {_days((today - boat.launch_on).days)} ago"


def _looking(boat: BoatFacts) -> Iterator[tuple[Blocker, str]]:
    to_open = boat.steps - boat.steps_said
    to_answer = boat.checks - boat.answered
    if to_answer > 0 and (boat.steps_said or not boat.answered):
        # Whoever answers without ticking any step has opened up what they looked at, and does not tick.
        yield from _some(Blocker.LOOK, to_open, "step of opening up to do", "steps of opening up to do")
    yield from _some(Blocker.LOOK, to_answer, "check to answer", "checks to answer")
    yield from _some(Blocker.LOOK, boat.photos_missing, "photo not here yet", "photos not here yet")
    if to_answer <= 0 and not boat.photos_missing:
        yield Blocker.LOOK, "inspection to be closed"


def _asking(boat: BoatFacts, today: date) -> Iterator[tuple[Blocker, str]]:
    drafts = [quote for quote in boat.quotes if not quote.sent]
    for quote in drafts:
        yield Blocker.QUOTE, f"quote {quote.number} to be sent"
    if not drafts:
        yield from _some(Blocker.QUOTE, boat.jobs.proposed, "job to be quoted", "jobs to be quoted")
    for quote in boat.quotes:
        if quote.sent:
            yield from _some(
                Blocker.QUESTION, quote.questions, "question to be answered", "questions to be answered"
            )
            left = f"{boat.decider} to decide on {quote.jobs - quote.decided} of {quote.jobs}"
            yield Blocker.DECISION, f"quote {quote.number} {waited(quote.since, today)}: {left}"


def waited(since: date, today: date) -> str:
    """How long a quote has been with its decider."""
    days = (today - since).days
    return "went out today" if days <= 0 else f"has waited {_days(days)}"


def _expected(day: date, today: date) -> str:
    return f"{_days((today - day).days)} ago" if day < today else days_overdue(day, today)


def _days(days: int) -> str:
    return f"{days} day{'' if days == 1 else 's'}"


def _some(kind: Blocker, number: int, one: str, many: str) -> Iterator[tuple[Blocker, str]]:
    if number > 0:
        yield kind, f"{number} {one if number == 1 else many}"


__all__ = [
    "STAGES",
    "Block",
    "Blocker",
    "BoatFacts",
    "HoldFacts",
    "JobFacts",
    "QuoteFacts",
    "Stage",
    "blocks_of",
    "is_clear",
    "stage_of",
    "waited",
]
