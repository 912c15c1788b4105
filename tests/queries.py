"""How often something asks the database: a list may not ask once more for each of its rows."""

from collections.abc import Callable
from typing import Any

from django.db import connection
from django.test.utils import CaptureQueriesContext


def queries_of(action: Callable[[], Any]) -> list[str]:
    """The statements that an action sends, in their order."""
    with CaptureQueriesContext(connection) as captured:
        action()
    return [query["sql"] for query in captured.captured_queries]


def assert_same_queries(action: Callable[[], Any], grow: Callable[[int], Any], *, to: tuple[int, ...]) -> None:
    """Run an action with more and more rows there, and hold the numbers of statements against each other.

    Args:
        action: what is measured; it runs once before, so that nothing is cached at the first count only.
        grow: called with each number of rows that shall be there; it makes the missing ones.
        to: the numbers of rows, the smallest first.
    """
    seen: dict[int, list[str]] = {}
    for rows in to:
        grow(rows)
        action()
        seen[rows] = queries_of(action)
    first = seen[to[0]]
    for rows, statements in seen.items():
        more = "\n".join(statements[len(first) :][:5])
        assert len(statements) == len(first), f"{rows} rows: {len(statements)} queries, not {len(first)}:\n{more}"


__all__ = ["assert_same_queries", "queries_of"]
