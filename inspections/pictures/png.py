"""PNG: a row of chunks (W3C PNG, third edition). Those that make the picture are kept as they are."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from typing import Final

from inspections.pictures.parts import UPRIGHT, broken, is_colour_profile, refuse_other_kinds, tiff_with
from yard.refusals import Refused

SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"
OF_THE_PICTURE: Final = frozenset(
    {b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"sBIT", b"bKGD", b"pHYs"}
)
LARGEST_PROFILE: Final = 4 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Png:
    """A PNG file taken apart.

    Args:
        head: signature and header.
        picture: the other chunks of the picture, as they were.
        exif: the TIFF block of its EXIF data.
    """

    head: bytes
    picture: bytes
    exif: bytes

    def blanked(self, orientation: int) -> bytes:
        turned = b"" if orientation == UPRIGHT else _chunk(b"eXIf", tiff_with(orientation))
        return self.head + turned + self.picture


def take_apart(data: bytes) -> Png:
    """
    Raises:
        Refused: the chunks don't make sense, the file ends early, it moves, or it is something else besides.
    """
    exif, kept = b"", []
    position = len(SIGNATURE)
    name = b""
    while name != b"IEND":
        length = int.from_bytes(data[position : position + 4], "big")
        name = data[position + 4 : position + 8]
        whole = data[position : position + 12 + length]
        if len(name) < 4 or len(whole) < 12 + length:
            raise broken("ends in the middle of the picture")
        body = whole[8:-4]
        if zlib.crc32(whole[4:-4]).to_bytes(4, "big") != whole[-4:]:
            raise broken("is damaged")
        position += len(whole)
        if name == b"acTL":
            raise Refused("photo", "is a moving picture", "send a single picture")
        if name == b"eXIf":
            exif = body
        elif name in OF_THE_PICTURE or (name == b"iCCP" and _holds_profile(body)):
            kept.append(whole)
        elif name[0] & 0x20 == 0:  # a capital first letter: the picture can't be shown without it
            raise broken("has a part that no PNG has")
    if kept[0][4:8] != b"IHDR":
        raise broken("is damaged")
    refuse_other_kinds(data, data[position:])
    return Png(head=SIGNATURE + kept[0], picture=b"".join(kept[1:]), exif=exif)


def _holds_profile(body: bytes) -> bool:
    _, _, packed = body.partition(b"\x00")
    unpacker = zlib.decompressobj()
    try:
        profile = unpacker.decompress(packed[1:], LARGEST_PROFILE)
    except zlib.error:
        return False
    return unpacker.eof and not unpacker.unused_data and is_colour_profile(profile)


def _chunk(name: bytes, body: bytes) -> bytes:
    return len(body).to_bytes(4, "big") + name + body + zlib.crc32(name + body).to_bytes(4, "big")


__all__ = ["SIGNATURE", "Png", "take_apart"]
