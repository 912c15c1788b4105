"""The agreed work: a job stopped halfway, one that grows and is asked for again, one done and looked at by two."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

from workshop.demo.doors import Device, DoorClosed, Json, Phone, link_in, mails_in, wait_for
from workshop.demo.office import jobs_of, named, said
from workshop.demo.spring import Spring


def work(spring: Spring) -> None:
    """Begin what was approved."""
    office = said()
    stop_halfway(spring, office["stopped"])
    find_more(spring, office["extra_work"])
    finish(spring, office["done"])


def stop_halfway(spring: Spring, told: Json) -> None:
    """A job begun and stopped for a part that is missing; it says what holds the boat meanwhile."""
    job = named(spring, jobs_of(spring, state="approved"), told["job"])
    tablet, who = _technician(spring)
    tablet.post(f"jobs/{job['id']}/start/")
    hold = tablet.post(
        f"jobs/{job['id']}/stop/",
        {
            "kind": "part",
            "what": told["what"],
            "who": who,
            "expected_on": spring.demo.calendar.day(told["expected_on"], 0).isoformat(),
            "meanwhile": told["meanwhile"],
        },
        expect=201,
    )
    spring.say(f"{job['boat_name']}: '{job['title']}' stopped for: {hold['what']}; meanwhile: {hold['meanwhile']}")


def find_more(spring: Spring, told: Json) -> None:
    """Extra work passes the agreed ceiling: an addendum with a yes of its own."""
    job = named(spring, jobs_of(spring, state="approved"), told["job"])
    tablet, _ = _technician(spring)
    tablet.post(f"jobs/{job['id']}/start/")
    extra = {
        "treatment": told["treatment"],
        "finding": job["operations"][0]["finding"],
        "quantity": told["quantity"],
    }
    found = tablet.post(f"jobs/{job['id']}/extra-work/", {"what": told["what"], "operations": [extra]}, expect=201)
    if found["more"] is None:
        raise DoorClosed("the extra work was to pass the agreed ceiling, and the ceiling had room for it")
    quotes = spring.manager.every(
        "quotes/", season=spring.demo.season_year(0), state="decided", boat=job["boat"], page_size=200
    )
    agreed = next(quote for quote in quotes if job["id"] in {line["job"] for line in quote["lines"]})
    before = frozenset(mails_in(spring.mail_folder))
    draft = spring.manager.post(f"quotes/{agreed['id']}/addendum/", {"jobs": [found["more"]]}, expect=201)
    sent = spring.send(draft)
    wait_for("mail the addendum", lambda: _asked(spring, before) is not None)
    phone = _asked(spring, before)
    assert phone is not None  # it was waited for
    for action, forms in phone.questions().items():
        phone.answer(action, forms["approve"])
    spring.told.addenda += 1
    spring.say(
        f"{job['boat_name']}: more than the {found['hours_ceiling']} h that were agreed; "
        f"addendum {sent['number']} to quote {agreed['number']} sent and approved"
    )


def finish(spring: Spring, told: Json) -> None:
    """A job ticked step by step, hours booked, done, looked at by two. Its hours move the yard's figures."""
    job = named(spring, jobs_of(spring, state="approved"), told["job"])
    tablet, _ = _technician(spring)
    before = _learned(spring, told["moves"])
    tablet.post(f"jobs/{job['id']}/start/")
    early = sum(
        _tick(tablet, job, {"operation": group["operation"], "step": step["step"]}, told["reason"])
        for group in tablet.get(f"jobs/{job['id']}/steps/")["works"]
        for step in group["steps"]
    )
    today = datetime.now(UTC).astimezone(spring.demo.calendar.zone).date()
    for line in told["hours"]:
        day = today - timedelta(days=line["days_ago"])
        booked = {"job": job["id"], "worked_on": day.isoformat(), "hours": line["hours"], "note": line["note"]}
        tablet.post("work-logs/", booked, expect=201)
    tablet.post(f"jobs/{job['id']}/done/")
    readings = [{"quantity": "moisture", "value": "14"}, {"quantity": "play", "value": "0"}]
    days = set()
    for finding in sorted({operation["finding"] for operation in job["operations"]}):
        looked = spring.manager.post("verifications/", {"finding": finding, "readings": readings}, expect=201)
        if looked["needs_second_look"]:
            tablet.post(f"verifications/{looked['id']}/second-look/", {"holds": True}, expect=201)
        days.add(looked["look_again_on"])
        spring.told.verifications += 1
    hours = sum(Decimal(line["hours"]) for line in told["hours"])
    spring.say(
        f"{job['boat_name']}: '{job['title']}' ticked ({early} steps before their time, with the reason), "
        f"{hours} h booked, done and verified; to be looked at again on {min(days)}"
    )
    after = _learned(spring, told["moves"])
    spring.told.hours_moved = {"before": before["median_hours"], "after": after["median_hours"]}
    spring.say(
        f"{after['name']}: by the yard's own hours {before['median_hours']:.2f} h became "
        f"{after['median_hours']:.2f} h, with {after['jobs']} done behind it; the yard may take it over from ten on"
    )


def _tick(tablet: Device, job: Json, step: Json, reason: str) -> bool:
    """Tick a step; True where its wait was not over and a reason was asked for."""
    answer = tablet.try_post(f"jobs/{job['id']}/ticks/", step)
    if answer is not None:
        return False
    tablet.post(f"jobs/{job['id']}/ticks/", step | {"reason": reason}, expect=201)
    return True


def _learned(spring: Spring, treatment: str) -> Json:
    treatments = spring.manager.get("learned-hours/")["treatments"]
    found: Json = next(each for each in treatments if each["treatment"] == treatment)
    return found


def _technician(spring: Spring) -> tuple[Device, int]:
    row = next(row for row in spring.demo.files["members"] if row["role"] == "technician")
    return spring.devices[row["username"]], spring.demo.members[row["username"]].pk


def _asked(spring: Spring, before: frozenset[Path]) -> Phone | None:
    """The decider's phone at a mail that has come since and asks something; a receipt asks nothing any more."""
    for path, mail in mails_in(spring.mail_folder).items():
        if path not in before and (phone := Phone(link_in(mail))).questions():
            return phone
    return None


__all__ = ["work"]
