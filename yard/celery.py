"""The Celery application of the production set-up; see yard/outbox for what it carries."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yard.settings")
app = Celery("faying")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["yard.outbox"])
