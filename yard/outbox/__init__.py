"""The outbox: work that must happen, written down in the transaction of the change that asks for it.

One row is one piece of work. Its life:

    enqueue ──► waiting ──claim──► leased ──► done      effect and 'done' in one transaction
                   ▲                 │
                   └── back-off ◄────┤ it failed, or its worker was killed (the lease runs out)
                                     └──► failed    after OUTBOX_MAX_ATTEMPTS; the office can send it again

A broker, where there is one, only carries the news that a row is waiting (`telling`); losing the news costs time,
never work, because a sweep looks at the table itself.
"""

from yard.outbox.asking import Ask, enqueue, enqueue_many
from yard.outbox.claims import Claim, claim, claim_next
from yard.outbox.handlers import GiveUp, handler
from yard.outbox.nightly import every_night, nightly_rows_write
from yard.outbox.running import drain, run_row, send_again

__all__ = [
    "Ask",
    "Claim",
    "GiveUp",
    "claim",
    "claim_next",
    "drain",
    "enqueue",
    "enqueue_many",
    "every_night",
    "handler",
    "nightly_rows_write",
    "run_row",
    "send_again",
]
