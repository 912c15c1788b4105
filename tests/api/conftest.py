"""The cast of every test here: a yard with a manager and a technician, and a stranger from another yard."""

from collections.abc import Iterator

import pytest
import time_machine
from django.core.cache import cache

from api.throttles import MemberThrottle, SignInThrottle
from tests.api.callers import Caller
from tests.api.worlds import NOW
from tests.factories import MemberFactory, TechnicianFactory, YardFactory
from yard.models import Yard


@pytest.fixture(autouse=True)
def _no_rates(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Tests ask faster than people; the rates have tests of their own."""
    for throttle in (MemberThrottle, SignInThrottle):
        monkeypatch.setattr(throttle, "get_rate", lambda self: None)
    yield
    cache.clear()


@pytest.fixture(autouse=True)
def _in_spring() -> Iterator[None]:
    """It is a day in April 2027 for everybody here: the API asks the machine's clock what day it is."""
    with time_machine.travel(NOW, tick=True):
        yield


@pytest.fixture
def yard(db: None) -> Yard:
    return YardFactory.create()


@pytest.fixture
def manager(yard: Yard) -> Caller:
    return Caller(MemberFactory.create(yard=yard))


@pytest.fixture
def technician(yard: Yard) -> Caller:
    return Caller(TechnicianFactory.create(yard=yard))


@pytest.fixture
def stranger(db: None) -> Caller:
    """A manager of another yard."""
    return Caller(MemberFactory.create())


@pytest.fixture
def nobody(db: None) -> Caller:
    return Caller()
