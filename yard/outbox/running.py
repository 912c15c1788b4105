"""Working on a row: the slow part outside a transaction, the effect and 'done' together inside one."""

from datetime import datetime, timedelta

import structlog
from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import timezone

from yard.models import OutboxRow
from yard.outbox.claims import Claim, claim, claim_next
from yard.outbox.handlers import Finish, GiveUp, handler_of
from yard.outbox.telling import tell_on_commit
from yard.refusals import Refused

log = structlog.get_logger(__name__)

LONGEST_BACKOFF = timedelta(hours=1)
ERROR_LENGTH = 2000


class _NotOurs(Exception):  # noqa: N818 - carries a rollback, no error
    """The row was finished by somebody else, or asked for again: what we would write is dropped."""


def run_row(row_id: int, *, now: datetime | None = None) -> bool:
    """Claim this row and work on it. False when it was not to be had (done, not due, somebody else's)."""
    claimed = claim(row_id, now=now)
    if claimed is None:
        return False
    run_claimed(claimed, now=now)
    return True


def drain(*, limit: int | None = None, now: datetime | None = None) -> int:
    """Work on every row that is due, and on those that this work asks for, until none is left.

    Args:
        limit: how many at most.
        now: the moment that counts as the present for everything that is done; the real one unless given.

    Returns:
        How many rows were worked on, well or badly.
    """
    worked = 0
    while limit is None or worked < limit:
        claimed = claim_next(now=now)
        if claimed is None:
            break
        run_claimed(claimed, now=now)
        worked += 1
    return worked


def run_claimed(claimed: Claim, *, now: datetime | None = None) -> None:
    """Work on a row that is ours. Whatever goes wrong is written into the row; nothing is raised."""
    with structlog.contextvars.bound_contextvars(
        outbox_row=claimed.row_id, outbox_task=claimed.task, attempt=claimed.attempt
    ):
        try:
            finish = handler_of(claimed.task)(**claimed.arguments)
            _finish(claimed, finish, now or timezone.now())
        except _NotOurs:
            _release_if_asked_again(claimed, now or timezone.now())
        except (KeyboardInterrupt, SystemExit):
            raise  # the process is to end: the lease will run out, and the row is tried again
        except BaseException as error:  # a library's fatal error may be none of Exception; the worker outlives it
            _note_failure(claimed, error, now or timezone.now())


def _finish(claimed: Claim, finish: Finish | None, now: datetime) -> None:
    """Write the effect and 'done' in one transaction.

    The effect comes first and the row last, as in the requests that ask for work: two transactions that touch the
    same things in the same order wait for each other, and don't lock each other out. The guarded UPDATE decides:
    whoever finds the row done, given up or asked for again takes back everything.

    A lease that ran out in the meantime is no reason to throw work away: the first to finish is the one who counts.
    """
    still_as_read = OutboxRow.objects.open().filter(pk=claimed.row_id, times_asked=claimed.times_asked)
    if not still_as_read.exists():
        raise _NotOurs
    with transaction.atomic():
        if finish is not None:
            finish(now)
        if not still_as_read.update(done_at=now, lease_until=None, last_error=""):
            raise _NotOurs
    log.info("outbox_row_done")


def _release_if_asked_again(claimed: Claim, now: datetime) -> None:
    with transaction.atomic():
        ours = OutboxRow.objects.open().filter(pk=claimed.row_id, lease_until=claimed.lease_until)
        if ours.update(lease_until=None, attempts=0, not_before=now):
            log.info("outbox_row_asked_again")
            tell_on_commit(list(OutboxRow.objects.filter(pk=claimed.row_id)))
        else:
            log.info("outbox_row_finished_elsewhere")


def _note_failure(claimed: Claim, error: BaseException, now: datetime) -> None:
    """Write down what went wrong, and when the next try is due; after the last one the row is given up."""
    reason = f"{type(error).__name__}: {error}"[:ERROR_LENGTH]
    gives_up = isinstance(error, GiveUp) or claimed.attempt >= settings.OUTBOX_MAX_ATTEMPTS
    ours = OutboxRow.objects.open().filter(pk=claimed.row_id, lease_until=claimed.lease_until)
    if gives_up:
        noted = ours.update(failed_at=now, lease_until=None, last_error=reason)
    else:
        noted = ours.update(not_before=now + backoff(claimed.attempt), lease_until=None, last_error=reason)
    if not noted:
        log.warning("outbox_row_failed_after_lease", reason=reason)
    elif gives_up:
        log.error("outbox_row_failed", reason=reason, exc_info=error)
    else:
        log.warning("outbox_row_will_be_tried_again", reason=reason, exc_info=error)


def backoff(attempt: int) -> timedelta:
    """How long to wait after this many tries: doubling, at most an hour."""
    seconds = settings.OUTBOX_BACKOFF_SECONDS * 2.0 ** min(attempt - 1, 30)
    return min(timedelta(seconds=seconds), LONGEST_BACKOFF)


def send_again(row: OutboxRow, *, at: datetime) -> None:
    """Give a row that was given up all its tries again.

    Raises:
        Refused: it was not given up, or the same work has been asked for anew since.
    """
    given_up = OutboxRow.objects.filter(pk=row.pk, failed_at__isnull=False)
    try:
        with transaction.atomic():
            if not given_up.update(failed_at=None, lease_until=None, attempts=0, not_before=at):
                raise Refused("row", "was not given up", "only work that has failed can be sent again")
            row.refresh_from_db()
            tell_on_commit([row])
    except IntegrityError as error:
        raise Refused(
            "row", "the same work is waiting already", "leave this one as it is and watch the newer one"
        ) from error
