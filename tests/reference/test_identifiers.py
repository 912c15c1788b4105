"""Identifiers against RFC 9562.

Source: RFC 9562, appendix A.6, example of a UUID of version 7 made on 22 February 2022 at 14:22:22.00 GMT-05:00
(1645557742000 ms); the example and its milliseconds seen in test vectors of public implementations.
"""

import uuid
from datetime import UTC, datetime, timedelta, timezone

from yard.identifiers import uuid7_check, uuid7_time

EXAMPLE = "017F22E2-79B0-7CC3-98C4-DC0C0C07398F"


def test_the_example_is_of_version_7_and_tells_its_time() -> None:
    identifier = uuid7_check(EXAMPLE)
    assert identifier == uuid.UUID(EXAMPLE)
    moment = uuid7_time(identifier)
    assert moment == datetime(2022, 2, 22, 14, 22, 22, tzinfo=timezone(timedelta(hours=-5)))
    assert moment.tzinfo is UTC
    assert moment.timestamp() * 1000 == 1645557742000
