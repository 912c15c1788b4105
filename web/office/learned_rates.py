"""What the yard's own rechecks say of the rates of the rules."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from operator import attrgetter

from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.judgement.rechecks import LearnedStep
from inspections.services.rechecks import learned_today
from web.base.members import MemberRequest, for_managers
from web.base.pages import page


@dataclass(frozen=True, slots=True)
class RateLine:
    """A step's rate with water or without, in figures that are read."""

    told: LearnedStep
    prior: Decimal
    passed: Decimal
    years: Decimal
    posterior: Decimal
    low: Decimal
    high: Decimal
    in_use: Decimal


@dataclass(frozen=True, slots=True)
class StepLines:
    name: str
    lines: tuple[RateLine, ...]


@require_safe
@for_managers
def learned_rates(request: MemberRequest) -> HttpResponse:
    today = learned_today(yard=request.member.yard, at=timezone.now())
    return page(
        request,
        "learned_rates.html",
        {
            "here": "settings",
            "learned": today,
            "percent": Decimal(str(today.interval_probability)) * 100,
            "steps": [
                StepLines(in_words(step), tuple(_line(one) for one in lines))
                for step, lines in groupby(today.rates, key=attrgetter("step"))
            ],
            "not_told": [in_words(step).lower() for step in today.not_told_by_looks],
        },
    )


def in_words(step: str) -> str:
    """`decay_starts` as a heading: Decay starts."""
    return step.replace("_", " ").capitalize()


def _line(one: LearnedStep) -> RateLine:
    learned = one.learned
    return RateLine(
        told=one,
        prior=_read(learned.prior_mean_per_year),
        passed=_read(learned.transitions),
        years=_read(learned.exposure_years, digits=3),
        posterior=_read(learned.posterior_mean_per_year),
        low=_read(learned.interval_low_per_year),
        high=_read(learned.interval_high_per_year),
        in_use=_read(learned.in_use_per_year),
    )


def _read(figure: float, *, digits: int = 2) -> Decimal:
    """To so many digits that mean something; whole figures in full."""
    return Decimal(round(figure)) if figure >= 10**digits else Decimal(f"{figure:.{digits}g}")


__all__ = ["learned_rates"]
