"""Jobs of a quote that exclude each other or need each other: what goes together, and what a word on one means for
the others. Pure.

An option group is one question with several ways to answer it: at most one of its jobs is approved. A job that
needs others is approved with them or after them, and can't be had without.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from typing import Protocol, TypeVar


class Choosable(Protocol):
    """A job as far as choosing goes. `option` names its group; empty where it stands for itself."""

    @property
    def id(self) -> int: ...
    @property
    def option(self) -> str: ...
    @property
    def recommended(self) -> bool: ...
    @property
    def needs(self) -> tuple[int, ...]: ...


J = TypeVar("J", bound=Choosable)


@dataclass(frozen=True, slots=True)
class Follows:
    """What a word on one job settles besides it, by the ids of the jobs.

    Attributes:
        approved: undecided jobs that it needs, and that have to be approved with it.
        declined: undecided jobs that need it, and that can't be had any more.
        rivals: the other undecided options of its own group.
        instead: the other undecided options of the groups of what is approved with it.
        ruled_out: undecided jobs that need a way that is not chosen.
    """

    approved: tuple[int, ...] = ()
    declined: tuple[int, ...] = ()
    rivals: tuple[int, ...] = ()
    instead: tuple[int, ...] = ()
    ruled_out: tuple[int, ...] = ()

    @property
    def to_be_told(self) -> tuple[int, ...]:
        """Jobs that nobody would expect to be settled by this word: the decider says yes to these by name."""
        return (*self.approved, *self.declined, *self.instead, *self.ruled_out)


def options_of(jobs: Iterable[J]) -> Mapping[str, list[J]]:
    """The jobs of each group by its name, in the order of the quote."""
    groups: dict[str, list[J]] = {}
    for job in jobs:
        if job.option:
            groups.setdefault(job.option, []).append(job)
    return groups


def needed_by(job_id: int, jobs: Iterable[Choosable]) -> AbstractSet[int]:
    """All that a job needs, and what that needs in turn; the job itself only where needs go in a ring."""
    needs = {job.id: job.needs for job in jobs}
    return _reached(needs.get(job_id, ()), needs)


def dependents_of(job_ids: Iterable[int], jobs: Iterable[Choosable]) -> AbstractSet[int]:
    """All that needs one of these jobs, directly or by way of others."""
    needers: dict[int, list[int]] = {}
    for job in jobs:
        for needed in job.needs:
            needers.setdefault(needed, []).append(job.id)
    wanted = [needer for each in job_ids for needer in needers.get(each, ())]
    return _reached(wanted, needers)


def advised(jobs: Sequence[J]) -> tuple[J, ...]:
    """The jobs that the yard advises: of each group one, and nothing that needs a way that was not advised."""
    return still_open(jobs, {job.id for job in jobs})


def still_open(jobs: Sequence[J], undecided: Collection[int]) -> tuple[J, ...]:
    """Of the undecided jobs those that can be had together: of each group the advised way, or else the first."""
    ways = {
        max((job for job in group if job.id in undecided), key=lambda job: job.recommended, default=group[0]).id
        for group in options_of(jobs).values()
    }
    chosen = [job for job in jobs if job.id in undecided and (not job.option or job.id in ways)]
    while True:
        there = {job.id for job in chosen} | {job.id for job in jobs if job.id not in undecided}
        standing = [job for job in chosen if there.issuperset(job.needs)]
        if len(standing) == len(chosen):
            return tuple(standing)
        chosen = standing


def contradiction(jobs: Sequence[Choosable]) -> tuple[int, str] | None:
    """What can't be in these groups and needs: the job it shows at, and a text that finishes "the job …".

    A ring of needs is one job in several pieces. Two options of one group can't both be had, so nothing may need
    both; and what is advised may not hang on a way that is not.
    """
    by_id = {job.id: job for job in jobs}
    for job in jobs:
        if not by_id.keys() >= set(job.needs):
            return job.id, "needs a job that is not in the quote"
        needed = needed_by(job.id, jobs)
        if job.id in needed:
            return job.id, "needs itself by way of others; join these jobs into one"
        options = [by_id[each].option for each in (job.id, *sorted(needed)) if by_id[each].option]
        if len(options) != len(set(options)):
            return job.id, "needs two ways that exclude each other"
        if job.recommended and any(by_id[each].option and not by_id[each].recommended for each in needed):
            return job.id, "is advised and needs a way that is not advised"
    for title, group in options_of(jobs).items():
        if len(group) < 2:
            return group[0].id, f"is the only way of {title!r}; a choice has two at least"
        if sum(job.recommended for job in group) != 1:
            return group[0].id, f"belongs to {title!r}, where not exactly one way is advised"
    return None


def follows_approval(job_id: int, jobs: Sequence[Choosable], undecided: Collection[int]) -> Follows:
    """What a yes to a job settles besides it. Jobs that hold no contradiction."""
    by_id = {job.id: job for job in jobs}
    approved = {each for each in needed_by(job_id, jobs) if each in undecided}
    yes = approved | {job_id}
    titles = {by_id[each].option for each in yes} - {""}
    against = {job.id for job in jobs if job.option in titles and job.id in undecided and job.id not in yes}
    rivals = {each for each in against if by_id[each].option == by_id[job_id].option}
    lost = {each for each in dependents_of(against, jobs) if each in undecided} - against
    return Follows(
        approved=_in_order(approved, jobs),
        rivals=_in_order(rivals, jobs),
        instead=_in_order(against - rivals, jobs),
        ruled_out=_in_order(lost, jobs),
    )


def follows_refusal(job_id: int, jobs: Sequence[Choosable], undecided: Collection[int]) -> Follows:
    """What a no to a job settles besides it."""
    return Follows(declined=_in_order({each for each in dependents_of([job_id], jobs) if each in undecided}, jobs))


def _reached(begin: Iterable[int], onward: Mapping[int, Sequence[int]]) -> AbstractSet[int]:
    found: set[int] = set()
    ahead = list(begin)
    while ahead:
        each = ahead.pop()
        if each not in found:
            found.add(each)
            ahead.extend(onward.get(each, ()))
    return found


def _in_order(ids: AbstractSet[int], jobs: Iterable[Choosable]) -> tuple[int, ...]:
    return tuple(job.id for job in jobs if job.id in ids)


__all__ = [
    "Choosable",
    "Follows",
    "advised",
    "contradiction",
    "dependents_of",
    "follows_approval",
    "follows_refusal",
    "needed_by",
    "options_of",
    "still_open",
]
