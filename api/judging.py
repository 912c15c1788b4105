"""When something that judgements are reckoned from has changed: the worker judges the yard again."""

from __future__ import annotations

from datetime import datetime

from inspections.services.asking import REJUDGE_YARD
from yard.models import Yard
from yard.outbox import enqueue


def judge_again(yard: Yard, *, at: datetime) -> None:
    """Ask for it, in the transaction of the change; asked for twice it is done once."""
    enqueue(task=REJUDGE_YARD, key=f"rejudge:{yard.pk}", arguments={"yard_id": yard.pk}, yard=yard, at=at)
