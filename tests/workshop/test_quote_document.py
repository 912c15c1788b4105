"""The content of a quote as values: written, read again, and never contradicting itself."""

import dataclasses
import json
from decimal import Decimal
from typing import Any

import pytest

from inspections.judgement.vocabulary import Condition
from tests.workshop.documents import a_document, a_finding, a_job
from tests.workshop.judged_documents import a_spring_document
from workshop.canonical import canonical_bytes, digest_of
from workshop.estimating.packs import PackCount, PackSize
from workshop.quoting.document import document_read
from workshop.quoting.if_left import if_left
from yard.refusals import Refused


def written() -> dict[str, Any]:
    document: dict[str, Any] = json.loads(canonical_bytes(a_document().as_document()))
    return document


def test_what_was_written_is_read_again_as_it_was() -> None:
    document = a_document()
    assert document_read(canonical_bytes(document.as_document()).decode()) == document


def test_reading_and_writing_again_keeps_the_digest() -> None:
    document = a_document()
    again = document_read(canonical_bytes(document.as_document()).decode())
    assert digest_of(again.as_document()) == digest_of(document.as_document())


def test_every_word_of_it_counts_for_the_digest() -> None:
    document = a_document()
    changed = dataclasses.replace(document, boat=dataclasses.replace(document.boat, name="Sea Pinks"))
    assert digest_of(changed.as_document()) != digest_of(document.as_document())


def test_a_quote_of_the_second_format_is_read_and_keeps_its_digest() -> None:
    old = written()
    old["format"] = "quote 2"
    assert "language" not in old
    again = document_read(json.dumps(old))
    assert (again.language, again.findings[0].reason_groups) == ("en", ())
    assert digest_of(again.as_document()) == digest_of(old)


def test_a_quote_is_in_a_language_of_ours_and_its_reasons_have_a_group_each() -> None:
    with pytest.raises(ValueError, match="none of our languages"):
        dataclasses.replace(a_document(), language="nb")
    with pytest.raises(ValueError, match="not as many"):
        dataclasses.replace(a_finding(), reason_groups=("what",))


def test_figures_that_do_not_add_up_can_not_exist() -> None:
    document = a_document()
    cheap = dataclasses.replace(document.totals, net=Decimal("1.00"), vat=Decimal("0.25"), gross=Decimal("1.25"),
                                by_rate=(dataclasses.replace(document.totals.by_rate[0], net=Decimal("1.00"),
                                                             vat=Decimal("0.25")),))  # fmt: skip
    with pytest.raises(ValueError, match="totals"):
        dataclasses.replace(document, totals=cheap)
    with pytest.raises(ValueError, match="labour and materials"):
        dataclasses.replace(document.jobs[0], net=Decimal("1.00"))
    with pytest.raises(ValueError, match="VAT rate"):
        dataclasses.replace(document.jobs[0], amounts=document.jobs[0].amounts[:1])


def test_a_job_names_findings_of_the_document() -> None:
    with pytest.raises(ValueError, match="names a finding"):
        a_document([a_finding(1)], [a_job(1, [a_finding(2)])])


@pytest.mark.parametrize(
    ("where", "value", "field"),
    [
        pytest.param(["jobs", 0, "net"], 250.9, "content.jobs[0].net", id="a binary fraction"),
        pytest.param(["jobs", 0, "net"], "much", "content.jobs[0].net", id="prose for money"),
        pytest.param(["jobs", 0, "net"], "1.00", "content.jobs[0]", id="a price that does not add up"),
        pytest.param(["boat", "loa_mm"], "8400", "content.boat.loa_mm", id="text for a whole number"),
        pytest.param(["boat", "loa_mm"], True, "content.boat.loa_mm", id="a truth for a whole number"),
        pytest.param(["dated"], "yesterday", "content.dated", id="no day"),
        pytest.param(["findings"], {}, "content.findings", id="no list"),
        pytest.param(["yard"], None, "content.yard", id="nothing"),
        pytest.param(["format"], "quote 9", "content", id="another format"),
        pytest.param(["more"], "", "content", id="a member too many"),
    ],
)
def test_a_document_that_was_tampered_with_is_refused(where: list[Any], value: object, field: str) -> None:
    document = written()
    inner: Any = document
    for step in where[:-1]:
        inner = inner[step]
    inner[where[-1]] = value
    with pytest.raises(Refused) as refused:
        document_read(json.dumps(document))
    assert refused.value.field == field


def test_what_no_job_serves_is_told_apart() -> None:
    document = a_document()
    assert [finding.priority for finding in document.beside_the_jobs] == ["next_layup", "watch"]


@pytest.mark.parametrize("condition", Condition)
def test_each_condition_says_what_happens_if_it_is_left(condition: Condition) -> None:
    texts = {if_left(condition.value, severity) for severity in (1, 2, 3, 4)}
    assert len(texts) == 4
    assert all(text.endswith(".") and len(text) < 200 for text in texts)


# --- what came in later -----------------------------------------------------------------------------


@pytest.mark.parametrize("format_then", ["quote 1", "quote 2"])
def test_a_quote_that_was_sent_before_reads_and_keeps_its_digest(format_then: str) -> None:
    """The content of a quote of an earlier format, as it lies in the tables of a yard."""
    first = written()
    first["format"] = format_then
    assert "packs" not in first["jobs"][0]["materials"][0]
    assert {"judged", "seen_on", "earlier"}.isdisjoint(first["findings"][0])
    content = canonical_bytes(first)
    read = document_read(content.decode())
    assert read.findings[0].judged is None
    assert canonical_bytes(read.as_document()) == content


def test_the_rest_of_a_judgement_and_earlier_years_are_frozen_too() -> None:
    document = a_spring_document()
    read = document_read(canonical_bytes(document.as_document()).decode())
    assert read == document
    wettest = next(finding for finding in read.findings if len(finding.earlier) == 3)
    assert wettest.judged is not None
    assert wettest.judged.drying is not None
    assert wettest.judged.hold is not None
    assert wettest.earlier[-1].photo in read.pictures


def test_the_packs_that_are_paid_for_are_frozen() -> None:
    document = a_document()
    job = document.jobs[0]
    packs = (PackCount(2, PackSize(Decimal(290), Decimal("9.20"), "cartridge", "cartridges")),)
    paid = dataclasses.replace(job, materials=(dataclasses.replace(job.materials[0], packs=packs),))
    frozen = dataclasses.replace(document, jobs=(paid, *document.jobs[1:]))
    assert document_read(canonical_bytes(frozen.as_document()).decode()) == frozen


def test_a_member_that_has_no_default_must_be_there() -> None:
    document = written()
    del document["findings"][0]["photos"]
    with pytest.raises(Refused) as refused:
        document_read(json.dumps(document))
    assert refused.value.field == "content.findings[0]"
    assert "photos" in refused.value.problem
