"""A German owner's quote, report and mails, beside what a member of the yard has typed; and everybody else's."""

from __future__ import annotations

import re

import pytest

from inspections.models import Assessment
from tests.inspections.judgement.builders import a_finding, judged, stock_classes, stock_signs
from tests.workshop.spring import AT, Spring, a_spring
from workshop.canonical import canonical_bytes
from workshop.models import Job
from workshop.quoting.document import document_read
from workshop.report.context import report_view
from workshop.report.rendering import report_html
from workshop.services.quote_content import quote_content

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
        html = report_html(report_view(document, digest="0" * 64, locale="de_AT", photos=()))
        assert '<p class="words" lang="en"><strong>The meter shows 26 %' in html
