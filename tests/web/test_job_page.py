"""A job's page in a browser: the way from the first tick to the second look, without script and by keyboard too."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, FilePayload, expect
from pytest_django.live_server_helper import LiveServer

from inspections.models import Finding
from tests.factories.inspections import picture
from tests.web.screens import screen
from tests.web.visitor import Visitor
from tests.workshop.spring import AT, Spring, a_spring
from workshop.models import ExtraWork, Job, Treatment
from workshop.services.decisions import decision_make
from workshop.services.jobs import hold_add
from workshop.services.work import job_start

COATS = [
    {
        "text": "First coat.",
        "wait": {
            "for": "recoat",
            "hours_low": "16",
            "hours_likely": "20",
            "hours_high": "24",
            "cold_factor": "2.6",
            "since_step": 1,
        },
    },
    {"text": "Second coat.", "wait": None},
    {"text": "Take off the tape.", "wait": None},
]


def a_job(severity: int = 2) -> tuple[Spring, Job]:
    """Approved, with two operations at one place."""
    spring = a_spring(name="Sea Pink")
    Treatment.objects.filter(yard=spring.yard, code="SEAM").update(steps=COATS)
    spring.finding(spring.component("Chainplate"), "REBED_SEALANT", "SEAM", severity=severity)
    quote = spring.sent()
    line = quote.lines.get()
    decision_make(line=line, verdict="approve", digest=quote.digest, at=AT, owner=spring.boat.decider_owner)
    return spring, Job.objects.get()


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_the_way_of_a_job_by_keyboard_without_script_and_with_nothing_to_object_to(
    live_server: LiveServer, browser: Browser
) -> None:
    spring, job = a_job()
    address = f"/jobs/{job.pk}/"
    with screen(browser, live_server.url, "desk", scripts=False) as opened:
        page = opened.sign_in(spring.technician)
        opened.open(address)
        page.get_by_role("button", name="Begin the job").press("Enter")
        page.get_by_role("button", name="Tick step 1 of Rebed in sealant").press("Enter")
        expect(page.get_by_role("status")).to_have_text("Step 1 is ticked.")
        page.get_by_role("button", name="Tick step 1 of Pay a seam").press("Enter")
        # the second coat is too early: a reason is asked for, and kept
        page.get_by_text("Before its time, step 2 of Pay a seam").press("Enter")
        page.locator("input[name=reason]:visible").fill("A lamp stood before it.")
        page.get_by_role("button", name="Tick step 2 of Pay a seam with that reason").press("Enter")
        expect(page.get_by_text("A lamp stood before it.").first).to_be_visible()
        page.get_by_text("Book hours", exact=True).press("Enter")
        page.get_by_label("Hours", exact=True).fill("2,5")
        page.get_by_role("button", name="Book the hours").press("Enter")
        page.get_by_text("Book material", exact=True).press("Enter")
        page.get_by_label("Quantity").fill("40")
        page.get_by_role("button", name="Book the material").press("Enter")
        expect(page.get_by_text("Sealant: 40 ml")).to_be_visible()
        page.get_by_role("button", name="The work is done").press("Enter")
        expect(page.get_by_role("alert")).to_contain_text("still open: step 3 of Pay a seam")
        page.get_by_label("Why steps are left open").fill("The owner takes it off.")
        page.get_by_role("button", name="The work is done").press("Enter")
        photo: FilePayload = {"name": "new.jpg", "mimeType": "image/jpeg", "buffer": picture(colour="tan")}
        page.get_by_label("Photo of the finished work").set_input_files(photo)
        page.get_by_label("Play, mm").fill("0")
        page.get_by_role("button", name="I looked: it is put right").press("Enter")
        expect(page.get_by_text("You looked first, so this is for somebody else.")).to_be_visible()
    with screen(browser, live_server.url, "phone", policy=False, touch=True) as opened:
        page = opened.sign_in(spring.manager)
        opened.open(address)
        opened.open_all()
        for size in ("phone", "desk"):
            opened.look(size)
            assert opened.violations() == []
            assert not opened.overflows()
            assert opened.small_targets() == []
        page.get_by_role("button", name="I looked: it holds").click()
        expect(page.get_by_role("status")).to_have_text("Looked at by two, and verified.")
        assert opened.violations() == []
    finding = Finding.objects.get()
    assert (finding.state, finding.verifications.get().reading) == ("verified", "play 0 mm")


@pytest.mark.django_db
def test_a_stopped_job_says_on_its_page_and_the_boats_what_holds_her_and_by_when_it_is_due() -> None:
    spring, job = a_job()
    job_start(job=job, by=spring.technician, at=AT)
    office = Visitor(spring.technician)
    address = f"/jobs/{job.pk}/"
    wait = {
        "kind": "part",
        "what": "bronze <bolts>",
        "who": str(spring.manager.pk),
        "expected_on": "2027-05-20",
        "meanwhile": "bedded in butyl",
    }
    refused = office.refused(f"{address}wait/", **{**wait, "meanwhile": ""})
    assert "bronze &lt;bolts&gt;" in refused
    page = office.after(f"{address}wait/", **wait)
    assert "The job is stopped." in page
    for shown in (page, office.page(f"/boats/{spring.boat.pk}/")):
        assert "bedded in butyl" in shown
        assert "The proper repair is due by 30 Apr 2027, before" in shown.replace("April", "Apr")
        assert "bronze &lt;bolts&gt;" in shown
    hold = job.holds.get()
    assert "in work" in office.after(f"{address}holds/{hold.pk}/release/")


@pytest.mark.django_db
def test_forms_that_are_refused_keep_what_was_typed_and_a_second_look_is_not_ones_own() -> None:
    spring, job = a_job(severity=1)
    office, other = Visitor(spring.technician), Visitor(spring.manager)
    address = f"/jobs/{job.pk}/"
    finding, operation = Finding.objects.get(), job.operations.order_by("position")[0]
    office.after(f"{address}start/")
    assert "24.01" in office.refused(f"{address}hours/", worked_on="2027-04-06", hours="24.01", note="x")
    assert "no figure" in office.refused(
        f"{address}material/", material="sealant", used_on="2027-04-06", quantity="a"
    )
    office.after(f"{address}meter/", finding=str(finding.pk), moisture_pct="14,5")
    office.after(f"{address}air/", worked_in="shed")
    office.after(f"{address}steps/{operation.pk}/1/", how="tick")
    assert "taken back" in office.after(f"{address}steps/{operation.pk}/1/", how="back")
    office.after(f"{address}done/", left_out_because="")
    verify = f"{address}verify/{finding.pk}/"
    assert "no photo and no reading" in office.refused(verify, note="fine")
    office.after(verify, moisture="14")
    look = f"{address}second-look/{finding.verifications.get().pk}/"
    assert "looked first" in office.refused(look, how="holds")
    assert "what is wrong" in other.refused(look, how="doubt")
    assert "in work" in other.after(look, how="doubt", note="It weeps.")


@pytest.mark.django_db
def test_a_held_job_that_has_not_begun_waits_too() -> None:
    spring, job = a_job()
    hold_add(job=job, kind="part", what="bolts", who=None, expected_on=AT.date(), meanwhile="a cover", at=AT)
    page = Visitor(spring.technician).page(f"/jobs/{job.pk}/")
    assert "nobody named" in page


@pytest.mark.django_db
def test_extra_work_goes_on_within_what_was_agreed_and_waits_for_an_addendum_past_it() -> None:
    spring, job = a_job()
    office, address = Visitor(spring.technician), f"/jobs/{job.pk}/"
    said = {"what": "The bedding is gone aft too", "finding": str(Finding.objects.get().pk), "treatment": "SEAM"}
    assert "were agreed in quote" in office.page(address)
    assert "have room for it: go on" in office.after(f"{address}extra-work/", **said, quantity="0,01")
    page = office.after(f"{address}extra-work/", **said, quantity="50")
    assert "have no room for it" in page
    within, past = ExtraWork.objects.order_by("pk")
    assert within.more is None
    assert past.more is not None
    assert "within what was agreed" in page
    assert f'for an addendum: <a href="/jobs/{past.more_id}/">' in page

    page = office.refused(f"{address}extra-work/", **said, quantity="0")
    assert "give more than 0" in page
    assert 'value="The bedding is gone aft too"' in page
    assert "say it in a few words" in office.refused(f"{address}extra-work/", **{**said, "what": " "}, quantity="1")
    assert ExtraWork.objects.count() == 2


@pytest.mark.django_db
def test_nothing_is_added_to_a_job_that_nobody_agreed_to() -> None:
    spring = a_spring(name="Sea Pink")
    spring.finding(spring.component("Chainplate"), "SEAM")
    (job,) = spring.propose()
    office = Visitor(spring.technician)
    assert "Extra work found" not in office.page(f"/jobs/{job.pk}/")
    said = {"what": "x", "finding": str(Finding.objects.get().pk), "treatment": "SEAM", "quantity": "1"}
    assert "proposed" in office.refused(f"/jobs/{job.pk}/extra-work/", **said)
