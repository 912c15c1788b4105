"""Who does which kind of work. Each floor registers its own handlers in its module `handlers`."""

from collections.abc import Callable
from datetime import datetime
from typing import Any, TypeVar

Finish = Callable[[datetime], None]
# Reads, reckons, renders, sends, all outside a transaction, and hands back what is to be written; None: nothing is.
Handler = Callable[..., Finish | None]

HandlerT = TypeVar("HandlerT", bound=Callable[..., Any])

_handlers: dict[str, Handler] = {}


class GiveUp(Exception):  # noqa: N818 - the handler's word to the outbox
    """Trying again would not help: the row ends as failed at once, with this as its reason."""


def handler(name: str) -> Callable[[HandlerT], HandlerT]:
    """Register a function as the one that does the work of this name.

    It is called with the row's arguments by name, and may be called more than once for the same row: it must not
    change the database itself. What it returns is called with the present moment, inside the transaction that
    also marks the row as done.
    """

    def register(function: HandlerT) -> HandlerT:
        known = _handlers.get(name)
        if known is not None and (known.__module__, known.__qualname__) != (
            function.__module__,
            function.__qualname__,
        ):
            raise ValueError(f"two handlers for {name!r}: {known.__module__} and {function.__module__}")
        _handlers[name] = function
        return function

    return register


def handler_of(name: str) -> Handler:
    """The handler of this name.

    Raises:
        LookupError: nothing of that name is registered in this process.
    """
    try:
        return _handlers[name]
    except KeyError:
        raise LookupError(f"no handler is registered for {name!r}") from None
