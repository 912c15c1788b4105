"""The ground floor's handlers; importing this registers them."""

from yard.post import sending

__all__ = ["sending"]
