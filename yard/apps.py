from importlib import import_module
from typing import Any

from django.apps import AppConfig
from django.conf import settings
from django.db import connections
from django.db.models.signals import post_migrate, pre_migrate

from yard import database_rules


class YardConfig(AppConfig):
    name = "yard"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        if settings.CELERY_BROKER_URL:
            import_module("yard.celery")  # the app that tasks are sent through is the configured one
        import_module("yard.handlers")
        pre_migrate.connect(_take_rules_down, sender=self, dispatch_uid="yard.rules.down")
        post_migrate.connect(_put_rules_up, dispatch_uid="yard.rules.up")


def _take_rules_down(using: str, **_: Any) -> None:
    database_rules.take_down(connections[using])


def _put_rules_up(sender: AppConfig, using: str, **_: Any) -> None:
    database_rules.put_up(sender, connections[using])
