"""Counts for throttles and lock-outs on Redis, and in this process alone while Redis is away.

A cache that does not answer must not keep a tablet from handing in its entries. Counting goes on in each process by
itself then: a little more is let through, but not everything.
"""

from __future__ import annotations

import time
from typing import Any

import structlog
from django.core.cache.backends.locmem import LocMemCache
from django.core.cache.backends.redis import RedisCache
from redis.exceptions import ConnectionError as RedisConnectionError
from redis.exceptions import TimeoutError as RedisTimeoutError

log = structlog.get_logger(__name__)

# How long Redis is left alone after it did not answer, so that not every request waits for it.
LEAVE_ALONE_SECONDS = 5.0


class RedisOrThisProcess(RedisCache):
    """Django's Redis cache with a memory of its own to fall back on."""

    def __init__(self, server: str | list[str], params: dict[str, Any]) -> None:
        super().__init__(server, params)
        self._this_process = LocMemCache("redis-is-away", {})
        self._left_alone_until = 0.0

    def _either(self, method: str, *args: Any, **options: Any) -> Any:
        if time.monotonic() >= self._left_alone_until:
            try:
                return getattr(super(), method)(*args, **options)
            except (RedisConnectionError, RedisTimeoutError) as error:
                self._left_alone_until = time.monotonic() + LEAVE_ALONE_SECONDS
                log.warning("cache_does_not_answer", error=type(error).__name__)
        return getattr(self._this_process, method)(*args, **options)

    def add(self, *args: Any, **options: Any) -> Any:
        return self._either("add", *args, **options)

    def get(self, *args: Any, **options: Any) -> Any:
        return self._either("get", *args, **options)

    def set(self, *args: Any, **options: Any) -> Any:
        return self._either("set", *args, **options)

    def touch(self, *args: Any, **options: Any) -> Any:
        return self._either("touch", *args, **options)

    def delete(self, *args: Any, **options: Any) -> Any:
        return self._either("delete", *args, **options)

    def get_many(self, *args: Any, **options: Any) -> Any:
        return self._either("get_many", *args, **options)

    def set_many(self, *args: Any, **options: Any) -> Any:
        return self._either("set_many", *args, **options)

    def delete_many(self, *args: Any, **options: Any) -> Any:
        return self._either("delete_many", *args, **options)

    def has_key(self, *args: Any, **options: Any) -> Any:
        return self._either("has_key", *args, **options)

    def incr(self, *args: Any, **options: Any) -> Any:
        return self._either("incr", *args, **options)

    def clear(self) -> Any:
        return self._either("clear")
