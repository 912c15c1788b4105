"""The judge of problem documents is itself held against documents whose verdict RFC 9457 gives."""

from typing import Any

import pytest

from tests.reference.problem_rules import TABLE, broken_rules


@pytest.mark.parametrize("case", TABLE["documents"], ids=lambda case: case["name"])
def test_documents_are_judged_as_the_table_says(case: dict[str, Any]) -> None:
    verdict = broken_rules(case["document"], http_status=case["http_status"], media_type="application/problem+json")
    assert verdict == ([] if case["sound"] else [case["breaks"]])


@pytest.mark.parametrize("media_type", ["application/json", "text/html", ""])
def test_another_media_type_is_no_problem_document(media_type: str) -> None:
    assert broken_rules({}, http_status=404, media_type=media_type) == ["media-type"]


def test_parameters_of_the_media_type_are_allowed() -> None:
    assert broken_rules({}, http_status=404, media_type="application/problem+json; charset=utf-8") == []


@pytest.mark.parametrize("document", [[], "Not Found", None])
def test_a_problem_is_an_object(document: object) -> None:
    assert broken_rules(document, http_status=404, media_type="application/problem+json") == ["media-type"]


@pytest.mark.parametrize("status", [99, 600, True, 404.0])
def test_a_status_is_a_whole_number_of_http(status: object) -> None:
    verdict = broken_rules({"status": status}, http_status=404, media_type="application/problem+json")
    assert verdict == ["wrong-kind-ignored"]


def test_every_rule_named_by_a_document_is_in_the_table() -> None:
    named = {case["breaks"] for case in TABLE["documents"] if not case["sound"]}
    assert named <= {rule["id"] for rule in TABLE["rules"]}
