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
from inspections.pictures.sizes import PRINT_PX


def name_of(yard_id: int, sha256: str, *, extension: str, size: str = "") -> str:
    """The name of a photo's file, or of one of its sizes."""
    return f"photos/{yard_id}/{sha256[:2]}/{sha256}{size}.{extension}"


def name_in_print(photo: Photo) -> str:
    """The name of a photo's file in the size of the printed report; it is there once the worker has made it."""
    return name_of(photo.yard_id, photo.sha256, extension="jpg", size=f"-{PRINT_PX}")


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


def is_prepared(photo: Photo) -> bool:
    """Whether the storage has all small sizes of a photo."""
    made = (photo.thumbnail, photo.report_size)
    return all(map(is_there, made)) and default_storage.exists(name_in_print(photo))


def read(photo: Photo) -> bytes:
    """The stored picture.

    Raises:
        FileNotFoundError: the storage has lost it.
    """
    with default_storage.open(str(photo.file.name)) as file:
        data: bytes = file.read()
    return data


__all__ = ["is_prepared", "is_there", "keep", "name_in_print", "name_of", "read"]
