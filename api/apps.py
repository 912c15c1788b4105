from importlib import import_module

from django.apps import AppConfig


class ApiConfig(AppConfig):
    name = "api"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        import_module("api.schema")  # tells the schema's generator of our fields and keys
        import_module("api.handlers")
