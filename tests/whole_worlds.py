"""A yard with something of everything in it, so that whatever leaks would show.

What somebody of the yard wrote carries the yard's mark: it must never stand in an answer to anybody else.
"""

from __future__ import annotations

import re
import uuid
import zlib
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from inspections.models import DueBack, Finding, Sign
from inspections.services.drawings import drawing_put
from inspections.services.overruling import finding_overrule
from inspections.services.templates import draft_start
from tests.api.worlds import NOW, photo_of, worked
from tests.factories import MemberFactory, OwnerFactory, PhotoFactory, SetAsideFactory
from tests.factories.inspections import FindingJoinFactory, SecondLookAskFactory, signs_of
from tests.factories.workshop import CautionFactory, MaterialFactory, MaterialPackFactory, TreatmentFactory
from tests.inspections.scenes import scene
from tests.workshop.spring import AT, TODAY, a_spring
from workshop.models import Job, Material, OptionGroup, OwnerLink, Quote, Reply
from workshop.services.calendar_feeds import feed_issue, feed_token
from workshop.services.decisions import decision_make
from workshop.services.digests import digest_choose, digest_key
from workshop.services.jobs import hold_add
from workshop.services.links import link_token
from workshop.services.reminders import stop_key
from workshop.services.steps import meter_read, step_tick
from workshop.services.surface_history import surface_work_add
from workshop.services.surfaces import surface_create
from workshop.services.threads import reply_write
from workshop.services.verifying import finding_verify, second_look_give
from workshop.services.work import job_done, job_start, material_book, work_book
from yard.models import BoatDrawing, HourlyRate, Mail, Member, OutboxRow, Season, Spot, VatClass, Yard
from yard.outbox import enqueue
from yard.services.device_codes import device_code_make
from yard.services.invitations import invitation_send
from yard.services.passwords import password_key
from yard.services.people import device_token_issue
from yard.services.vat import vat_class_set


@dataclass
class World:
    """One yard, its people, and the key of one row of each kind by its name."""

    mark: str
    yard: Yard
    manager: Member
    technician: Member
    link: str
    keys: dict[str, Any] = field(default_factory=dict)


def whole_world(mark: str) -> World:
    """Lay a yard by the services: an inspection with findings, a quote that is open, one whose work is done."""
    spring = a_spring(name=f"Boat {mark}")
    yard, owner = spring.yard, spring.boat.decider_owner
    assert owner is not None
    _mark_people(spring.yard, spring.manager, spring.technician, mark)
    owner.name, owner.email = f"Owner {mark}", f"{mark.lower()}@harbour.example"
    owner.save()
    done_job, done_quote = _work_that_is_done(spring, mark)
    surface = _a_surface(spring, mark)
    signs_of(yard)
    laid = scene(AT - timedelta(days=5), yard=yard)
    photo = photo_of(laid, colour=f"#{zlib.crc32(mark.encode()) & 0xFFFFFF:06x}")
    crack = laid.finding(photos=[photo.sha256], note=f"crack, {mark}")
    laid.store(crack, laid.wet(note=f"dry, {mark}"))
    worked()
    finding = Finding.objects.get(pk=crack["id"])
    with transaction.atomic():
        finding_overrule(
            finding=finding,
            by=spring.manager,
            priority="watch",
            due_back_on=date(2027, 9, 1),
            reason=f"seen by {mark}",
            at=NOW,
        )
    SecondLookAskFactory.create(finding=finding, by=spring.manager, note=f"probe it, {mark}")
    join = FindingJoinFactory.create(
        kept=finding, by=spring.manager, reason=f"one seam, {mark}", joined__entry__author=laid.technician
    )
    open_job, open_quote = _work_that_is_asked_for(spring, mark, photo.sha256)
    draft = draft_start(template=laid.check("corners").template_version.template, by=spring.manager, at=NOW)  # type: ignore[union-attr]
    hold = hold_add(
        job=open_job,
        kind="part",
        what=f"bolts for {mark}",
        who=None,
        expected_on=date(2027, 4, 20),
        meanwhile="taped over",
        at=NOW,
    )
    device, _ = device_token_issue(member=spring.technician, device_name=f"tablet {mark}", at=NOW)
    code, _ = device_code_make(by=spring.manager, device_name=f"new tablet {mark}", at=NOW)
    link = OwnerLink.objects.get(quote=open_quote, revoked_at=None)
    invitation = invitation_send(
        by=spring.manager, email=f"new-{mark}@harbour.example", name=f"new {mark}", role="technician", at=NOW
    )
    care = TreatmentFactory.create(yard=yard, code=f"CARE_{mark}", name=f"care {mark}")
    wax = MaterialFactory.create(yard=yard, code=f"wax_{mark}", name=f"wax {mark}")
    MaterialPackFactory.create(material=wax, name=f"tin {mark}")
    feed = feed_issue(by=spring.manager, at=NOW)
    digest_choose(member=spring.manager, at=NOW)
    world = World(mark, yard, spring.manager, spring.technician, link_token(link))
    world.keys |= {
        "device": device.pk,
        "invitation": invitation.pk,
        "invitation_key": _key_of(Mail.objects.get(yard=yard, key=f"invitation:{invitation.pk}"), "join"),
        "password_key": password_key(MemberFactory.create(yard=yard, name=f"forgetful {mark}").user),
        "owner_link": str(link.pk),
        "device_code": code.pk,
        "member": spring.technician.pk,
        "owner": owner.pk,
        "season": _season_of_its_own(yard).year,
        "trade": HourlyRate.objects.create(yard=yard, trade=f"rigger {mark}", amount=Decimal(50)).trade,
        "vat_class": _vat_class(yard, mark).code,
        "boat": _with_a_drawing(spring, mark),
        "drawing": BoatDrawing.objects.get(yard=yard).sha256,
        **surface,
        "component": laid.component.pk,
        "spot": str(finding.spot_id),
        "tag": Spot.objects.get(findings=finding).tag,
        "class": laid.component.component_class.code,
        "sign": Sign.objects.create(yard=yard, code=f"SIGN_{mark}", name=f"sign {mark}").code,
        "treatment": care.code,
        "treatment_id": care.pk,
        "material": wax.code,
        "material_key": wax.pk,
        "caution": CautionFactory.create(yard=yard, code=f"MIND_{mark}", title=f"mind {mark}").code,
        "template": draft.template_id,
        "version": draft.number,
        "inspection": laid.inspection.pk,
        "entry": crack["id"],
        "set_aside": SetAsideFactory.create(boat=laid.boat, author=spring.technician, why=f"late, {mark}").pk,
        "photo": photo.sha256,
        "finding": str(finding.pk),
        "double": str(join.joined_id),
        "due_back": DueBack.objects.of_yard(yard).filter(ended_at=None).values_list("pk", flat=True)[0],
        "job": open_job.pk,
        "hold": hold.pk,
        "quote": open_quote.pk,
        "line": open_quote.lines.get().pk,
        "group": OptionGroup.objects.create(yard=yard, quote=open_quote, title=f"ways, {mark}").pk,
        "report": done_quote.report.pk,
        "done_quote": done_quote.pk,
        "decision": done_quote.lines.get().decisions.get().pk,
        "work_log": done_job.work_logs.get().pk,
        "done_job": done_job.pk,
        "done_finding": str(done_job.operations.get().finding_id),
        "operation": open_job.operations.get().pk,
        "one": 1,
        "material_log": done_job.material_logs.get().pk,
        "verification": done_job.verifications.get().pk,
        "reply": _asked_and_answered(open_quote, spring.manager, mark).pk,
        "reminder_key": stop_key(owner),
        "calendar": str(feed.pk),
        "calendar_key": feed_token(feed),
        "digest_key": digest_key(spring.manager),
        "outbox": _given_up(yard, mark).pk,
        "size": "thumbnail",
    }
    return world


def _key_of(mail: Mail, route: str) -> str:
    """The key that stands in the address of a mail."""
    found = re.search(rf"/{route}/([^/\s]+)/", mail.text)
    assert found is not None
    return found[1]


def _with_a_drawing(spring: Any, mark: str) -> int:
    """The yard's boat, with a drawing of her that carries the yard's mark."""
    sheet = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 9"><text y="5">{mark}</text></svg>'
    drawing_put(boat=spring.boat, data=sheet.encode(), by=spring.manager, at=NOW)
    return int(spring.boat.pk)


def _asked_and_answered(quote: Quote, manager: Any, mark: str) -> Reply:
    """A question about the open quote's job, and the yard's answer."""
    line, owner = quote.lines.get(), quote.boat.decider_owner
    decision_make(line=line, verdict="ask", question=f"Why, {mark}?", digest=quote.digest, at=AT, owner=owner)
    return reply_write(line=line, text=f"Because, {mark}.", by=manager, at=NOW)


def _work_that_is_done(spring: Any, mark: str) -> tuple[Job, Quote]:
    """A job that was quoted, approved, done and verified, with the report of its quote."""
    spring.finding(spring.component(f"Window frame {mark}"), "REBED_SEALANT", severity=2)
    quote = spring.sent()
    worked()
    owner = spring.boat.decider_owner
    decision_make(line=quote.lines.get(), verdict="approve", digest=quote.digest, at=AT, owner=owner)
    job = job_start(job=quote.lines.get().job, by=spring.technician, at=AT)
    work_book(
        job=job, member=spring.technician, worked_on=TODAY, hours=Decimal(2), at=AT, note=f"bedding out, {mark}"
    )
    material_book(
        job=job,
        material=Material.objects.of_yard(spring.yard).get(code="sealant"),
        member=spring.technician,
        used_on=TODAY,
        quantity=Decimal(40),
        at=AT,
        note=f"one tube, {mark}",
    )
    operation = job.operations.get()
    meter_read(
        job=job,
        finding=Finding.objects.get(operations__job=job),
        moisture_pct=Decimal(14),
        by=spring.technician,
        at=AT,
        note=f"dry, {mark}",
    )
    step_tick(job=job, operation=operation, step=1, by=spring.technician, at=AT, note=f"done, {mark}")
    job_done(job=job, by=spring.technician, at=AT)
    first = finding_verify(
        finding=Finding.objects.get(operations__job=job),
        by=spring.technician,
        at=AT,
        photo_sha256=PhotoFactory.create(yard=spring.yard).sha256,
        note=f"tight, {mark}",
    )
    second_look_give(verification=first, by=spring.manager, holds=True, at=AT, note=f"seen, {mark}")
    quote.refresh_from_db()
    job.refresh_from_db()
    return job, quote


def _a_surface(spring: Any, mark: str) -> dict[str, int]:
    """A finished surface that was coated lately, with a note in its history."""
    surface = surface_create(
        boat=spring.boat, name=f"Topsides {mark}", area_m2=Decimal(9), finish="varnish", exposure="shaded", at=AT
    )
    work = surface_work_add(
        surface=surface, deed="stripped", done_on=date(2025, 5, 1), by=spring.manager, at=AT, note=f"by {mark}"
    )
    return {"surface": surface.pk, "surface_work": work.pk}


def _work_that_is_asked_for(spring: Any, mark: str, photo: str) -> tuple[Job, Quote]:
    """A job that is with the decider, with a picture of what was found."""
    spring.finding(spring.component(f"Hatch {mark}"), "REBED_SEALANT", photos=[photo])
    quote = spring.sent()
    worked()
    return quote.lines.get().job, quote


def _mark_people(yard: Yard, manager: Member, technician: Member, mark: str) -> None:
    yard.name = f"Yard {mark}"
    yard.save()
    for member in (manager, technician):
        member.name = f"{member.role} {mark}"
        member.save()
    OwnerFactory.create(yard=yard, name=f"Second owner {mark}")


def _vat_class(yard: Yard, mark: str) -> VatClass:
    return vat_class_set(
        yard=yard,
        code=f"reduced_{mark}",
        name=f"reduced {mark}",
        category="S",
        rate_pct=Decimal(12),
        valid_from=TODAY,
        at=NOW,
    )


def _season_of_its_own(yard: Yard) -> Season:
    """A season that no other yard has."""
    year = 2100 + yard.pk % 90
    season: Season = Season.objects.create(
        yard=yard, year=year, launch_on=date(year, 5, 1), layup_on=date(year, 10, 1)
    )
    return season


def _given_up(yard: Yard, mark: str) -> OutboxRow:
    with transaction.atomic():
        row = enqueue(
            task="workshop.make_report",
            arguments={"quote_id": 0},
            key=f"given up {uuid.uuid4()}",
            yard=yard,
            at=NOW,
        )
    assert row is not None
    OutboxRow.objects.filter(pk=row.pk).update(failed_at=NOW, attempts=6, last_error=f"OSError: {mark}")
    return row


__all__ = ["World", "whole_world"]
