from inspections.models.catalogue import Sign, Template, TemplateVersion
from inspections.models.findings import Assessment, DueBack, Finding, Overruling
from inspections.models.inspections import (
    Check,
    Entry,
    EntryPhoto,
    Inspection,
    OpeningStep,
    Photo,
    Reading,
    SetAside,
)
from inspections.models.opening import StepEntry
from inspections.models.queue import Acknowledgement, FindingJoin, SecondLookAsk
from inspections.models.rules import RuleEdition

__all__ = [
    "Acknowledgement",
    "Assessment",
    "Check",
    "DueBack",
    "Entry",
    "EntryPhoto",
    "Finding",
    "FindingJoin",
    "Inspection",
    "OpeningStep",
    "Overruling",
    "Photo",
    "Reading",
    "RuleEdition",
    "SecondLookAsk",
    "SetAside",
    "Sign",
    "StepEntry",
    "Template",
    "TemplateVersion",
]
