from workshop.models.catalogue import Caution, Material, MaterialPack, Treatment
from workshop.models.jobs import Hold, Job, Operation, Verification, WorkLog
from workshop.models.learning import HoursAdopted
from workshop.models.quotes import (
    Decision,
    LinkOpening,
    OwnerLink,
    Quote,
    QuoteLine,
    ReminderStop,
    Reply,
    Report,
)

__all__ = [
    "Caution",
    "Decision",
    "Hold",
    "HoursAdopted",
    "Job",
    "LinkOpening",
    "Material",
    "MaterialPack",
    "Operation",
    "OwnerLink",
    "Quote",
    "QuoteLine",
    "ReminderStop",
    "Reply",
    "Report",
    "Treatment",
    "Verification",
    "WorkLog",
]
