"""The small sizes: how large, which way up, which colours, and nothing beside the picture."""

import io

import pytest
from PIL import Image, ImageCms

from inspections.pictures.sizes import smaller
from tests.inspections.pictures import files
from tests.inspections.pictures.files import drawn, jpeg, opened, png, webp


@pytest.mark.parametrize(
    ("sent", "longest", "size"),
    [
        ((4000, 3000), 1600, (1600, 1200)),
        ((3000, 4000), 320, (240, 320)),
        ((1000, 10), 320, (320, 3)),
        ((100, 80), 320, (100, 80)),
        ((320, 320), 320, (320, 320)),
    ],
    ids=["wide", "high", "a strip", "small already", "just so"],
)
def test_the_longest_side_is_as_asked_and_nothing_is_enlarged(
    sent: tuple[int, int], longest: int, size: tuple[int, int]
) -> None:
    assert opened(smaller(jpeg(drawn(sent), exif=files.exif(1)), longest)).size == size


@pytest.mark.parametrize("orientation", [3, 6, 8])
def test_it_is_upright_and_says_nothing_of_turning(orientation: int) -> None:
    small = opened(smaller(jpeg(drawn((640, 400)), exif=files.exif(orientation)), 320))
    assert small.size == ((320, 200) if orientation == 3 else (200, 320))
    assert dict(small.getexif()) == {}
    corner = {3: (-5, -5), 6: (-5, 5), 8: (5, -5)}[orientation]
    red, green, _ = small.getpixel((corner[0] % small.width, corner[1] % small.height))  # type: ignore[misc]
    assert red > 200 > 100 > green


def test_it_is_a_progressive_jpeg_with_nothing_beside_the_picture() -> None:
    small = opened(smaller(png(drawn((640, 400))), 320))
    assert (small.format, small.mode) == ("JPEG", "RGB")
    assert small.info["progressive"]
    assert set(small.info) <= {"progressive", "progression", "jfif", "jfif_version", "jfif_unit", "jfif_density"}


@pytest.mark.parametrize("make", [png, webp], ids=["png", "webp"])
def test_what_can_be_seen_through_lies_on_white(make: object) -> None:
    clear = Image.new("RGBA", (40, 40), (255, 0, 0, 0))
    assert opened(smaller(make(clear), 320)).getpixel((20, 20)) == (255, 255, 255)  # type: ignore[operator]


@pytest.mark.parametrize("mode", ["L", "P", "1", "CMYK"])
def test_other_modes_become_red_green_and_blue(mode: str) -> None:
    picture = drawn((64, 64), mode)
    data = jpeg(picture) if mode == "CMYK" else png(picture)
    assert opened(smaller(data, 320)).mode == "RGB"


def test_sixteen_bits_of_grey_become_eight_and_keep_their_shade() -> None:
    small = opened(smaller(png(Image.new("I;16", (40, 40), 0x8000)), 320))
    assert small.getpixel((20, 20)) == (128, 128, 128)


def test_colours_of_another_profile_are_carried_over() -> None:
    # A profile whose red and green are exchanged against sRGB would show at once; LAB-made XYZ profiles are the
    # only others that LittleCMS makes by itself, so the colours are checked through it: the same profile changes
    # nothing, and a profile for other colours than the picture has is left aside.
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    for profile in (srgb, lab):
        file = io.BytesIO()
        Image.new("RGB", (40, 40), (200, 80, 40)).save(file, "PNG", icc_profile=profile)
        red, green, blue = opened(smaller(file.getvalue(), 320)).getpixel((20, 20))  # type: ignore[misc]
        assert abs(red - 200) + abs(green - 80) + abs(blue - 40) <= 9
