"""Structured logs: one JSON object a line in production, readable lines at a bench, ids on every line."""

import re
from collections.abc import MutableMapping
from typing import Any

import structlog

KEYS = re.compile(r"/(o|calendar|digest)/[^/\s]+")


def mask_keys(_: object, __: str, event: MutableMapping[str, Any]) -> MutableMapping[str, Any]:
    """The address of an owner's link or a calendar is a key: whoever reads the log must not be able to use it."""
    for name, value in event.items():
        if isinstance(value, str) and "/" in value:
            event[name] = KEYS.sub(r"/\1/…", value)
    return event


SHARED: list[Any] = [
    structlog.contextvars.merge_contextvars,
    mask_keys,
    structlog.stdlib.add_logger_name,
    structlog.stdlib.add_log_level,
    structlog.processors.TimeStamper(fmt="iso", utc=True),
]


def logging_config(*, level: str, format_name: str) -> dict[str, Any]:
    if format_name not in {"json", "console"}:
        raise ValueError(f"LOG_FORMAT is {format_name!r}; json or console would do")
    renderer: Any = (
        structlog.processors.JSONRenderer()
        if format_name == "json"
        else structlog.dev.ConsoleRenderer(colors=False)
    )
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {
            "structured": {
                "()": structlog.stdlib.ProcessorFormatter,
                "processors": [
                    structlog.stdlib.ProcessorFormatter.remove_processors_meta,
                    structlog.processors.format_exc_info,
                    renderer,
                ],
                "foreign_pre_chain": SHARED,
            }
        },
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "structured"}},
        "root": {"handlers": ["stderr"], "level": level},
        "loggers": {
            "fontTools": {"level": "WARNING"},
            "httpx": {"level": "WARNING"},
            "weasyprint": {"level": "WARNING"},
            "django.server": {"level": "WARNING", "propagate": True},
        },
    }


def structlog_configure() -> None:
    structlog.configure(
        processors=[
            structlog.stdlib.filter_by_level,
            *SHARED,
            structlog.stdlib.PositionalArgumentsFormatter(),
            structlog.processors.StackInfoRenderer(),
            structlog.stdlib.ProcessorFormatter.wrap_for_formatter,
        ],
        logger_factory=structlog.stdlib.LoggerFactory(),
        cache_logger_on_first_use=True,
    )
