"""Slowing down whoever guesses passwords: some slips are free, then each further one doubles the wait.

The one place for it: the page and the tablet's door ask here. Counted are a name from an address, the address, and
the name from wherever, the last so generously that a stranger can't shut a colleague out for long.
A name that nobody has is counted like any other, so that waiting tells nothing about who works here.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Final

from django.core.cache import cache
from django.utils import timezone


@dataclass(frozen=True, slots=True)
class Lockout:
    """So many slips are free; then a wait [s], doubled by each further slip up to the longest."""

    name: str
    free: int
    first_wait: int
    longest_wait: int
    forgotten_after: int = 24 * 3600

    def wait(self, who: str) -> int:
        """How many seconds nobody may try; 0 where one may."""
        until = float(cache.get(f"{self._key(who)}:until", 0))
        return max(0, -int(-(until - timezone.now().timestamp()) // 1))

    def slip(self, who: str) -> None:
        """Count a try before it is known whether it is right: many at once must not slip through."""
        key = self._key(who)
        cache.add(key, 0, self.forgotten_after)
        try:
            slips = int(cache.incr(key))
        except ValueError:  # it ran out between the two
            slips = 1
            cache.set(key, slips, self.forgotten_after)
        cache.touch(key, self.forgotten_after)
        if slips >= self.free:
            wait = min(self.first_wait * 2 ** min(slips - self.free, 30), self.longest_wait)
            cache.set(f"{key}:until", timezone.now().timestamp() + wait, wait)

    def forgive(self, who: str) -> None:
        """Take one try back that was right after all."""
        key = self._key(who)
        try:
            if int(cache.decr(key)) < self.free:
                cache.delete(f"{key}:until")
        except ValueError:
            cache.delete(f"{key}:until")

    def forget(self, who: str) -> None:
        """Begin again."""
        key = self._key(who)
        cache.delete_many([key, f"{key}:until"])

    def _key(self, who: str) -> str:
        # Hashed: what a caller typed has no place in the name of a cache key.
        return f"yard.guessing:{self.name}:{hashlib.sha256(who.encode(errors='surrogatepass')).hexdigest()}"


NAME_AND_ADDRESS: Final = Lockout("name-address", free=5, first_wait=60, longest_wait=3600)
ADDRESS: Final = Lockout("address", free=30, first_wait=60, longest_wait=3600)
NAME: Final = Lockout("name", free=50, first_wait=60, longest_wait=900)


@dataclass(frozen=True, slots=True)
class Guess:
    """One try to sign in: by this name, from this address. Without a name, the address alone is counted."""

    name: str
    address: str

    @property
    def wait(self) -> int:
        """How many seconds this name from this address has to wait; 0 where it may try."""
        return max(lockout.wait(who) for lockout, who in self._counted())

    def begin(self) -> None:
        """Count it as a slip, before the password is looked at."""
        for lockout, who in self._counted():
            lockout.slip(who)

    def was_right(self) -> None:
        """It was none: the name begins again at this address, and the wider counts lose just this one."""
        for lockout, who in self._counted():
            if lockout is NAME_AND_ADDRESS:
                lockout.forget(who)
            else:
                lockout.forgive(who)

    def is_in(self) -> None:
        """They are in, by whatever they showed: the name begins again at this address."""
        for lockout, who in self._counted():
            if lockout is NAME_AND_ADDRESS:
                lockout.forget(who)

    def take_back(self) -> None:
        """It was none, and nobody is in by it: what was counted before it stays counted."""
        for lockout, who in self._counted():
            lockout.forgive(who)

    def _counted(self) -> tuple[tuple[Lockout, str], ...]:
        name = self.name.strip().lower()
        if not name:
            return ((ADDRESS, self.address),)
        return ((NAME_AND_ADDRESS, f"{name} {self.address}"), (ADDRESS, self.address), (NAME, name))


__all__ = ["ADDRESS", "NAME", "NAME_AND_ADDRESS", "Guess", "Lockout"]
