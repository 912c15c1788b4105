"""Two yards with the same kind of boat: ours, and another whose rows must never show."""

from datetime import datetime

import pytest

from tests.inspections.scenes import Scene, scene


@pytest.fixture
def ours(db: None, spring: datetime) -> Scene:
    return scene(spring)


@pytest.fixture
def theirs(db: None, spring: datetime) -> Scene:
    return scene(spring)
