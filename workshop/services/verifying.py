"""The look afterwards that ends a finding: by photo or reading, and by two people where much hangs on the place."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from typing import Final

from django.db import transaction

from inspections.judgement.repaired import LookAfter
from inspections.models import EntryPhoto, Finding, Photo
from inspections.services.after_repair import look_after
from inspections.services.due_back import due_back_set
from inspections.services.findings import finding_set_state
from workshop.models import Job, Operation, SecondLook, Verification, VerificationReading
from workshop.services.standing import standing_of
from workshop.services.work import job_end_if_seen
from yard.models import Member
from yard.refusals import Refused

GRAVE: Final = 2  # severities 1 and 2 of MIL-STD-882E want a second pair of eyes
# What is measured at a repair, in which unit, and the most that is no slip of the pen.
MEASURED: Final = {"moisture": ("%", Decimal(120)), "play": ("mm", Decimal(100)), "gap": ("mm", Decimal(100))}
NOTE_LENGTH: Final = 2000
REASON_LENGTH: Final = 300
_DIGEST: Final = re.compile(r"[0-9a-f]{64}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Measured:
    """A figure measured at the look: moisture in % of dry mass, play or gap in mm."""

    quantity: str
    value: Decimal
    unit: str = ""

    def __str__(self) -> str:
        return f"{self.quantity} {self.value.normalize():f} {MEASURED[self.quantity][0]}"


@transaction.atomic
def finding_verify(
    *,
    finding: Finding,
    by: Member,
    at: datetime,
    photo_sha256: str = "",
    readings: Sequence[Measured] = (),
    look_again_on: date | None = None,
    look_again_reason: str = "",
    note: str = "",
) -> Verification:
    """The look afterwards. It ends the finding; where severity is 1 or 2 it waits for somebody else's look.

    Args:
        photo_sha256: of a photo that the yard holds, taken of this boat after the repair.
        look_again_on: None takes the day that the rules give; earlier as one likes, later with a reason, never past
            the class's interval.

    Raises:
        Refused: it is not repaired, there is no photo and no reading, one of them can't be, or the next look is not
            ahead or too late.
    """
    locked = _locked(finding)
    if by.yard_id != locked.yard_id:
        raise Refused("by", f"{by} is not of this yard", "name a member of the yard")
    if locked.state != Finding.State.REPAIRED:
        raise Refused("finding", f"is {locked.get_state_display()}", "it can be verified once its job is done")
    before = locked.verifications.select_related("second_look").order_by("-turn").first()
    if before is not None and before.waits_for_second_look:
        raise Refused("finding", "is looked at already", "it waits for somebody else's look")
    measured = [_checked(place, each) for place, each in enumerate(readings)]
    if len({each.quantity for each in measured}) < len(measured):
        raise Refused("readings", "name a quantity twice", "give each once, the worst of them")
    if not photo_sha256 and not measured:
        raise Refused("photo_sha256", "there is no photo and no reading", "give one of them")
    if photo_sha256:
        _refuse_photo(locked, photo_sha256)
    seen_on = at.astimezone(locked.yard.zone).date()
    judged = judged_look(locked, seen_on)
    again_on = judged.on if look_again_on is None else look_again_on
    _refuse_day(again_on, judged, seen_on, look_again_reason)
    verification: Verification = Verification(
        yard_id=locked.yard_id,
        finding=locked,
        turn=1 if before is None else before.turn + 1,
        job=Job.objects.filter(operations__finding=locked, state=Job.State.DONE).order_by("id").first(),
        by=by,
        needs_second_look=wants_second_look(locked),
        photo_sha256=photo_sha256,
        reading=", ".join(map(str, measured)),
        note=_short("note", note, NOTE_LENGTH),
        seen_at=at,
        look_again_on=again_on,
        look_again_kind=judged.kind,
        judged_look_on=judged.on,
        look_again_reason=look_again_reason.strip() if again_on > judged.on else "",
    )
    verification.save(force_insert=True)
    for each in measured:
        VerificationReading(
            yard_id=locked.yard_id,
            verification=verification,
            quantity=each.quantity,
            value=each.value,
            unit=MEASURED[each.quantity][0],
        ).save(force_insert=True)
    if not verification.needs_second_look:
        _end(locked, verification, at)
    return verification


@transaction.atomic
def second_look_give(
    *, verification: Verification, by: Member, holds: bool, at: datetime, note: str = ""
) -> SecondLook:
    """What somebody else sees of the repair, under their own name. It ends the finding, or opens it again.

    Given again by the same person with the same word it changes nothing.

    Raises:
        Refused: it is the one who looked first, there is a second look already, none is wanted, or a doubt without
            a word on what is wrong.
    """
    if verification.finding is None:
        raise Refused("verification", "is of a surface", "there one look is enough")
    finding = _locked(verification.finding)
    first = Verification.objects.select_related("by").get(pk=verification.pk)
    there = SecondLook.objects.filter(verification=first).first()
    if there is not None:
        if there.by_id == by.pk and there.holds == holds:
            return there
        raise Refused("verification", "has its second look", "there is nothing more to do")
    if by.yard_id != first.yard_id:
        raise Refused("by", f"{by} is not of this yard", "name a member of the yard")
    if not first.needs_second_look:
        raise Refused("verification", "asks for no second look", "there is nothing more to do")
    if by.pk == first.by_id:
        raise Refused("by", "is the one who looked first", "have somebody else look, under their own name")
    if finding.state != Finding.State.REPAIRED:
        raise Refused("finding", f"is {finding.get_state_display()}", "look at it as it stands now")
    if not holds and not note.strip():
        raise Refused("note", "is empty", "say what is wrong with the repair")
    look: SecondLook = SecondLook(
        yard_id=first.yard_id,
        verification=first,
        by=by,
        first_look_by=first.by,
        holds=holds,
        note=_short("note", note, NOTE_LENGTH),
        seen_at=at,
    )
    look.save(force_insert=True)
    if holds:
        _end(finding, first, at)
    else:
        finding_set_state(finding=finding, state=Finding.State.OPEN, at=at)
        for job in _jobs_done(finding):
            job.state, job.changed_at = Job.State.IN_WORK, at
            job.save(update_fields=["state", "changed_at"])
    return look


def wants_second_look(finding: Finding) -> bool:
    """Whether one pair of eyes is too few. What was never judged counts as grave."""
    stands = standing_of([finding]).get(finding.pk)
    return stands is None or stands.assessment.severity <= GRAVE


def judged_look(finding: Finding, seen_on: date) -> LookAfter:
    """The next look at a finding that was put right, by the rules.

    Where nothing was done but what holds it meanwhile, the proper repair is still due.
    """
    stands = standing_of([finding]).get(finding.pk)
    hold = None if stands is None else stands.assessment.document.get("hold")
    until = None
    if stands is not None and isinstance(hold, dict):
        done = set(
            Operation.objects.filter(
                finding=finding, job__state__in=(Job.State.DONE, Job.State.VERIFIED)
            ).values_list("treatment__code", flat=True)
        )
        proper = set(stands.assessment.treatments) - {hold["treatment"]}
        if hold["treatment"] in done and proper and not proper & done:
            until = date.fromisoformat(hold["until"])
    return look_after(finding=finding, seen_on=seen_on, proper_repair_by=until)


def _end(finding: Finding, verification: Verification, at: datetime) -> None:
    """The finding is over; its place has a day for the next look, and a job without any other one is over too."""
    finding_set_state(finding=finding, state=Finding.State.VERIFIED, at=at)
    reason = judged_look(finding, verification.seen_at.astimezone(finding.yard.zone).date()).reason
    if verification.look_again_reason:
        reason = f"{reason} Later than usual: {verification.look_again_reason}"
    due_back_set(
        due_on=verification.look_again_on,
        kind=verification.look_again_kind,
        reason=reason,
        finding=finding,
        at=at,
    )
    for job in _jobs_done(finding):
        job_end_if_seen(job, at)


def _jobs_done(finding: Finding) -> Iterator[Job]:
    done = Job.objects.filter(operations__finding=finding, state=Job.State.DONE).values("pk")
    yield from Job.objects.select_for_update(of=("self",), no_key=True).filter(pk__in=done).order_by("pk")


def _locked(finding: Finding) -> Finding:
    locked: Finding = (
        Finding.objects.select_for_update(of=("self",), no_key=True)
        .select_related("yard", "entry")
        .get(pk=finding.pk)
    )
    return locked


def _checked(place: int, measured: Measured) -> Measured:
    field = f"readings[{place}]"
    if measured.quantity not in MEASURED:
        known = ", ".join(f"{name} in {unit}" for name, (unit, _) in MEASURED.items())
        raise Refused(
            f"{field}.quantity", f"is {measured.quantity!r}", f"give {known}; the rest goes into the note"
        )
    unit, most = MEASURED[measured.quantity]
    if measured.unit not in ("", unit):
        raise Refused(f"{field}.unit", f"is {measured.unit!r}", f"give {measured.quantity} in {unit}")
    try:
        value = measured.value.quantize(Decimal("0.01")) if measured.value.is_finite() else Decimal(-1)
    except InvalidOperation:
        value = Decimal(-1)
    if not 0 <= value <= most:
        raise Refused(f"{field}.value", f"is {measured.value}", f"give 0 to {most} {unit}")
    return Measured(measured.quantity, value, unit)


def _refuse_photo(finding: Finding, sha256: str) -> None:
    """The photo must be here, and show this boat after the repair, as far as that can be known."""
    if not _DIGEST.fullmatch(sha256):
        raise Refused("photo_sha256", "is no SHA-256", "give the 64 hexadecimal digits of the photo")
    if not Photo.objects.of_yard(finding.yard_id).filter(sha256=sha256).exists():
        raise Refused("photo_sha256", "is of no photo that the yard holds", "send the photo first")
    named = EntryPhoto.objects.of_yard(finding.yard_id).filter(sha256=sha256)
    boats = set(named.values_list("entry__inspection__boat_id", flat=True))
    used = Verification.objects.of_yard(finding.yard_id).filter(photo_sha256=sha256)
    boats |= set(used.values_list("finding__boat_id", flat=True))
    if boats and finding.boat_id not in boats:
        raise Refused("photo_sha256", "is a photo of another boat", "take one of the repair itself")
    if named.filter(entry__observed_at__lte=finding.entry.observed_at).exists():
        raise Refused("photo_sha256", "was taken before the repair", "take one of the finished work")


def _refuse_day(again_on: date, judged: LookAfter, seen_on: date, reason: str) -> None:
    field = "look_again_on"
    if again_on <= seen_on:
        raise Refused(
            field, f"is {again_on.isoformat()}", f"give a day ahead, {judged.on.isoformat()} at the latest"
        )
    if again_on <= judged.on:
        return
    if again_on > judged.latest_on:
        cap = judged.latest_on.isoformat()
        raise Refused(
            field, f"{again_on.isoformat()} is past the interval of its class", f"give {cap} at the latest"
        )
    if not reason.strip():
        raise Refused(
            "look_again_reason",
            f"is empty, and the rules give {judged.on.isoformat()}",
            "say why later, or take that day",
        )
    _short("look_again_reason", reason, REASON_LENGTH)


def _short(field: str, text: str, longest: int) -> str:
    if len(text.strip()) > longest:
        raise Refused(field, f"has {len(text.strip())} characters", f"use {longest} at most")
    return text.strip()


__all__ = ["MEASURED", "Measured", "finding_verify", "judged_look", "second_look_give", "wants_second_look"]
