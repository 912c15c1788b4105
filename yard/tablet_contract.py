"""Which contract the tablet's page and the server speak.

A page that was loaded yesterday is still open today, perhaps with a day's entries in it. So contract N takes
whatever contract N - 1 sends; the number goes up when a page of the number before would misread an answer.
"""

from typing import Final

CONTRACT: Final = 1
OLDEST_CONTRACT: Final = 1
# On every answer under /api/v1/: what has no such header was not said by this service, whatever its status.
CONTRACT_HEADER: Final = "Faying-Contract"

__all__ = ["CONTRACT", "CONTRACT_HEADER", "OLDEST_CONTRACT"]
