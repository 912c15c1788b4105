"""Choices in a draft quote: jobs that exclude each other, of which the yard advises one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from django.db import transaction

from workshop.models import Job, OptionGroup, Quote, QuoteLine
from yard.refusals import Refused

LONGEST_TITLE: Final = 120
MOST_OPTIONS: Final = 6


@transaction.atomic
def option_group_set(
    *, quote: Quote, title: str, jobs: Sequence[Job], recommended: Job | None = None
) -> OptionGroup:
    """Make a choice of jobs of a draft: the decider can say yes to one of them at most.

    A job that was in another choice comes out of it; a choice of the same title is made anew.

    Args:
        title: what is to be chosen, as the decider reads it.
        jobs: two to six jobs of the quote.
        recommended: the one that the yard advises and that the sums reckon with; the first where none is given.

    Raises:
        Refused: the quote is no draft, there is no title, fewer than two jobs or one that is not in the quote, or
            the advised one is not among them.
    """
    held = _draft(quote)
    name = _title(title)
    if not 2 <= len({job.pk for job in jobs}) <= MOST_OPTIONS:
        raise Refused("jobs", f"are {len(jobs)}", f"give two to {MOST_OPTIONS} jobs that exclude each other")
    advised = recommended or jobs[0]
    if advised.pk not in {job.pk for job in jobs}:
        raise Refused("recommended", "is none of these jobs", "advise one of them")
    lines = {line.job_id: line for line in held.lines.all()}
    for job in jobs:
        if job.pk not in lines:
            raise Refused(f"jobs.{job.pk}", "is not in the quote", "put it in first")
    for before in OptionGroup.objects.filter(quote=held, title=name):
        _dissolve(before)
    group: OptionGroup = OptionGroup.objects.create(yard_id=held.yard_id, quote=held, title=name)
    held.lines.filter(job__in=[job.pk for job in jobs]).update(option_group=group, recommended=False)
    held.lines.filter(job=advised.pk).update(recommended=True)
    groups_tidy(held)
    return group


@transaction.atomic
def option_group_dissolve(*, group: OptionGroup) -> None:
    """Let the jobs of a choice stand for themselves again.

    Raises:
        Refused: the quote is no draft.
    """
    _draft(group.quote)
    _dissolve(group)


def groups_tidy(quote: Quote) -> None:
    """After jobs came or went: a choice of one is none, and of each choice one way is advised."""
    for group in OptionGroup.objects.filter(quote=quote).prefetch_related("lines"):
        lines = sorted(group.lines.all(), key=lambda line: line.position)
        if len(lines) < 2:
            _dissolve(group)
        elif not any(line.recommended for line in lines):
            QuoteLine.objects.filter(pk=lines[0].pk).update(recommended=True)


def groups_carry_over(old: Quote, draft: Quote) -> None:
    """Make the choices of a quote in its successor, as far as their jobs are in it."""
    fresh = {line.job_id: line for line in draft.lines.all()}
    for group in OptionGroup.objects.filter(quote=old).prefetch_related("lines"):
        lines = [line for line in group.lines.all() if line.job_id in fresh]
        if len(lines) < 2:
            continue
        new = OptionGroup.objects.create(yard_id=draft.yard_id, quote=draft, title=group.title)
        for line in lines:
            QuoteLine.objects.filter(pk=fresh[line.job_id].pk).update(
                option_group=new, recommended=line.recommended
            )
    groups_tidy(draft)


def _dissolve(group: OptionGroup) -> None:
    group.lines.update(recommended=False, option_group=None)
    group.delete()


def _draft(quote: Quote) -> Quote:
    held: Quote = Quote.objects.select_for_update(of=("self",), no_key=True).get(pk=quote.pk)
    if held.state != Quote.State.DRAFT:
        raise Refused("state", f"the quote is {held.get_state_display()}", "choices are made while it is a draft")
    return held


def _title(title: str) -> str:
    name = title.strip()
    if not name:
        raise Refused("title", "is empty", "say in a few words what is to be chosen")
    if len(name) > LONGEST_TITLE:
        raise Refused("title", f"has {len(name)} characters", f"use {LONGEST_TITLE} at most")
    return name


__all__ = ["groups_carry_over", "groups_tidy", "option_group_dissolve", "option_group_set"]
