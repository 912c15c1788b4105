"""The API's work for the outbox; importing this registers it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from api.idempotency import kept_answers_forget
from yard.outbox import every_night, handler

FORGET = "api.forget_kept_answers"


@handler(FORGET)
def forget_kept_answers(yard_id: int) -> Callable[[datetime], None]:
    """Drop the answers to requests whose keys are no longer looked up."""

    def finish(now: datetime) -> None:
        kept_answers_forget(yard_id=yard_id, at=now)

    return finish


every_night(FORGET)
