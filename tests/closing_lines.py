"""The last lines of tests/run: each round, what was skipped or left out and why, and one sum over all.

    python tests/closing_lines.py FOLDER

FOLDER holds a JUnit file for each round (an empty one when the round did not finish), `not_here` with a line
`marker<TAB>reason` for each thing this machine lacks, and `marker.left_out` with the number of tests it cost.
Ends with 1 when anything failed, a round did not finish, or nothing was run at all.
"""

import sys
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from xml.etree import ElementTree as ET


@dataclass
class Round:
    name: str
    finished: bool = False
    passed: int = 0
    failed: int = 0
    skipped: int = 0
    seconds: float = 0.0
    reasons: Counter[str] = field(default_factory=Counter)

    def line(self) -> str:
        if not self.finished:
            return f"{self.name}: did not finish"
        if self.passed + self.failed + self.skipped == 0:
            return f"{self.name}: no test belongs here"
        counts = f"{self.passed} passed, {self.failed} failed, {self.skipped} skipped"
        return f"{self.name}: {counts} in {self.seconds:.0f} s"


def read_round(file: Path) -> Round:
    """One round from its JUnit file; a test counts once, as failed if anything about it went wrong."""
    result = Round(file.stem)
    text = file.read_text(encoding="utf-8")
    if not text.strip():
        return result
    result.finished = True
    outcomes: dict[tuple[str, str], str] = {}
    suites = ET.fromstring(text)  # noqa: S314 - written by our own pytest a moment ago
    for suite in suites.iter("testsuite"):
        result.seconds += float(suite.get("time", "0"))
    for case in suites.iter("testcase"):
        key = (case.get("classname", ""), case.get("name", ""))
        skipped = case.find("skipped")
        if case.find("failure") is not None or case.find("error") is not None:
            outcomes[key] = "failed"
        elif skipped is not None:
            outcomes.setdefault(key, "skipped")
            result.reasons[skipped.get("message") or skipped.get("type") or "no reason given"] += 1
        else:
            outcomes.setdefault(key, "passed")
    totals = Counter(outcomes.values())
    result.passed, result.failed, result.skipped = totals["passed"], totals["failed"], totals["skipped"]
    return result


def lines_of(rounds: list[Round], folder: Path) -> list[str]:
    lines = [result.line() for result in rounds]
    for result in rounds:
        for why, count in sorted(result.reasons.items()):
            lines.append(f"skipped ({result.name}): {count} × {why}")
    for row in (folder / "not_here").read_text(encoding="utf-8").splitlines():
        marker, why = row.split("\t", 1)
        count = int((folder / f"{marker}.left_out").read_text(encoding="utf-8"))
        lines.append(f"not run: {count} tests marked {marker}, because {why}")
    if not any(line.startswith(("skipped", "not run")) for line in lines):
        lines.append("Nothing was skipped or left out.")
    return lines


def main(folder: Path) -> int:
    in_order = sorted(folder.glob("*.xml"), key=lambda file: file.stat().st_mtime)
    rounds = [read_round(file) for file in in_order]
    passed = sum(result.passed for result in rounds)
    failed = sum(result.failed + (not result.finished) for result in rounds)
    skipped = sum(result.skipped for result in rounds)
    sys.stdout.write("\n".join(lines_of(rounds, folder)) + "\n")
    if passed + failed == 0:
        sys.stdout.write("No test was run.\n")
    sys.stdout.write(f"tests: {passed} passed, {failed} failed, {skipped} skipped\n")
    return 0 if passed and not failed else 1


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
