"""One quote from draft to decision, as the office sees it."""

from __future__ import annotations

import re
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine

from tests.web.conftest import NOW
from tests.web.letters import Letter, a_letter
from tests.web.visitor import Visitor
from tests.workshop.pdf_reading import page_texts
from tests.workshop.spring import Spring, a_spring
from workshop.models import Hold, Job, Material, OwnerLink, Quote, Reply, Report, Treatment
from workshop.services.needs import job_needs_set
from workshop.services.quotes import quote_prepare
from yard.models import HourlyRate, Mail, OutboxRow
from yard.outbox import drain

pytestmark = pytest.mark.django_db


@pytest.fixture
def spring() -> Spring:
    made = a_spring(name="Sea Pink")
    made.finding(made.component("Toerail"), "REBED_SEALANT", priority="next_layup", severity=4)
    made.finding(made.component("Mast step"), "SEAM", priority="before_launch", severity=1)
    return made


@pytest.fixture
def draft(spring: Spring) -> Quote:
    return spring.draft()


def here(quote: Quote) -> str:
    return f"/quotes/{quote.pk}/"


def digest(quote: Quote) -> str:
    return quote_prepare(quote=quote, at=NOW).digest


def told(page: str) -> str:
    """What a decider's page tells from its first heading on, without what is there to be pressed."""
    main = re.sub(r"<form.*?</form>|<details.*?</details>", "", page.split("<main")[1], flags=re.DOTALL)
    main = re.sub(r'<div class="answer">.*?</div>', "", main[main.index("<h2") :], flags=re.DOTALL)
    main = re.sub(r"/(?:quotes/\d+|photos|o)/[^\"']*", "", main)  # pictures have an address at each door
    return " ".join(main.split())


def test_a_draft_shows_hours_with_their_ceiling_price_and_totals(draft: Quote, spring: Spring) -> None:
    page = Visitor(spring.manager).page(here(draft))
    net = sum((line.net_labour + line.net_materials for line in draft.lines.all()), start=Decimal(0))
    vat = (net / 4).quantize(net, rounding="ROUND_HALF_UP")  # the yard's 25 %, once
    assert "we ask again before" in page
    assert "Asked again before" in page
    for amount in (net, vat, net + vat):
        assert f"€{amount:,.2f}" in page
    assert "27 April 2027" in page


def test_jobs_are_ticked_and_the_last_day_set(draft: Quote, spring: Spring) -> None:
    kept = Job.objects.get(title__startswith="Toerail")
    page = Visitor(spring.manager).after(f"{here(draft)}change/", jobs=[str(kept.pk)], valid_until="2027-05-10")
    assert "Kept." in page
    draft.refresh_from_db()
    assert draft.valid_until == date(2027, 5, 10)
    assert [line.job for line in draft.lines.all()] == [kept]
    assert "10 May 2027" in page


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"valid_until": "2027-01-01"}, "give a day from 2027-04-06"),
        ({"valid_until": "late"}, "is no day; give one like 2027-05-01"),
        ({"jobs": []}, "Jobs: there is none; put at least one job in."),
    ],
)
def test_a_change_that_can_t_be_is_refused_in_words(
    draft: Quote, spring: Spring, fields: dict[str, Any], told: str
) -> None:
    jobs = [str(line.job_id) for line in draft.lines.all()]
    posted: dict[str, Any] = {"jobs": jobs, "valid_until": "2027-05-10", **fields}
    page = Visitor(spring.manager).refused(f"{here(draft)}change/", **posted)
    assert told in page
    # what was ticked, and what not, is not lost with the refusal
    assert [f'id="job-{key}" checked' in page for key in jobs] == [key in posted["jobs"] for key in jobs]
    assert [str(line.job_id) for line in draft.lines.all()] == jobs


def test_a_job_that_can_no_longer_be_priced_does_not_go_without_a_word(draft: Quote, spring: Spring) -> None:
    HourlyRate.objects.of_yard(spring.yard).delete()
    visitor = Visitor(spring.manager)
    jobs = [str(line.job_id) for line in draft.lines.all()]
    page = visitor.page(here(draft))
    sent = [key for key in jobs if f'id="job-{key}" checked>' in page]  # a browser leaves out what is disabled
    refused = visitor.refused(f"{here(draft)}change/", jobs=sent, valid_until="2027-05-10")
    assert "rate" in refused
    assert [str(line.job_id) for line in draft.lines.all()] == jobs


def test_a_draft_is_built_of_findings_and_tells_days_holds_choices_and_needs(draft: Quote, spring: Spring) -> None:
    watched = spring.finding(spring.component("Tiller"), "SEAM", priority="watch")
    bare = spring.finding(spring.component("Coaming"), priority="watch")
    toerail, mast = (Job.objects.get(title__startswith=name) for name in ("Toerail", "Mast step"))
    hold = {"kind": "part", "what": "bronze screws", "expected_on": date(2027, 4, 12), "meanwhile": "tape"}
    Hold.objects.create(yard=spring.yard, job=toerail, made_at=NOW, **hold)
    job_needs_set(job=toerail, needed=[mast])
    wait = {"for": "cure", "hours_low": "72", "hours_likely": "96", "hours_high": "120", "cold_factor": "1"}
    steps = [{"text": "Pay it.", "wait": {**wait, "since_step": 1}}]
    Treatment.objects.filter(code="SEAM").update(steps=steps)
    visitor = Visitor(spring.manager)
    page = visitor.page(here(draft))
    assert "Waits for bronze screws, expected 12 Apr 2027." in page
    assert "can begin on 12 Apr 2027" in page
    assert "4 days <small>begun on 6 Apr 2027, ready on 10 Apr 2027, with bad luck on 11 Apr 2027</small>" in page
    assert f"Not without “{mast.title}”." in page
    assert f'value="{watched.pk}"' in page
    assert re.search(rf'value="{bare.pk}"[^>]* disabled', page)
    posted = {"jobs": [str(mast.pk)], "findings": [str(watched.pk), str(bare.pk)], "valid_until": "2027-05-10"}
    assert "no work is advised for" in visitor.refused(f"{here(draft)}change/", **posted)
    assert Job.objects.count() == 2  # nothing is half done
    for _ in range(2):
        page = visitor.after(f"{here(draft)}change/", **{**posted, "findings": [str(watched.pk)]})
    made = Job.objects.get(operations__finding=watched)
    assert [line.job for line in draft.lines.all()] == [mast, made]
    assert f'value="{made.pk}"' in page
    assert f'value="{watched.pk}"' not in page


def test_the_preview_is_what_the_decider_will_see(draft: Quote, spring: Spring) -> None:
    visitor = Visitor(spring.manager)
    preview = visitor.page(f"{here(draft)}preview/")
    assert f"This is what {spring.boat.decider.name} will see." in preview
    assert "<form" not in preview
    visitor.after(f"{here(draft)}send/", seen_digest=digest(draft))
    link = OwnerLink.objects.get()
    seen = Visitor().page(Letter(spring, draft, link, "", "").address)
    for text in ("We found something at 2 places", "About ", "€", "Due back by"):
        assert text in preview
        assert text in seen
    assert told(preview) == told(seen)
    assert all(line.job.title in told(seen) for line in draft.lines.all())


def test_the_report_can_be_looked_over_unsent_and_says_so_on_each_page(draft: Quote, spring: Spring) -> None:
    visitor = Visitor(spring.manager)
    assert f'href="{here(draft)}preview.pdf"' in visitor.page(here(draft))
    pages = page_texts(visitor.get(f"{here(draft)}preview.pdf").content)
    assert len(pages) > 1
    assert all("Preview, not sent" in page for page in pages)
    assert not Report.objects.exists()
    visitor.after(f"{here(draft)}send/", seen_digest=digest(draft))
    assert visitor.get(f"{here(draft)}preview.pdf").status_code == 422
    drain(now=NOW + timedelta(minutes=5))
    sent = "".join(page_texts(visitor.get(f"{here(draft)}report.pdf").body))
    assert "not sent" not in sent
    draft.refresh_from_db()
    assert draft.digest in sent.replace("\n", "")


def test_sending_freezes_it_and_asks_for_report_and_mail(draft: Quote, spring: Spring) -> None:
    visitor = Visitor(spring.manager)
    page = visitor.after(f"{here(draft)}send/", seen_digest=digest(draft))
    assert f"{spring.boat.decider.name} gets it with the link by mail" in page
    draft.refresh_from_db()
    assert (draft.state, draft.sent_by) == (Quote.State.SENT, spring.manager)
    assert "the report is not made yet" in page
    drain(now=NOW + timedelta(minutes=5))
    mail = Mail.objects.get()
    assert mail.to_address == spring.boat.decider_owner.email  # type: ignore[union-attr]
    page = visitor.page(here(draft))
    assert "the report as a PDF" in page
    answer = visitor.get(f"{here(draft)}report.pdf")
    assert (answer["Content-Type"], answer.body[:5]) == ("application/pdf", b"%PDF-")


def test_a_second_click_on_send_sends_nothing_more(draft: Quote, spring: Spring) -> None:
    visitor, seen = Visitor(spring.manager), digest(draft)
    visitor.after(f"{here(draft)}send/", seen_digest=seen)
    assert visitor.post(f"{here(draft)}send/", seen_digest=seen).status_code == 302
    assert OwnerLink.objects.count() == 1
    assert OutboxRow.objects.filter(task="workshop.make_report").count() == 1


@pytest.mark.parametrize("how", ["price", "none"])
def test_nothing_is_sent_but_what_was_seen(draft: Quote, spring: Spring, how: str) -> None:
    seen = digest(draft) if how == "price" else ""
    Material.objects.update(unit_price="0.9")
    page = Visitor(spring.manager).refused(f"{here(draft)}send/", seen_digest=seen)
    assert "the quote has changed since you looked it over" in page
    draft.refresh_from_db()
    assert draft.state == Quote.State.DRAFT


def test_with_a_finding_not_judged_yet_it_can_t_be_sent_and_says_why(draft: Quote, spring: Spring) -> None:
    spring.finding(spring.component("Tiller"), judged=False)
    page = Visitor(spring.manager).page(here(draft))
    assert "It can't be sent yet." in page
    assert "not judged yet: Tiller, port side" in page
    assert "Send it to" not in page
    assert Visitor(spring.manager).get(f"{here(draft)}preview/").status_code == 422


def test_what_came_back_stands_on_the_page() -> None:
    letter = a_letter()
    letter.answer("Mast step", "approve")
    letter.answer("Toerail", "ask", question="Can it wait?")
    page = Visitor(letter.spring.technician).page(here(letter.quote))
    assert "<strong>Approved</strong> <small>6 Apr 2027, 14:00</small>" in page
    assert "<p>Can it wait?</p>" in page
    assert page.count("no answer yet") == 2
    assert "Still open, 2 jobs" in page


def test_taking_it_back_shuts_the_link() -> None:
    letter = a_letter()
    visitor = Visitor(letter.spring.manager)
    assert "Taken back." in visitor.after(f"{here(letter.quote)}withdraw/")
    assert Visitor().get(letter.address).status_code == 410
    assert "it can be withdrawn while it is draft or sent" in visitor.refused(f"{here(letter.quote)}withdraw/")


def test_it_is_drawn_up_anew_with_what_is_undecided() -> None:
    letter = a_letter()
    letter.answer("Toerail", "approve")
    letter.answer("Mast step", "ask", question="Why?")
    visitor = Visitor(letter.spring.manager)
    page = visitor.after(f"{here(letter.quote)}revise/")
    assert "Quote 1 is taken back; this is its successor." in page
    new = Quote.objects.get(state=Quote.State.DRAFT)
    assert f'<dt>In place of</dt><dd><a href="{here(letter.quote)}">Quote 1</a>' in page
    before = visitor.page(here(letter.quote))
    assert f'<a href="{here(new)}">Quote 2</a>, draft' in before
    assert "Taken back; quote 2 takes its place." in before
    assert "asked, not answered" in before
    rows = visitor.page("/quotes/")
    assert "in place of quote 1" in rows
    assert "quote 2 took its place" in rows
    assert {line.job for line in new.lines.all()} == {letter.line("Mast step").job, letter.line("Window frame").job}


def test_the_link_is_watched_mailed_anew_and_shut() -> None:
    letter = a_letter()
    Visitor().page(letter.address)
    visitor = Visitor(letter.spring.manager)
    page = visitor.page(here(letter.quote))
    assert "It was opened 1 time, last on 6 Apr 2027, 14:00." in page
    assert letter.token not in page  # a manager must not be able to answer in the decider's place
    assert "A new link is on its way" in visitor.after(f"{here(letter.quote)}link/reissue/")
    assert Visitor().get(letter.address).status_code == 410
    fresh = Letter(letter.spring, letter.quote, OwnerLink.objects.get(revoked_at__isnull=True), "", "")
    Visitor().page(fresh.address)
    assert "opens nothing any more" in visitor.after(f"{here(letter.quote)}link/revoke/")
    assert Visitor().get(fresh.address).status_code == 410
    assert "No link is open." in visitor.page(here(letter.quote))


def test_a_technician_reads_it_and_changes_nothing() -> None:
    letter = a_letter()
    visitor = Visitor(letter.spring.technician)
    assert "<form" not in visitor.page(here(letter.quote)).split("<main")[1]
    for what in ("change", "send", "withdraw", "revise", "link/revoke", "link/reissue"):
        assert visitor.post(f"{here(letter.quote)}{what}/").status_code == 403
    letter.quote.refresh_from_db()
    assert letter.quote.state == Quote.State.SENT


def test_a_draft_seen_yesterday_is_looked_over_again(draft: Quote, spring: Spring) -> None:
    seen = digest(draft)
    with time_machine.travel(NOW + timedelta(days=1)):
        assert "look it over again" in Visitor(spring.manager).refused(f"{here(draft)}send/", seen_digest=seen)


def test_before_it_was_sent_there_is_no_report(draft: Quote, spring: Spring) -> None:
    assert Visitor(spring.manager).get(f"{here(draft)}report.pdf").status_code == 404


def test_the_office_answers_a_question_and_the_owner_reads_it_under_the_job() -> None:
    letter = a_letter()
    letter.answer("Toerail", "ask", question="Can it wait?")
    line, manager = letter.line("Toerail"), Visitor(letter.spring.manager)
    page = manager.page(here(letter.quote))
    assert "a question waits for an answer" in page
    address = f"{here(letter.quote)}lines/{line.pk}/reply/"
    assert f'action="{address}"' in page
    for _ in range(2):
        answer = manager.post(address, text="Until lay-up <no longer>.")
        assert (answer.status_code, answer["Location"]) == (302, here(letter.quote))
    page = manager.page(here(letter.quote))
    assert page.count("Until lay-up &lt;no longer&gt;.") == 1
    assert "asked and answered" in page
    owners = Visitor().page(letter.address)
    thread = owners.split('class="lines thread"')[1].split("</ol>")[0]
    said = re.findall("You asked|answered|Can it wait|Until lay-up", thread)
    assert said == ["You asked", "Can it wait", "answered", "Until lay-up"]
    assert "Ask again" in owners
    assert letter.answer("Toerail", "ask", question="And then?").status_code == 302
    assert "a question waits for an answer" in manager.page(here(letter.quote))
    assert letter.answer("Toerail", "approve").status_code == 302
    page = manager.page(here(letter.quote))
    assert "a question waits for an answer" not in page
    assert "asked, and decided without an answer" in page
    assert "The yard has your question" not in Visitor().page(letter.address)


def test_an_answer_without_words_is_refused_and_technicians_answer_nothing() -> None:
    letter = a_letter()
    letter.answer("Toerail", "ask", question="Can it wait?")
    address = f"{here(letter.quote)}lines/{letter.line('Toerail').pk}/reply/"
    assert "write what you would answer" in Visitor(letter.spring.manager).refused(address, text="  ")
    assert Visitor(letter.spring.technician).post(address, text="No.").status_code == 403
    assert not Reply.objects.exists()
