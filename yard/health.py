"""Two questions an orchestrator asks: is the process alive, and can the service do its work."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import structlog
from django.conf import settings
from django.db import Error
from django.db.models import Count, Min
from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from yard.models import OutboxRow

log = structlog.get_logger(__name__)

# Work that has been due for this long says that no worker is at it.
LONGEST_WAIT = timedelta(minutes=5)
BROKER_SECONDS = 1.0


@require_safe
@never_cache
def alive(request: HttpRequest) -> JsonResponse:
    return JsonResponse({"status": "alive"})


@require_safe
@never_cache
def ready(request: HttpRequest) -> JsonResponse:
    """Says what works and what doesn't; 503 while something that the work needs is missing.

    Work that was given up does not make the service unready: it waits for a person, and is only counted.
    Causes are in the log, not in the answer: anybody may ask.
    """
    checks = {**database_and_outbox(timezone.now()), **broker()}
    wrong = {name: check["problem"] for name, check in checks.items() if "problem" in check}
    if wrong:
        log.warning("not_ready", **wrong)
    return JsonResponse(
        {"status": "not ready" if wrong else "ready", "checks": checks}, status=503 if wrong else 200
    )


def database_and_outbox(now: datetime) -> dict[str, dict[str, Any]]:
    """Whether the database answers, how long the oldest due row has waited, and how many were given up."""
    try:
        due = OutboxRow.objects.due(now).order_by().aggregate(oldest=Min("not_before"), waiting=Count("pk"))
        failed = OutboxRow.objects.filter(failed_at__isnull=False).count()
    except Error as error:
        log.error("database_does_not_answer", error=f"{type(error).__name__}: {error}")
        return {"database": {"problem": "the database does not answer"}}
    waited = timedelta(0) if due["oldest"] is None else now - due["oldest"]
    outbox: dict[str, Any] = {
        "waiting": due["waiting"],
        "oldest_waiting_seconds": round(waited.total_seconds()),
        "failed": failed,
    }
    if waited > LONGEST_WAIT:
        outbox["problem"] = (
            f"work has been waiting for {round(waited.total_seconds())} s; no worker seems to be at it"
        )
    return {"database": {}, "outbox": outbox}


def broker() -> dict[str, dict[str, Any]]:
    """Whether the broker answers, where there is one."""
    if not settings.CELERY_BROKER_URL:
        return {}
    from kombu import Connection  # only where there is a broker

    seconds = {"socket_connect_timeout": BROKER_SECONDS, "socket_timeout": BROKER_SECONDS}
    try:
        with Connection(
            settings.CELERY_BROKER_URL, connect_timeout=BROKER_SECONDS, transport_options=seconds
        ) as connection:
            connection.ensure_connection(max_retries=0, timeout=1)
    except Exception as error:  # whatever its client raises
        log.error("broker_does_not_answer", error=f"{type(error).__name__}: {error}")
        return {"broker": {"problem": "the broker does not answer; work is stored and waits for it"}}
    return {"broker": {}}
