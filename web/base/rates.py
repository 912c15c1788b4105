"""How often a caller may try, counted in the shared cache: so many in a window of time, then no more in it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from django.conf import settings
from django.core.cache import cache
from django.utils import timezone
from rest_framework.throttling import SimpleRateThrottle


@dataclass(frozen=True, slots=True)
class Rate:
    """So many in so many seconds. `name` keeps the counts of different rates apart."""

    name: str
    most: int
    seconds: int

    def count(self, who: str) -> int:
        """Count one, and say how many that makes in this window."""
        key = self._key(who)
        cache.add(key, 0, self.seconds)
        try:
            made = int(cache.incr(key))
        except ValueError:  # it ran out between the two
            cache.set(key, 1, self.seconds)
            return 1
        cache.touch(key, self.seconds)  # the database's cache forgets it sooner after counting
        return made

    def spent(self, who: str) -> bool:
        """Whether nothing is left, without counting."""
        return int(cache.get(self._key(who), 0)) >= self.most

    def allows(self, who: str) -> bool:
        """Count one, and say whether it was within the limit."""
        return self.count(who) <= self.most

    def forget(self, who: str) -> None:
        """Begin again."""
        cache.delete(self._key(who))

    @property
    def wait_seconds(self) -> int:
        """How long until this window has ended."""
        return self.seconds - int(timezone.now().timestamp()) % self.seconds

    def _key(self, who: str) -> str:
        window = int(timezone.now().timestamp()) // self.seconds
        # Hashed: what a caller typed has no place in the name of a cache key.
        return f"web.rate:{self.name}:{window}:{hashlib.sha256(who.encode()).hexdigest()}"


def rate_of(name: str) -> Rate:
    """A rate as the settings give it, like 60/min."""
    rates: dict[str, str] = settings.REST_FRAMEWORK["DEFAULT_THROTTLE_RATES"]  # type: ignore[assignment]
    parse = SimpleRateThrottle.parse_rate
    most, seconds = parse(None, rates[name])  # type: ignore[arg-type]  # it needs no throttle to read a text
    return Rate(name, int(most or 0), int(seconds or 1))


__all__ = ["Rate", "rate_of"]
