from importlib import import_module

from django.apps import AppConfig


class WorkshopConfig(AppConfig):
    name = "workshop"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        import_module("workshop.handlers")
