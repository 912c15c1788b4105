"""What the sheets imply of the opening up: done where the place behind was seen, else why it was not possible."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from workshop.demo.doors import Json
from workshop.demo.scenario import Document, made_id

BEFORE_THE_LOOK = timedelta(minutes=4)


def steps_said(steps: Iterable[Json], checks: Sequence[Json], entries: Sequence[Document]) -> list[Document]:
    """A word for each step that comes before a check which these entries answer.

    Args:
        steps: opening-up steps of the inspection, as the API gives them.
        checks: of the same inspection; `after` names the steps that come before each.
        entries: as a tablet sends them.
    """
    answers = {entry["check"]: entry for entry in entries if entry.get("check")}
    said = []
    for step in steps:
        behind = [
            answers[check["id"]]
            for check in checks
            if check["component"] == step["component"] and step["key"] in check["after"] and check["id"] in answers
        ]
        if not behind:
            continue
        hidden = [entry["not_seen_reason"] for entry in behind if entry["answer"] == "not_seen"]
        at = min(datetime.fromisoformat(entry["observed_at"]) for entry in behind) - BEFORE_THE_LOOK
        said.append(
            {
                "id": str(made_id(f"step {step['id']}", at)),
                "step": step["id"],
                "outcome": "not_possible" if hidden else "done",
                "reason": hidden[0] if hidden else "",
                "observed_at": at.isoformat(),
            }
        )
    return said
