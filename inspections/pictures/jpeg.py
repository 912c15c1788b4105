"""JPEG: a row of segments (ITU-T T.81, annex B). Those that make the picture are kept as they are."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from inspections.pictures.parts import UPRIGHT, broken, is_colour_profile, refuse_other_kinds, tiff_with

SOI, EOI, SOS, COM = 0xD8, 0xD9, 0xDA, 0xFE
APP0, APP1, APP2, APP14, APP15 = 0xE0, 0xE1, 0xE2, 0xEE, 0xEF
STANDALONE: Final = frozenset({0x01, *range(0xD0, 0xD8)})
# Frames and tables: everything from SOF0 to EXP that belongs to decoding.
OF_THE_PICTURE: Final = frozenset({*range(0xC0, 0xD0), 0xDB, 0xDC, 0xDD, 0xDE, 0xDF})
JFIF, EXIF, ICC, ADOBE = b"JFIF\x00", b"Exif\x00\x00", b"ICC_PROFILE\x00", b"Adobe"
# In the compressed data a marker is any FF that is followed neither by 00 (a stuffed byte) nor by a restart.
NEXT_MARKER: Final = re.compile(rb"\xff+[\x01-\xcf\xd8-\xfe]")


@dataclass(frozen=True, slots=True)
class Jpeg:
    """A JPEG file taken apart.

    Args:
        jfif: the JFIF segment without its thumbnail; empty where the file had none.
        picture: all segments of the picture, as they were, with the end mark.
        exif: the TIFF block of its EXIF data.
    """

    jfif: bytes
    picture: bytes
    exif: bytes

    def blanked(self, orientation: int) -> bytes:
        turned = b"" if orientation == UPRIGHT else _segment(APP1, EXIF + tiff_with(orientation))
        return b"".join((b"\xff\xd8", self.jfif, turned, self.picture))


def take_apart(data: bytes) -> Jpeg:
    """
    Raises:
        Refused: the segments don't make sense, the file ends early, or it is something else besides.
    """
    jfif, exif, picture = b"", b"", []
    profile: list[bytes] = []
    position, end = 2, len(data)
    scans = 0
    while True:
        position, marker = _marker(data, position)
        if marker == EOI:
            break
        if marker in STANDALONE:
            continue
        if position + 2 > end:
            raise broken("ends in the middle of the picture")
        length = int.from_bytes(data[position : position + 2], "big")
        body = data[position + 2 : position + length]
        if length < 2 or position + length > end:
            raise broken("ends in the middle of the picture")
        position += length
        if marker == SOS:
            scans += 1
            found = NEXT_MARKER.search(data, position)
            if found is None:
                raise broken("ends in the middle of the picture")
            picture.append(_segment(SOS, body) + data[position : found.start()])
            position = found.start()
        elif marker in OF_THE_PICTURE or (marker == APP14 and body.startswith(ADOBE)):
            picture.append(_segment(marker, body))
        elif marker == APP0 and body.startswith(JFIF) and len(body) >= 12:
            jfif = _segment(APP0, body[:12] + b"\x00\x00")
        elif marker == APP1 and body.startswith(EXIF) and not exif:
            exif = body[len(EXIF) :]
        elif marker == APP2 and body.startswith(ICC):
            profile.append(body)
        elif not (APP0 <= marker <= APP15 or marker == COM):
            raise broken("has a part that no JPEG has")
    if not scans:
        raise broken("has no picture in it")
    refuse_other_kinds(data, data[position:])
    pieces = [*_profile_segments(profile), *picture, b"\xff\xd9"]
    return Jpeg(jfif=jfif, picture=b"".join(pieces), exif=exif)


def _marker(data: bytes, position: int) -> tuple[int, int]:
    """The marker at this place and the place after it; FF may be repeated before it."""
    if data[position : position + 1] != b"\xff":
        raise broken("ends in the middle of the picture" if position >= len(data) else "is damaged")
    while data[position : position + 1] == b"\xff":
        position += 1
    if position >= len(data):
        raise broken("ends in the middle of the picture")
    return position + 1, data[position]


def _segment(marker: int, body: bytes) -> bytes:
    return b"\xff" + bytes((marker,)) + (len(body) + 2).to_bytes(2, "big") + body


def _profile_segments(bodies: list[bytes]) -> list[bytes]:
    """The colour profile, which may be spread over segments, if it is one (ICC.1, annex B.4)."""
    head = len(ICC) + 2
    numbered = sorted((body for body in bodies if len(body) >= head), key=lambda body: body[len(ICC)])
    whole = b"".join(body[head:] for body in numbered)
    return [_segment(APP2, body) for body in numbered] if is_colour_profile(whole) else []


__all__ = ["Jpeg", "take_apart"]
