"""The findings queue for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from inspections.judgement.vocabulary import Priority
from workshop.report.words import tag_text
from workshop.selectors.findings_queue import QueueLine
from yard.models import Yard
from yard.safe_cells import csv_text

CSV_HEAD: Final = (
    "finding", "boat", "season", "place", "tag", "signs", "size_mm", "priority", "overruled", "due_back_on",
    "found_on", "days", "advised", "seen_by", "state", "new", "jobs", "doubtful",
)  # fmt: skip


def findings_csv(lines: Iterable[QueueLine], yard: Yard) -> str:
    """The lines for a spreadsheet (RFC 4180). What it would read as a formula begins with an apostrophe."""
    return csv_text(CSV_HEAD, (_cells(line, yard) for line in lines))


def _cells(line: QueueLine, yard: Yard) -> tuple[str, ...]:
    finding = line.finding
    size, due = finding.entry.size_mm, finding.standing_due_back_on
    priority = finding.standing_priority
    return (
        str(finding.pk),
        finding.boat.name,
        str(finding.inspection.season_year),
        line.place,
        tag_text(finding.spot.tag) if finding.spot is not None else "",
        ", ".join(line.signs),
        "" if size is None else f"{size.normalize():f}",
        "not judged yet" if priority is None else str(Priority(priority).label),
        "yes" if finding.is_overruled else "",
        "" if due is None else due.isoformat(),
        finding.found_at.astimezone(yard.zone).date().isoformat(),
        str(line.days),
        ", ".join(line.advised),
        finding.entry.author.name,
        finding.get_state_display(),
        "yes" if finding.is_new else "",
        "; ".join(f"{job.title} ({job.get_state_display()})" for job in line.jobs),
        line.asked.note if line.asked is not None else line.doubt,
    )


__all__ = ["CSV_HEAD", "findings_csv"]
