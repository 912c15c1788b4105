"""Where the files of photos lie: a folder for each yard, and the digest of what was sent as the name.

Nobody guesses a digest, two yards that send the same picture have two files, and the same picture sent again has
the same name. A file is never written over and never deleted here: what was acknowledged stays.
"""

from __future__ import annotations

import hashlib

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db.models.fields.files import FieldFile

from inspections.models import Photo


def name_of(yard_id: int, sha256: str, *, extension: str, size: str = "") -> str:
    """The name of a photo's file, or of one of its sizes."""
    return f"photos/{yard_id}/{sha256[:2]}/{sha256}{size}.{extension}"


def keep(name: str, data: bytes) -> str:
    """Put a file into the storage and tell its name. Safe to repeat.

    A file that is there with other content is one that a stopped machine left unfinished: the storage then gives
    the new one a name of its own.
    """
    if default_storage.exists(name):
        with default_storage.open(name) as there:
            if hashlib.sha256(there.read()).digest() == hashlib.sha256(data).digest():
                return name
    return default_storage.save(name, ContentFile(data))


def is_there(file: FieldFile) -> bool:
    """Whether the storage has this file."""
    return bool(file.name) and default_storage.exists(str(file.name))


def read(photo: Photo) -> bytes:
    """The stored picture.

    Raises:
        FileNotFoundError: the storage has lost it.
    """
    with default_storage.open(str(photo.file.name)) as file:
        data: bytes = file.read()
    return data


__all__ = ["is_there", "keep", "name_of", "read"]
