"""Picture files such as cameras write: turned, with a position, a maker, a note."""

import io
import struct
from typing import Any

import pillow_heif
from PIL import ExifTags, Image, ImageCms, ImageDraw
from PIL.PngImagePlugin import PngInfo

POSITION = b"SECRET-POSITION-55.1N"
SIZE = (60, 40)


def drawn(size: tuple[int, int] = SIZE, mode: str = "RGB") -> Image.Image:
    """A picture with a red corner at the top left, so that turning shows."""
    picture = Image.new("RGB", size, "white")
    ImageDraw.Draw(picture).rectangle((0, 0, size[0] // 2, size[1] // 2), fill="red")
    return picture.convert(mode)


def exif(orientation: int = 6, taken: str = "2027:04:01 10:11:12", offset: str = "") -> Image.Exif:
    """EXIF with a position, a maker and a picture within the picture."""
    block = Image.Exif()
    block[ExifTags.Base.Orientation] = orientation
    block[ExifTags.Base.Make] = POSITION.decode()
    inner = block.get_ifd(ExifTags.IFD.Exif)
    inner[ExifTags.Base.DateTimeOriginal] = taken
    if offset:
        inner[ExifTags.Base.OffsetTimeOriginal] = offset
    inner[ExifTags.Base.MakerNote] = POSITION
    position = block.get_ifd(ExifTags.IFD.GPSInfo)
    position[ExifTags.GPS.GPSLatitudeRef] = "N"
    position[ExifTags.GPS.GPSLatitude] = (55.0, 6.0, 0.0)
    return block


XMP = (
    b"http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta><exif:GPSLatitude>" + POSITION + b"</exif:GPSLatitude></x:xmpmeta>"
)


def segment(marker: int, body: bytes) -> bytes:
    return b"\xff" + bytes((marker,)) + struct.pack(">H", len(body) + 2) + body


def jpeg(picture: Image.Image | None = None, **save: Any) -> bytes:
    """With EXIF, XMP, a comment, IPTC and a segment of nobody's."""
    file = io.BytesIO()
    (picture or drawn()).save(file, "JPEG", **{"exif": exif(), "comment": POSITION, **save})
    data = file.getvalue()
    extra = segment(0xE1, XMP) + segment(0xED, b"Photoshop 3.0\x00" + POSITION) + segment(0xEB, POSITION)
    return data[:2] + extra + data[2:]


def png(picture: Image.Image | None = None, **save: Any) -> bytes:
    info = PngInfo()
    info.add_text("Comment", POSITION.decode())
    info.add_itxt("XML:com.adobe.xmp", POSITION.decode())
    info.add(b"prVt", POSITION)
    file = io.BytesIO()
    (picture or drawn()).save(file, "PNG", **{"exif": exif(), "pnginfo": info, **save})
    return file.getvalue()


def webp(picture: Image.Image | None = None, **save: Any) -> bytes:
    file = io.BytesIO()
    (picture or drawn()).save(file, "WEBP", **{"exif": exif(), "xmp": XMP, "lossless": True, **save})
    return file.getvalue()


def heic(picture: Image.Image | None = None, orientation: int = 6) -> bytes:
    file = io.BytesIO()
    made = pillow_heif.from_pillow(picture or drawn())
    made.save(file, quality=95, exif=exif(orientation).tobytes(), xmp=XMP)
    return file.getvalue()


def profile() -> bytes:
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def opened(data: bytes) -> Image.Image:
    picture = Image.open(io.BytesIO(data))
    picture.load()
    return picture
