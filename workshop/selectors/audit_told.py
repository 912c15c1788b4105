"""How each kind of row of who did what is told: who, in what words, and which page tells more."""

from __future__ import annotations

from typing import Any, Final

from inspections.judgement.rules.figure_words import moved_words
from inspections.judgement.rules.own_figures import figures_moved
from inspections.judgement.vocabulary import Answer, Priority
from inspections.models import Overruling, TemplateVersion
from workshop.models import Decision, HoursAdopted, Quote, Reply, Verification
from yard.models import Deed
from yard.told_changes import value_told

FIGURES_TOLD: Final = 3

Told = tuple[str, str, str, object]


def entry_told(row: Any) -> Told:
    told = f"{row.boat_name}, {row.part_name or row.elsewhere}: {Answer(row.answer).label}"
    return row.author_name, told, "inspection", row.inspection_id


def overruling_told(row: Overruling) -> Told:
    told = f"{row.finding.boat.name}: {Priority(row.priority).label}; {row.reason}"
    return row.by.name, told, "finding", row.finding_id


def quote_told(row: Quote) -> Told:
    return row.sent_by.name if row.sent_by else "", f"{row.boat.name}, quote {row.number}", "quote", row.pk


def decision_told(row: Decision) -> Told:
    quote = row.line.quote
    decider = row.owner or row.member
    told = f"{quote.boat.name}, quote {quote.number}, job {row.line.position}: {row.get_verdict_display()}"
    return decider.name if decider else "", told, "quote", quote.pk


def reply_told(row: Reply) -> Told:
    quote = row.line.quote
    told = f"{quote.boat.name}, quote {quote.number}, job {row.line.position}"
    return row.member.name, told, "quote", quote.pk


def verification_told(row: Verification) -> Told:
    if row.finding is not None:
        return row.by.name, row.finding.boat.name, "finding", row.finding_id
    return row.by.name, row.surface.boat.name if row.surface else "", "", None


def published_told(row: TemplateVersion) -> Told:
    told = f"{row.template.title}, version {row.number}: {row.note}"
    return row.published_by.name if row.published_by else "", told, "template", row.template_id


def rules_told(row: Any) -> Told:
    moved = figures_moved(row.before or {}, row.overrides)
    told = [moved_words(name, _figure(was), _figure(now)) for name, was, now in moved[:FIGURES_TOLD]]
    if len(moved) > FIGURES_TOLD:
        told.append(f"and {len(moved) - FIGURES_TOLD} more")
    return row.adopted_by.name, "; ".join([*told, row.why]), "rules", None


def _figure(value: float | None) -> str:
    return "nothing" if value is None else f"{value:g}"


def hours_told(row: HoursAdopted) -> Told:
    was = (row.hours_low_before, row.hours_likely_before, row.hours_high_before)
    now = (row.hours_low, row.hours_likely, row.hours_high)
    hours = " to ".join("/".join(map(value_told, those)) for those in (was, now))
    return row.adopted_by.name, f"{row.treatment.name}: {hours} hours; {row.why}", "hours", None


def deed_told(row: Deed) -> Told:
    told = row.told
    if row.about is not None and row.about_id != row.by_id and row.about.name not in told:
        told = f"{row.about.name}: {told}" if told else row.about.name
    thing, _, key = row.thing.partition(":")
    return row.by.name if row.by else "", told, thing, key


__all__ = [
    "Told",
    "decision_told",
    "deed_told",
    "entry_told",
    "hours_told",
    "overruling_told",
    "published_told",
    "quote_told",
    "reply_told",
    "rules_told",
    "verification_told",
]
