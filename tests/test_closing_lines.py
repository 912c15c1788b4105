"""The last lines of a test run tell the truth, also when it went badly."""

from pathlib import Path

import pytest

from tests import closing_lines

CASES = '<testsuites><testsuite name="pytest" time="{seconds}">{cases}</testsuite></testsuites>'


def case(name: str, inside: str = "") -> str:
    return f'<testcase classname="tests.test_x" name="{name}" time="0.1">{inside}</testcase>'


def write_round(folder: Path, name: str, *cases: str) -> None:
    (folder / f"{name}.xml").write_text(CASES.format(seconds=2.4, cases="".join(cases)), encoding="utf-8")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "not_here").write_text("", encoding="utf-8")
    return tmp_path


def test_rounds_are_added_up(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_round(folder, "first", case("a"), case("b"))
    write_round(folder, "second", case("a"))
    assert closing_lines.main(folder) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[-1] == "tests: 3 passed, 0 failed, 0 skipped"
    assert "first: 2 passed, 0 failed, 0 skipped in 2 s" in lines
    assert "Nothing was skipped or left out." in lines


@pytest.mark.parametrize("what", ["failure", "error"])
def test_a_failure_and_an_error_both_count_as_failed(
    what: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_round(folder, "first", case("a"), case("b", f'<{what} message="no">trace</{what}>'))
    assert closing_lines.main(folder) == 1
    assert capsys.readouterr().out.splitlines()[-1] == "tests: 1 passed, 1 failed, 0 skipped"


def test_a_test_that_passed_and_broke_while_clearing_up_counts_once_as_failed(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_round(folder, "first", case("a"), case("a", '<error message="teardown">trace</error>'))
    assert closing_lines.main(folder) == 1
    assert capsys.readouterr().out.splitlines()[-1] == "tests: 0 passed, 1 failed, 0 skipped"


def test_a_skipped_test_is_named_with_its_reason(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_round(folder, "first", case("a"), case("b", '<skipped type="pytest.skip" message="no harbour"/>'))
    assert closing_lines.main(folder) == 0
    lines = capsys.readouterr().out.splitlines()
    assert "skipped (first): 1 × no harbour" in lines
    assert lines[-1] == "tests: 1 passed, 0 failed, 1 skipped"


def test_a_round_that_did_not_finish_fails_the_run(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_round(folder, "first", case("a"))
    (folder / "second.xml").write_text("", encoding="utf-8")
    assert closing_lines.main(folder) == 1
    lines = capsys.readouterr().out.splitlines()
    assert "second: did not finish" in lines
    assert lines[-1] == "tests: 1 passed, 1 failed, 0 skipped"


def test_what_the_machine_lacks_is_named_with_what_it_cost(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_round(folder, "first", case("a"))
    (folder / "not_here").write_text("browser\tno Chromium was found\n", encoding="utf-8")
    (folder / "browser.left_out").write_text("7\n", encoding="utf-8")
    assert closing_lines.main(folder) == 0
    assert "not run: 7 tests marked browser, because no Chromium was found" in capsys.readouterr().out


def test_a_run_without_a_single_test_fails(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_round(folder, "first")
    assert closing_lines.main(folder) == 1
    assert "No test was run." in capsys.readouterr().out
