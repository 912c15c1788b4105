"""The ground floor's handlers; importing this registers them."""

from yard.outbox import pruning
from yard.post import sending
from yard.services import passwords

__all__ = ["passwords", "pruning", "sending"]
