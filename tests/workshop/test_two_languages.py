"""A German owner's quote, report and mails, beside what a member of the yard has typed; and everybody else's."""

from __future__ import annotations

import functools
import re
from datetime import timedelta
from email import message_from_bytes, policy
from html import escape

import pytest
from django.core import mail as django_mail

from inspections.models import Assessment
from tests.inspections.judgement.builders import a_finding, judged, stock_classes, stock_signs
from tests.workshop import pdf_reading
from tests.workshop.judged_documents import a_spring_document
from tests.workshop.spring import AT, Spring, a_spring
from workshop.canonical import canonical_bytes
from workshop.models import Job, Report
from workshop.quoting.document import document_read
from workshop.report.context import report_view
from workshop.report.rendering import report_html
from workshop.services.decisions import decision_make
from workshop.services.quote_content import quote_content
from workshop.services.reminders import reminder_write
from workshop.services.threads import reply_write
from yard import outbox
from yard.languages import figures_locale, language_of
from yard.models import Mail

ENGLISH = re.compile(
    r"\b(the|and|of|is|it|by|with|what|when|not|job|jobs|quote|hours|page|price|found|please|look|spring|priority|"
    r"before launch|this season|next lay-up|watch|severity|likelihood)\b",
    re.IGNORECASE,
)


def german(**boat: object) -> Spring:
    """A spring whose boat's owner reads German, with a judgement as the rules make it."""
    made = a_spring(name="Sea Pink", **boat)
    owner = made.boat.decider_owner
    assert owner is not None
    owner.locale = "de_AT"
    owner.save()
    mast, boom = made.component("Mast step", ""), made.component("Baum", "")
    made.opening(mast, "sole", "Cabin sole up round the step")
    seen = made.finding(mast, "REBED_SEALANT", priority="before_launch", severity=1)
    made.finding(boom, "SEAM", "OPEN_UP")
    said = judged(
        a_finding(signs=(stock_signs()["GLUE_OPEN"],), seal="open", water="rain"), stock_classes()["COAMING"]
    )
    judgement = Assessment.objects.get(finding=seen)
    Assessment.objects.filter(pk=judgement.pk).update(superseded_at=AT)
    judgement.pk, judgement.reasons, judgement.document = None, list(said.reasons), said.as_document()
    judgement.save(force_insert=True)
    return made


@pytest.mark.django_db
@pytest.mark.both_databases
class TestWhatIsFrozen:
    def test_it_is_in_the_language_of_whoever_decides(self) -> None:
        document = quote_content(german().draft(), at=AT)
        assert document.language == "de"
        mast = next(part for part in document.findings if part.place.startswith("Mastspur"))
        assert set(mast.reason_groups) >= {"what", "go_by", "likely", "when"}
        assert mast.reasons[0].startswith("Gesehen: ")
        assert mast.if_left.endswith("stehen Menschenleben und das Boot auf dem Spiel.")
        assert {caution.title for caution in document.cautions} == {"Örtliche Vorschriften gehen vor", "Solvents"}
        assert document_read(canonical_bytes(document.as_document()).decode()) == document

    def test_what_the_worker_wrote_is_told_anew_and_what_a_member_wrote_stays(self) -> None:
        made = german()
        mast, boom = sorted(made.propose(), key=lambda job: "Baum" in job.title)
        assert mast.title == "Mast step: rebed in sealant"
        draft = made.draft()
        told = {job.id: job for job in quote_content(draft, at=AT).jobs}
        assert told[mast.pk].title == "Mastspur: neu in Dichtmasse setzen"
        assert told[mast.pk].opening_up == "Kajütboden um die Mastspur hoch"
        # an operation of the yard's own has the yard's name
        assert told[boom.pk].title == "Baum: Pay a seam; öffnen und ansehen"
        Job.objects.filter(pk=mast.pk).update(title="Re-bed the step")
        again = {job.id: job for job in quote_content(draft, at=AT).jobs}
        assert again[mast.pk].title == "Re-bed the step"
        assert again[mast.pk].opening_up == "Kajütboden um die Mastspur hoch"

    def test_what_was_judged_in_english_alone_says_so(self) -> None:
        document = quote_content(german().draft(), at=AT)
        boom = next(part for part in document.findings if part.place.startswith("Baum"))
        assert (boom.reasons_in, boom.reason_groups) == ("en", ())
        html = report_html(report_view(document, digest="0" * 64, locale="de_AT", photos=frozenset()))
        assert '<p class="words" lang="en"><strong>The meter shows 26 %' in html


@pytest.mark.django_db
class TestWhatIsMadeOfIt:
    def test_report_and_mail_come_in_german_through_the_post(self) -> None:
        made = german()
        quote = made.sent()
        outbox.drain(now=AT)
        with Report.objects.get(quote=quote).file.open("rb") as file:
            pdf = file.read()
        with pdf_reading.opened(pdf) as opened:
            assert str(opened.Root.Lang) == "de-AT"
            assert opened.docinfo["/Title"] == f"Sea Pink: Frühjahrsdurchsicht 2027, Angebot {quote.number}"
        text = pdf_reading.text(pdf)
        for words in ("Auf einer Seite", "Was wir gefunden haben", "27. April 2027", "Summe mit MwSt.", "0,25 m"):
            assert words in text
        (sent,) = django_mail.outbox
        message = message_from_bytes(sent.message().as_bytes(), policy=policy.default)
        assert message["Subject"] == "Sea Pink: Ja oder Nein zu 2 Arbeiten, bitte bis 27. April 2027"
        plain, html = (message.get_body((kind,)) for kind in ("plain", "html"))
        assert plain is not None
        assert html is not None
        assert "Guten Tag" in plain.get_content()
        assert "1 davon muss vor dem Zuwasserlassen instand gesetzt werden." in plain.get_content()
        assert '<html lang="de-AT">' in html.get_content()
        (attached,) = message.iter_attachments()
        assert attached.get_filename() == f"Sea Pink 2027 Angebot {quote.number}.pdf"

    def test_every_other_mail_about_it_is_german_too(self) -> None:
        made = german()
        quote, owner = made.sent(), made.boat.decider_owner
        first, second = quote.lines.order_by("position")
        say = functools.partial(decision_make, digest=quote.digest, owner=owner, read=True)
        say(line=first, verdict="ask", question="Muss das sein?", at=AT)
        reply_write(line=first, text="Ja.", by=made.manager, at=AT + timedelta(hours=1))
        reminder_write(quote_id=quote.pk, at=AT + timedelta(hours=2))
        say(line=first, verdict="approve", at=AT + timedelta(hours=3))
        say(line=second, verdict="decline", at=AT + timedelta(hours=3))
        mails = {mail.key.partition(":")[0]: mail for mail in Mail.objects.all()}
        assert mails["reply"].subject == "Sea Pink: die Antwort auf Ihre Frage zu Arbeit 1"
        assert mails["reminder"].subject == "Sea Pink: 2 Arbeiten warten auf Ihre Antwort, offen bis 27. April 2027"
        assert mails["receipt"].subject == "Sea Pink: 1 von 2 Arbeiten freigegeben, Ihre Bestätigung"
        assert "Freigegeben am 6. April 2027" in mails["receipt"].text
        for mail in mails.values():
            typed = mail.text.replace("Rebed in sealant", "").replace("Pay a seam", "")
            assert not re.findall(ENGLISH, typed), mail.key

    def test_the_report_of_a_spring_holds_no_english_interface_word(self) -> None:
        document = a_spring_document("de")
        html = report_html(report_view(document, digest="0" * 64, locale="de_DE", photos=document.pictures))
        own = re.sub(r"<style.*?</style>|<[^>]+>", " ", html, flags=re.DOTALL)
        typed = {part for finding in document.findings for part in (finding.place, finding.tag)}
        typed |= {job.opening_up for job in document.jobs} | {job.title.partition(":")[0] for job in document.jobs}
        typed |= {part for place in document.not_seen for part in (place.place, place.why, *place.reasons)}
        typed |= {line.place for line in document.due_back} | {caution.text for caution in document.cautions}
        typed |= {document.yard.name, document.decider.name, document.boat.material, document.boat.build}
        for words in sorted(map(escape, typed), key=len, reverse=True):
            own = own.replace(words, " ") if words else own
        assert not re.findall(ENGLISH, own)
        assert "24,5 %" in own
        assert "8,40 m × 2,45 m" in own


def test_who_reads_neither_gets_english_words_and_the_figures_of_the_country() -> None:
    assert [language_of(tag) for tag in ("de", "de-AT", "de_CH", "en_US", "nb_NO", "da")] == ["de"] * 3 + ["en"] * 3
    assert [figures_locale(tag, "en") for tag in ("en_US", "da_DK", "nb_NO", "xx_XX", "fr")] == [
        "en_US", "en_DK", "en_NO", "en_GB", "en_GB",
    ]  # fmt: skip
    assert figures_locale("de_AT", "de") == "de_AT"
    assert figures_locale("en_US", "de") == "de"
