"""The doors through which Celery comes in. Celery never retries: attempts and back-off are the row's own."""

from django.utils import timezone

from yard.celery import app
from yard.outbox import running, sweeping, telling


@app.task(name="yard.outbox.run")
def run(row_id: int) -> None:
    running.run_row(row_id)


@app.task(name="yard.outbox.tell")
def tell(row_ids: list[int]) -> None:
    telling.tell(row_ids)


@app.task(name="yard.outbox.sweep")
def sweep() -> None:
    sweeping.sweep(now=timezone.now())
