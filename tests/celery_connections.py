"""Celery keeps its connections for the life of a process; a test with a broker of its own must not."""

import kombu.pools

from yard.celery import app


def forget_connections() -> None:
    """Let the next news go to the broker that the settings name then."""
    kombu.pools.reset()
    app._pool = None  # type: ignore[attr-defined]
    app.amqp._producer_pool = None  # type: ignore[attr-defined]
