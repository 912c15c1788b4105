from importlib import import_module

from django.apps import AppConfig


class WebConfig(AppConfig):
    name = "web"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        import_module("web.second_factor.noting").connect()
