from workshop.models.catalogue import Caution, Material, MaterialPack, Treatment
from workshop.models.due_book import CalendarFeed, DigestChoice
from workshop.models.job_links import ExtraWork, JobNeed
from workshop.models.jobs import Hold, Job, Operation, WorkLog
from workshop.models.learning import HoursAdopted
from workshop.models.owner_links import LinkOpening, OwnerLink, ReminderStop
from workshop.models.quotes import Decision, OptionGroup, Quote, QuoteLine, Reply, Report
from workshop.models.surfaces import SurfaceWork
from workshop.models.verification import SecondLook, Verification, VerificationReading
from workshop.models.work import MaterialLog, MeterReading, StepTick

__all__ = [
    "CalendarFeed",
    "Caution",
    "Decision",
    "DigestChoice",
    "ExtraWork",
    "Hold",
    "HoursAdopted",
    "Job",
    "JobNeed",
    "LinkOpening",
    "Material",
    "MaterialLog",
    "MaterialPack",
    "MeterReading",
    "Operation",
    "OptionGroup",
    "OwnerLink",
    "Quote",
    "QuoteLine",
    "ReminderStop",
    "Reply",
    "Report",
    "SecondLook",
    "StepTick",
    "SurfaceWork",
    "Treatment",
    "Verification",
    "VerificationReading",
    "WorkLog",
]
