"""A quote with a choice: a mast step that is put right or sealed and held, coats over it, and a toerail beside."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import Decision, Job, Quote, QuoteLine
from workshop.services.alternatives import job_alternative
from workshop.services.decisions import decision_make
from workshop.services.jobs import OperationSheet
from workshop.services.needs import job_needs_set
from workshop.services.option_groups import option_group_set
from workshop.services.quotes import quote_draft, quote_send

TITLE = "The mast step: now or at lay-up"
PROPER_BY = date(2027, 10, 15)
MEANS = "The water is kept out over the summer; the soft wood stays."


@dataclass
class Chosen:
    """The jobs by what they are: proper and hold exclude each other, coats need proper, beside stands alone."""

    spring: Spring
    jobs: dict[str, Job]
    quote: Quote = field(init=False)

    def draft(self, *names: str) -> Quote:
        """A draft of these jobs, all of them where none is named, with the choice where both its ways are in it."""
        wanted = names or tuple(self.jobs)
        jobs = [self.jobs[name] for name in wanted]
        self.quote = quote_draft(inspection=self.spring.inspection, jobs=jobs, by=self.spring.manager, at=AT)
        if {"proper", "hold"} <= set(wanted):
            self.choose()
        return self.quote

    def choose(self) -> None:
        ways = [self.jobs["proper"], self.jobs["hold"]]
        option_group_set(quote=self.quote, title=TITLE, jobs=ways)

    def sent(self, *names: str) -> Quote:
        self.quote = quote_send(quote=self.draft(*names), by=self.spring.manager, at=AT)
        return self.quote

    def line(self, name: str) -> QuoteLine:
        found: QuoteLine = self.quote.lines.get(job=self.jobs[name])
        return found

    def say(self, name: str, verdict: str, *along: str, read: bool = True) -> Decision:
        return decision_make(
            line=self.line(name),
            verdict=verdict,
            digest=self.quote.digest,
            at=AT,
            owner=self.spring.boat.decider_owner,
            read=read,
            along=[self.line(each).pk for each in along],
        )

    def states(self) -> dict[str, str]:
        return {name: Job.objects.get(pk=job.pk).state for name, job in self.jobs.items()}

    def words(self) -> dict[str, str]:
        rows = Decision.objects.filter(line__quote=self.quote).exclude(verdict="ask").select_related("line")
        said = {decision.line.job_id: decision.verdict for decision in rows}
        return {name: said[job.pk] for name, job in self.jobs.items() if job.pk in said}


def a_choice(*, severity: int = 3, **boat: object) -> Chosen:
    """The jobs, proposed; with severity 1 the mast step is unsafe to leave."""
    spring = a_spring(**boat)
    step = spring.finding(spring.component("Mast step"), "SEAM", severity=severity, priority="before_launch")
    spring.finding(spring.component("Mast partners"), "REBED_SEALANT", priority="this_season")
    spring.finding(spring.component("Toerail"), "REBED_SEALANT", priority="next_layup", severity=4)
    proper, coats, beside = sorted(spring.propose(), key=lambda job: job.pk)
    hold = job_alternative(
        job=proper,
        by=spring.manager,
        at=AT,
        title="Mast step: seal and hold until lay-up",
        operations=[OperationSheet("REBED_SEALANT", step.pk, Decimal(1))],
        means=MEANS,
        proper_by=PROPER_BY,
    )
    job_needs_set(job=coats, needed=[proper])
    return Chosen(spring, {"proper": proper, "hold": hold, "coats": coats, "beside": beside})


__all__ = ["MEANS", "PROPER_BY", "TITLE", "Chosen", "a_choice"]
