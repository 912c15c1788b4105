"""Taking note of findings: what nobody of the office has dealt with is new."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from inspections.models import Acknowledgement, Finding
from yard.models import Member


def findings_acknowledge(*, findings: Iterable[Finding], by: Member, at: datetime) -> None:
    """Note that somebody of the office has dealt with findings as they are told now.

    Who was first stays; the same again changes nothing. A later entry that tells a finding otherwise makes it new
    again.
    """
    Acknowledgement.objects.bulk_create(
        [
            Acknowledgement(yard_id=finding.yard_id, finding=finding, entry_id=finding.entry_id, by=by, made_at=at)
            for finding in findings
        ],
        ignore_conflicts=True,
    )


__all__ = ["findings_acknowledge"]
