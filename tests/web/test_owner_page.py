"""What the decider sees, and what their answers do."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal

import pytest
import time_machine
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse

from inspections.models import Finding
from inspections.services.drawings import drawing_put
from tests.queries import queries_of
from tests.web.conftest import NOW
from tests.web.letters import Letter, a_letter
from tests.web.visitor import Visitor, read_out
from tests.workshop.spring import a_spring
from workshop.models import Decision, Job, LinkOpening, Material, OwnerLink, Quote
from workshop.services.quotes import quote_draft, quote_send
from yard.outbox import drain

pytestmark = pytest.mark.django_db


def shown(letter: Letter) -> str:
    answer = Client().get(letter.address)
    assert answer.status_code == 200
    text: str = answer.content.decode()
    return text


def test_it_names_the_boat_the_day_and_what_this_is(letter: Letter) -> None:
    page = shown(letter)
    assert "<h1>Sea Pink</h1>" in page
    assert "quote 1 of 6 April 2027" in page
    assert "We found something at 3 places" in page
    assert "Please tell us by <strong>27 April 2027</strong>" in page


def test_questions_come_in_the_order_that_matters(letter: Letter) -> None:
    titles = re.findall(r'<h2 id="question-\d-title">([^<]+)</h2>', shown(letter))
    assert [title.split(",")[0] for title in titles] == ["Mast step", "Window frame", "Toerail"]


def test_each_question_says_what_it_means_what_it_takes_and_what_it_costs(letter: Letter) -> None:
    question = shown(letter).split('id="question-2"')[1].split("</section>")[0]
    assert "The meter shows 26 % here and 14 % a hand away." in question
    assert "About " in question
    assert "we ask again before" in question
    line = letter.line("Window frame")
    assert f"€{line.net_labour + line.net_materials:,.2f}" in question
    assert "Due back by" in question
    assert "30 April 2027" in question
    assert f"/photos/{letter.photo}/report/" in question
    assert 'class="plan"' in question


def test_it_shows_what_was_frozen_not_what_the_tables_say_now(letter: Letter) -> None:
    before = shown(letter)
    Job.objects.update(title="Something else", if_left="Nothing at all.")
    Material.objects.update(unit_price=99)
    letter.spring.boat.name = "Other Name"
    letter.spring.boat.save()
    after = shown(letter)
    assert after == before


def test_opening_it_changes_nothing_but_the_log(letter: Letter) -> None:
    def everything() -> list[object]:
        return [list(model.objects.order_by("pk").values()) for model in (Quote, Job, Finding, Decision)]

    before = everything()
    Client().get(letter.address, headers={"User-Agent": "A mail scanner"})
    Client().head(letter.address)
    assert everything() == before
    openings = LinkOpening.objects.order_by("pk")
    assert [(opening.user_agent, opening.from_address) for opening in openings] == [
        ("A mail scanner", "127.0.0.1"),
        ("", "127.0.0.1"),
    ]


def test_a_get_to_an_answers_address_decides_nothing(letter: Letter) -> None:
    address = reverse("web:owner-answer", args=[letter.token, letter.line("Toerail").pk])
    answer = Client().get(address, {"verdict": "approve", "digest": letter.quote.digest})
    assert (answer.status_code, answer["Location"]) == (302, letter.address)
    assert letter.decisions() == []


def test_approving_leads_to_the_next_open_question(letter: Letter) -> None:
    answer = letter.answer("Mast step", "approve")
    assert (answer.status_code, answer["Location"]) == (302, f"{letter.address}#question-2")
    decision = Decision.objects.get()
    assert (decision.digest, decision.owner, decision.from_address) == (
        letter.quote.digest,
        letter.spring.boat.decider_owner,
        "127.0.0.1",
    )
    assert letter.line("Mast step").job.state == Job.State.APPROVED
    assert "You approved this on 6 Apr 2027, 14:00" in shown(letter)


def test_the_next_open_question_may_be_an_earlier_one(letter: Letter) -> None:
    assert letter.answer("Toerail", "approve")["Location"].endswith("#question-1")


def test_the_last_answer_ends_the_quote_and_the_page_says_so(letter: Letter) -> None:
    letter.answer("Mast step", "approve")
    letter.answer("Toerail", "decline")
    assert letter.answer("Window frame", "approve")["Location"].endswith("#together")
    letter.quote.refresh_from_db()
    assert letter.quote.state == Quote.State.DECIDED
    page = shown(letter)
    assert "You have answered everything." in page
    assert "2 approved, 1 declined" in page
    assert "<form" not in page


def test_totals_follow_the_answers(letter: Letter) -> None:
    letter.answer("Mast step", "approve")
    letter.answer("Toerail", "approve")
    lines = [letter.line("Mast step"), letter.line("Toerail")]
    net = sum((line.net_labour + line.net_materials for line in lines), Decimal(0))
    # VAT once on the sum, halves away from zero: EN 16931, BR-CO-17
    vat = (net / 4).quantize(net, rounding="ROUND_HALF_UP")
    open_line = letter.line("Window frame")
    together = shown(letter).split('id="together"')[1]
    assert f"€{net:,.2f}" in together
    assert f"VAT 25 % of €{net:,.2f}" in together
    assert f"€{net + vat:,.2f}" in together
    assert "Still open, 1 job" in together
    assert f"€{open_line.net_labour + open_line.net_materials:,.2f}" in together


def test_declining_what_is_unsafe_needs_the_tick(letter: Letter) -> None:
    assert letter.line("Mast step").job.unsafe_to_leave
    refused = letter.answer("Mast step", "decline")
    assert refused.status_code == 422
    assert "it is not ticked that you have read what that means" in refused.content.decode()
    assert letter.decisions() == []
    assert letter.answer("Mast step", "decline", read="yes").status_code == 302
    assert letter.decisions() == ["decline"]


def test_a_question_is_kept_and_the_job_stays_open(letter: Letter) -> None:
    answer = letter.answer("Toerail", "ask", question="Can it wait until spring?")
    assert answer["Location"].endswith("#question-3")
    page = shown(letter)
    assert "<p>Can it wait until spring?</p>" in page
    assert 'value="approve"' in page.split('id="question-3"')[1]


def test_a_question_without_words_is_refused_at_the_top_and_beside_the_job(letter: Letter) -> None:
    answer = letter.answer("Toerail", "ask", question="  ")
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'href="#question-3"' in page.split('id="refused"')[1].split("</div>")[0]
    assert "Is empty; write what you would like to know." in page.split('id="question-3"')[1]


def test_a_question_that_is_too_long_keeps_its_words(letter: Letter) -> None:
    answer = letter.answer("Toerail", "ask", question="why " * 600)
    assert answer.status_code == 422
    assert "why why why" in answer.content.decode()


def test_a_second_click_is_the_same_answer(letter: Letter) -> None:
    first, second = letter.answer("Toerail", "approve"), letter.answer("Toerail", "approve")
    assert first["Location"] == second["Location"]
    assert letter.decisions() == ["approve"]


def test_a_second_click_on_the_last_question_is_the_same_answer(letter: Letter) -> None:
    for place in ("Mast step", "Window frame", "Toerail"):
        letter.answer(place, "approve")
    assert letter.answer("Toerail", "approve").status_code == 302
    assert len(letter.decisions()) == 3


def test_another_answer_afterwards_is_refused_with_the_first_one_standing(letter: Letter) -> None:
    letter.answer("Toerail", "approve")
    answer = letter.answer("Toerail", "decline")
    assert answer.status_code == 409
    assert "This job was approved before" in answer.content.decode()
    assert letter.decisions() == ["approve"]


def test_an_answer_that_names_another_text_is_refused(letter: Letter) -> None:
    answer = letter.answer("Toerail", "approve", digest="0" * 64)
    assert answer.status_code == 422
    assert letter.decisions() == []


def test_an_answer_without_a_word_is_refused(letter: Letter) -> None:
    assert letter.answer("Toerail", "").status_code == 422
    assert letter.decisions() == []


def test_a_job_of_another_quote_is_not_there(letter: Letter) -> None:
    other = a_letter()
    address = reverse("web:owner-answer", args=[letter.token, other.line("Toerail").pk])
    answer = Client().post(address, {"verdict": "approve", "digest": other.quote.digest})
    assert answer.status_code == 404
    assert other.decisions() == []


def test_after_the_last_day_the_page_tells_and_takes_no_more(letter: Letter) -> None:
    letter.answer("Mast step", "ask", question="Can it wait?")
    assert "You can decide or ask more in the meantime" in shown(letter)
    with time_machine.travel(NOW + timedelta(days=22)):
        page = shown(letter)
        assert "This quote ran out on 27 April 2027" in page
        assert "<form" not in page
        assert "You can decide" not in page
        assert letter.answer("Toerail", "approve").status_code == 422
    assert letter.decisions() == ["ask"]


def test_a_browser_that_names_no_origin_may_answer(letter: Letter) -> None:
    """With `no-referrer` a browser sends `Origin: null` (Fetch standard, section 3.2); no cookie is looked at."""
    client = Client(enforce_csrf_checks=True)
    address = reverse("web:owner-answer", args=[letter.token, letter.line("Toerail").pk])
    answer = client.post(address, {"verdict": "approve", "digest": letter.quote.digest}, headers={"Origin": "null"})
    assert answer.status_code == 302
    assert not client.cookies


def test_the_yards_own_boat_is_decided_by_its_manager() -> None:
    laid = a_spring()
    boat = laid.boat
    boat.decider_owner, boat.decider_member = None, laid.manager
    boat.save()
    laid.finding(laid.component("Toerail"), "REBED_SEALANT")
    quote = laid.sent()
    own = Letter(laid, quote, OwnerLink.objects.get(quote=quote), "", "")
    assert own.answer("Toerail", "approve").status_code == 302
    assert Decision.objects.get().member == laid.manager


def test_the_report_is_there_once_it_is_made(letter: Letter) -> None:
    address = reverse("web:owner-report", args=[letter.token])
    assert Client().get(address).status_code == 404
    assert "as a PDF" not in shown(letter)
    drain(now=NOW)
    answer = read_out(Client().get(address))
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer.body.startswith(b"%PDF-")
    assert "as a PDF" in shown(letter)


def test_the_yards_own_drawing_lies_under_the_pins_here_and_in_the_office(letter: Letter) -> None:
    ours, office = shown(letter), Visitor(letter.spring.manager)
    sheet = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 90"><text y="48">KITTIWAKE</text></svg>'
    drawing, _ = drawing_put(boat=letter.spring.boat, data=sheet, by=letter.spring.manager, at=NOW)
    page = shown(letter)
    plan = page.split('class="sheet"')[1].split("</svg>")[0]
    assert f'<image href="{letter.address}drawing/{drawing.sha256}/"' in plan
    assert "port</text>" not in plan
    told = re.compile('aria-label="([^"]+)"|class="pin-number">([^<]+)<')
    assert told.findall(plan) == told.findall(ours.split('class="sheet"')[1].split("</svg>")[0])
    preview = office.page(f"/quotes/{letter.quote.pk}/preview/")
    assert f'<image href="/api/v1/boats/{letter.spring.boat.pk}/drawing/"' in preview

    answer = read_out(Client().get(f"{letter.address}drawing/{drawing.sha256}/"))
    assert b"KITTIWAKE" in answer.body
    assert answer["Content-Security-Policy"].startswith("default-src 'none'")
    assert answer["Referrer-Policy"] == "no-referrer"
    assert Client().get(f"{letter.address}drawing/{'0' * 64}/").status_code == 404
    default_storage.delete(str(drawing.file.name))
    assert "port</text>" in shown(letter)


def test_the_page_asks_the_database_no_more_for_more_findings() -> None:
    def asks(findings: int) -> int:
        laid = a_spring()
        for number in range(findings):
            laid.finding(laid.component(f"Frame {number}"), "REBED_SEALANT")
        quote = quote_send(
            quote=quote_draft(inspection=laid.inspection, jobs=laid.propose(), by=laid.manager, at=NOW),
            by=laid.manager,
            at=NOW,
        )
        address = Letter(laid, quote, OwnerLink.objects.get(quote=quote), "", "").address
        return len(queries_of(lambda: Client().get(address)))

    assert asks(2) == asks(20)
