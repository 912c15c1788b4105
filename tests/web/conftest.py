"""It is a day in April 2027 for everybody here: pages ask the machine's clock what day it is."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
import time_machine
from django.core.cache import cache

from tests.web.letters import Letter, a_letter
from tests.workshop.spring import AT

NOW = AT + timedelta(hours=3)


@pytest.fixture(autouse=True)
def _in_spring() -> Iterator[None]:
    with time_machine.travel(NOW, tick=True):
        yield
    cache.clear()


@pytest.fixture
def letter(db: None) -> Letter:
    return a_letter()
