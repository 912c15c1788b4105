"""The cache goes on counting while Redis is away, and goes back to Redis when it is there again."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from django.utils import timezone

from tests.processes import Broker, own_broker
from yard.cache import RedisOrThisProcess

pytestmark = pytest.mark.needs_redis


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Broker]:
    with own_broker(tmp_path) as one:
        yield one


@pytest.fixture
def cache(server: Broker) -> Iterator[RedisOrThisProcess]:
    one = RedisOrThisProcess(server.url, {"OPTIONS": {"socket_connect_timeout": 1, "socket_timeout": 2}})
    one._this_process.clear()
    yield one
    one._this_process.clear()


def test_while_redis_is_there_all_processes_share_one_count(server: Broker, cache: RedisOrThisProcess) -> None:
    other = RedisOrThisProcess(server.url, {})
    cache.set("tries", 1)
    other.incr("tries")
    assert cache.get("tries") == 2
    assert cache._this_process.get("tries") is None


def test_while_redis_is_away_this_process_counts_alone(server: Broker, cache: RedisOrThisProcess) -> None:
    cache.set("tries", 1)
    server.stop()
    before = timezone.now()
    assert cache.get("tries") is None
    assert cache.add("tries", 1)
    assert not cache.add("tries", 1)
    assert cache.incr("tries") == 2
    cache.set_many({"a": 1, "b": 2})
    assert cache.get_many(["a", "b", "c"]) == {"a": 1, "b": 2}
    assert cache.has_key("a")
    assert cache.touch("a", 60)
    cache.delete_many(["a"])
    assert cache.delete("b")
    assert cache.get("a") is None
    cache.clear()
    assert cache.get("tries") is None
    assert timezone.now() - before < timedelta(seconds=3)


def test_redis_is_asked_again_after_a_while(
    server: Broker, cache: RedisOrThisProcess, monkeypatch: pytest.MonkeyPatch
) -> None:
    server.stop()
    cache.set("tries", 5)
    server.start()
    assert cache.get("tries") == 5  # still from this process
    monkeypatch.setattr(cache, "_left_alone_until", 0.0)
    assert cache.get("tries") is None
    cache.set("tries", 1)
    assert cache._this_process.get("tries") == 5
