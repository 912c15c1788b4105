"""WebP: a RIFF file (RFC 9649, section 2). The chunks that make the picture are kept as they are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from inspections.pictures.parts import UPRIGHT, broken, is_colour_profile, refuse_other_kinds, tiff_with
from yard.refusals import Refused

# Flags of the extended header.
HAS_PROFILE, HAS_ALPHA, HAS_EXIF = 0x20, 0x10, 0x08
OF_THE_PICTURE: Final = frozenset({b"VP8 ", b"VP8L", b"ALPH"})


@dataclass(frozen=True, slots=True)
class WebP:
    """A WebP file taken apart.

    Args:
        extended: the body of the extended header (VP8X) with its flags cleared but for alpha; empty where the file
            is a simple one.
        profile: the colour profile's chunk, or nothing.
        picture: the other chunks of the picture.
        exif: the TIFF block of its EXIF data.
    """

    extended: bytes
    profile: bytes
    picture: bytes
    exif: bytes

    def blanked(self, orientation: int) -> bytes:
        turned = b""
        chunks = self.picture
        if self.extended:
            flags = self.extended[0] | (HAS_PROFILE if self.profile else 0)
            if orientation != UPRIGHT:
                turned = _chunk(b"EXIF", tiff_with(orientation))
                flags |= HAS_EXIF
            header = _chunk(b"VP8X", bytes((flags,)) + self.extended[1:])
            chunks = header + self.profile + self.picture + turned
        return b"RIFF" + (len(chunks) + 4).to_bytes(4, "little") + b"WEBP" + chunks


def take_apart(data: bytes) -> WebP:
    """
    Raises:
        Refused: the chunks don't make sense, the file ends early, it moves, or it is something else besides.
    """
    end = 8 + int.from_bytes(data[4:8], "little")
    if len(data) < end:
        raise broken("ends in the middle of the picture")
    extended, profile, exif, kept = b"", b"", b"", []
    position = 12
    while position + 8 <= end:
        name = data[position : position + 4]
        length = int.from_bytes(data[position + 4 : position + 8], "little")
        body = data[position + 8 : position + 8 + length]
        position += 8 + length + length % 2
        if len(body) < length or position > end + 1:
            raise broken("ends in the middle of the picture")
        if name in (b"ANIM", b"ANMF"):
            raise Refused("photo", "is a moving picture", "send a single picture")
        if name == b"VP8X" and len(body) == 10:
            extended = bytes((body[0] & HAS_ALPHA,)) + body[1:]
        elif name == b"ICCP" and is_colour_profile(body):
            profile = _chunk(name, body)
        elif name == b"EXIF":
            exif = body.removeprefix(b"Exif\x00\x00")
        elif name in OF_THE_PICTURE:
            kept.append(_chunk(name, body))
    if not kept:
        raise broken("has no picture in it")
    refuse_other_kinds(data, data[end:])
    return WebP(extended=extended, profile=profile, picture=b"".join(kept), exif=exif)


def _chunk(name: bytes, body: bytes) -> bytes:
    return name + len(body).to_bytes(4, "little") + body + b"\x00" * (len(body) % 2)


__all__ = ["WebP", "take_apart"]
