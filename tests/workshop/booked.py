"""A yard with jobs that are done and the hours that were booked on them."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from inspections.models import Finding
from tests.factories.workshop import JobFactory, OperationFactory
from tests.workshop.spring import AT, TODAY, Spring, a_spring, next_id
from workshop.models import Job, Treatment, WorkLog


@dataclass
class Booked:
    """The spring's yard and its rebedding, by the fitting: 1 to 3 hours, likely 1.5, set-up 0.3."""

    spring: Spring = field(default_factory=a_spring)

    def __post_init__(self) -> None:
        post = self.spring.component("Samson post", "foredeck")
        self.finding: Finding = self.spring.finding(post, "REBED_SEALANT")

    def treatment(self, code: str = "REBED_SEALANT") -> Treatment:
        return Treatment.objects.of_yard(self.spring.yard).get(code=code)

    def done(self, *booked: str, codes: tuple[str, ...] = ("REBED_SEALANT",), state: str = "done") -> Job:
        """A job with an operation of one unit for each code, and these bookings."""
        job: Job = JobFactory.create(inspection=self.spring.inspection, state=state, key=f"booked:{next_id()}")
        for code in codes:
            OperationFactory.create(job=job, treatment=self.treatment(code), finding=self.finding)
        for hours in booked:
            self.book(job, hours)
        return job

    def book(self, job: Job, hours: str, on: date = TODAY) -> None:
        WorkLog.objects.create(
            yard=job.yard, job=job, member=self.spring.technician, worked_on=on, hours=Decimal(hours), booked_at=AT
        )


__all__ = ["Booked"]
