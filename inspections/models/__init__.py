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
from inspections.models.rules import RuleEdition

__all__ = [
    "Assessment",
    "Check",
    "DueBack",
    "Entry",
    "EntryPhoto",
    "Finding",
    "Inspection",
    "OpeningStep",
    "Overruling",
    "Photo",
    "Reading",
    "RuleEdition",
    "SetAside",
    "Sign",
    "StepEntry",
    "Template",
    "TemplateVersion",
]
