"""What is kept of a picture file, and which files are no pictures.

Checked against Pillow and libheif, which did not write the code under test: they decode what was kept.
"""

import io
import struct
import zlib
from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from PIL import Image, ImageChops, ImageOps

from inspections.pictures.receiving import received
from tests.inspections.pictures import files
from tests.inspections.pictures.files import POSITION, drawn, heic, jpeg, opened, png, webp
from yard.refusals import Refused

ROOM = 1_000_000
MAKERS: dict[str, Callable[..., bytes]] = {"JPEG": jpeg, "PNG": png, "WEBP": webp}

each_kind = pytest.mark.parametrize("kind", MAKERS)


def refusal_of(data: bytes, *, max_pixels: int = ROOM) -> str:
    with pytest.raises(Refused) as raised:
        received(data, max_pixels=max_pixels)
    assert raised.value.field == "photo"
    assert raised.value.remedy
    return raised.value.problem


@each_kind
def test_nothing_beside_the_picture_is_kept(kind: str) -> None:
    sent = MAKERS[kind]()
    assert POSITION in sent
    kept = received(sent, max_pixels=ROOM)
    assert kept.media_type == f"image/{kind.lower()}"
    assert POSITION not in kept.data
    picture = opened(kept.data)
    assert picture.format == kind
    assert dict(picture.getexif()) == {0x0112: 6}
    assert set(picture.info) <= {
        "exif", "jfif", "jfif_version", "jfif_unit", "jfif_density", "dpi", "loop", "background", "timestamp",
        "duration",
    }  # fmt: skip


@each_kind
def test_the_picture_itself_is_kept_bit_for_bit(kind: str) -> None:
    sent = MAKERS[kind]()
    kept = received(sent, max_pixels=ROOM).data
    assert ImageChops.difference(opened(sent).convert("RGB"), opened(kept).convert("RGB")).getbbox() is None


@each_kind
@pytest.mark.parametrize("orientation", range(1, 9))
def test_it_is_shown_as_it_was_held(kind: str, orientation: int) -> None:
    sent = MAKERS[kind](exif=files.exif(orientation))
    kept = received(sent, max_pixels=ROOM)
    as_sent, as_kept = (ImageOps.exif_transpose(opened(data)) for data in (sent, kept.data))
    assert (kept.width_px, kept.height_px) == as_kept.size == as_sent.size
    assert ImageChops.difference(as_sent.convert("RGB"), as_kept.convert("RGB")).getbbox() is None


@pytest.mark.parametrize("orientation", [1, 6, 8])
def test_heic_is_kept_upright_as_jpeg(orientation: int) -> None:
    kept = received(heic(orientation=orientation), max_pixels=ROOM)
    picture = opened(kept.data)
    assert (kept.media_type, picture.format, dict(picture.getexif())) == ("image/jpeg", "JPEG", {})
    assert POSITION not in kept.data
    assert (kept.width_px, kept.height_px) == picture.size
    # The red corner is where a viewer that minds the orientation shows it: 6 turns clockwise, 8 against.
    corner = {1: (5, 5), 6: (picture.width - 6, 5), 8: (5, picture.height - 6)}[orientation]
    red, green, _ = picture.convert("RGB").getpixel(corner)  # type: ignore[misc]
    assert red > 200 > 100 > green


@pytest.mark.parametrize(
    ("taken", "offset", "moment"),
    [
        ("2027:04:01 10:11:12", "", datetime(2027, 4, 1, 10, 11, 12)),  # noqa: DTZ001 - the camera says no zone
        ("2027:04:01 10:11:12", "+02:00", datetime(2027, 4, 1, 8, 11, 12, tzinfo=UTC)),
        ("0000:00:00 00:00:00", "", None),
        ("yesterday", "", None),
    ],
    ids=["camera clock", "with offset", "clock never set", "nonsense"],
)
def test_the_time_it_was_taken_is_read(taken: str, offset: str, moment: datetime | None) -> None:
    assert received(jpeg(exif=files.exif(1, taken, offset)), max_pixels=ROOM).taken_at == moment


@each_kind
def test_a_colour_profile_is_kept_and_a_false_one_is_not(kind: str) -> None:
    true = received(MAKERS[kind](icc_profile=files.profile()), max_pixels=ROOM)
    assert opened(true.data).info["icc_profile"] == files.profile()
    false = received(MAKERS[kind](icc_profile=files.profile()[:200] + POSITION), max_pixels=ROOM)
    assert POSITION not in false.data
    assert "icc_profile" not in opened(false.data).info


def test_a_colour_profile_of_many_segments_is_kept_in_order() -> None:
    # A profile may be larger than a segment; the numbers of the parts say how they follow each other.
    whole = files.profile()
    parts = [whole[:200], whole[200:], b""]
    plain = jpeg(icc_profile=None)
    segments = [
        files.segment(0xE2, b"ICC_PROFILE\x00" + bytes((number, len(parts))) + part)
        for number, part in enumerate(parts, start=1)
    ]
    sent = plain[:2] + segments[2] + segments[0] + segments[1] + plain[2:]
    assert opened(received(sent, max_pixels=ROOM).data).info["icc_profile"] == whole


@pytest.mark.parametrize(
    "save", [{"progressive": True}, {"quality": 100, "subsampling": 0}, {"restart_marker_rows": 1}], ids=str
)
def test_jpegs_of_other_builds_are_kept(save: dict[str, int]) -> None:
    sent = jpeg(drawn((200, 120)), **save)
    kept = received(sent, max_pixels=ROOM).data
    assert ImageChops.difference(opened(sent), opened(kept)).getbbox() is None


@pytest.mark.parametrize("mode", ["L", "CMYK"])
def test_grey_and_printers_jpegs_are_kept(mode: str) -> None:
    sent = jpeg(drawn(mode=mode))
    kept = opened(received(sent, max_pixels=ROOM).data)
    assert kept.mode == mode
    assert ImageChops.difference(opened(sent).convert("RGB"), kept.convert("RGB")).getbbox() is None


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "L", "1", "I;16"])
def test_pngs_of_every_mode_are_kept(mode: str) -> None:
    picture = Image.new("I;16", files.SIZE, 40_000) if mode == "I;16" else drawn(mode=mode)
    kept = opened(received(png(picture), max_pixels=ROOM).data)
    assert kept.mode == opened(png(picture)).mode
    assert kept.tobytes() == opened(png(picture)).tobytes()


def test_further_pictures_and_films_that_cameras_hang_on_are_cut_off() -> None:
    film = b"\x00\x00\x00\x18ftypmp42" + POSITION
    for tail in (b"\x00" * 100, jpeg(), film, b"trailer" + POSITION + b"SEFT"):
        kept = received(jpeg() + tail, max_pixels=ROOM).data
        assert kept.endswith(b"\xff\xd9")
        assert POSITION not in kept


@pytest.mark.parametrize(
    "tail",
    [
        b"PK\x03\x04 a zip",
        b"%PDF-1.7",
        b"<script>alert(1)</script>",
        b"just words",
        b"\xff\xd8\xff" + b"PK\x05\x06",
    ],
    ids=["zip", "pdf", "script", "words", "zip behind a picture"],
)
@each_kind
def test_a_picture_that_is_something_else_besides_is_refused(kind: str, tail: bytes) -> None:
    assert "picture" in refusal_of(MAKERS[kind]() + tail)


def test_a_pdf_that_begins_as_a_picture_is_refused() -> None:
    assert "at once" in refusal_of(jpeg(comment=b"%PDF-1.4 1 0 obj"))


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"no picture at all",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"%PDF-1.7",
        b"GIF89a" + b"\x00" * 40,
        b"BM" + b"\x00" * 60,
        b"II*\x00" + b"\x00" * 60,
        b"\x00\x00\x00\x1cftypisom" + b"\x00" * 60,
        b"\x00\x00\x00\x1cftypavif" + b"\x00" * 60,
    ],
    ids=["nothing", "words", "svg", "pdf", "gif", "bmp", "tiff", "film", "avif"],
)
def test_other_kinds_of_file_are_refused(data: bytes) -> None:
    assert "is no JPEG, PNG, WebP or HEIC" in refusal_of(data)


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9, 0.99])
@pytest.mark.parametrize("kind", [*MAKERS, "HEIC"])
def test_a_file_that_ends_early_is_refused(kind: str, share: float) -> None:
    noisy = Image.effect_noise((160, 120), 80).convert("RGB")
    whole = heic(noisy) if kind == "HEIC" else MAKERS[kind](noisy)
    refusal_of(whole[: max(16, int(len(whole) * share))])


@pytest.mark.parametrize("kind", [*MAKERS, "HEIC"])
def test_a_damaged_file_never_gets_through_as_anything_but_a_picture(kind: str) -> None:
    whole = bytearray(heic() if kind == "HEIC" else MAKERS[kind]())
    refused = 0
    for position in range(0, len(whole), 7):
        damaged = bytes(whole[:position]) + bytes((whole[position] ^ 0xFF,)) + bytes(whole[position + 1 :])
        try:
            opened(received(damaged, max_pixels=ROOM).data)
        except Refused:
            refused += 1
    assert refused


def test_too_many_pixels_are_refused_before_they_are_unpacked() -> None:
    # 60 000 × 60 000 white points in a few kilobytes; unpacked it would take 450 MB.
    rows = zlib.compress(b"\x00" * 100)
    header = struct.pack(">IIBBBBB", 60_000, 60_000, 1, 0, 0, 0, 0)

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    bomb = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
    assert "pixels" in refusal_of(bomb, max_pixels=60_000_000)


@pytest.mark.parametrize("kind", [*MAKERS, "HEIC"])
def test_the_limit_of_pixels_counts_to_the_last(kind: str) -> None:
    sent = heic(drawn((64, 64))) if kind == "HEIC" else MAKERS[kind](drawn((64, 64)))
    assert received(sent, max_pixels=64 * 64).width_px == 64
    assert "64 × 64 pixels" in refusal_of(sent, max_pixels=64 * 64 - 1)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_moving_pictures_are_refused(kind: str) -> None:
    file = io.BytesIO()
    frames = [drawn(), Image.new("RGB", files.SIZE, "blue")]
    frames[0].save(file, kind, save_all=True, append_images=frames[1:], duration=100)
    assert "moving" in refusal_of(file.getvalue())


def test_a_film_of_a_telephone_is_refused() -> None:
    data = heic()
    assert "moving" in refusal_of(data[:8] + b"msf1" + data[12:])
