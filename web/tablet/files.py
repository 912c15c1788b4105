"""The files of the tablet's page and their digests: what the service worker fetches ahead, and when anew."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final

from django.templatetags.static import static

STATIC: Final = Path(__file__).resolve().parents[1] / "static"
OWN: Final = "web/tablet"
TEMPLATE: Final = Path(__file__).resolve().parents[1] / "templates" / "web" / "tablet" / "app.html"
# The worker is handed out at an address of its own, because it rules over what lies below its address.
WORKER: Final = "web/tablet/sw.js"
KINDS: Final = frozenset({".css", ".js", ".json", ".png", ".svg", ".woff2"})
# Of the office's pages: letters and colours are the same.
SHARED: Final = (
    "web/fonts/gentium-book-plus-bold.woff2",
    "web/fonts/gentium-book-plus-regular.woff2",
    "web/fonts/routed-gothic.woff2",
    "web/paper.css",
)
DIGITS: Final = 16


@dataclass(frozen=True, slots=True)
class Edition:
    """The page as it is now.

    Args:
        version: changes with any byte of any file.
        files: address and digest of each static file, without the page and the worker.
        worker: the service worker's own text.
    """

    version: str
    files: tuple[tuple[str, str], ...]
    worker: str


def edition() -> Edition:
    """Read anew only when a file has changed on the disk."""
    return _edition(tuple(_stamps()))


def _stamps() -> Iterator[tuple[str, int, int]]:
    found = sorted(path for path in (STATIC / OWN).rglob("*") if path.suffix in KINDS)
    for path in [*found, *(STATIC / name for name in SHARED), TEMPLATE]:
        known = path.stat()
        yield str(path), known.st_mtime_ns, known.st_size


@lru_cache(maxsize=2)
def _edition(stamps: tuple[tuple[str, int, int], ...]) -> Edition:
    every, files, worker = hashlib.sha256(), [], ""
    for name, _, _ in stamps:
        path = Path(name)
        data = path.read_bytes()
        digest = hashlib.sha256(data).hexdigest()[:DIGITS]
        every.update(f"{path.name} {digest}\n".encode())
        if path == TEMPLATE:
            continue
        inside = path.relative_to(STATIC).as_posix()
        if inside == WORKER:
            worker = data.decode()
        else:
            files.append((static(inside), digest))
    return Edition(every.hexdigest()[:DIGITS], tuple(files), worker)


__all__ = ["Edition", "edition"]
