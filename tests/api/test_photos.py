"""Photos: sent by digest, looked at through the access check only."""

import hashlib
import io
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from pytest_django import Settings

from inspections.models import Photo
from tests.api.callers import V1, Caller, fields_of, problem_of
from tests.api.worlds import Aboard, aboard, photo_of, worked
from tests.factories.inspections import picture


@pytest.fixture
def tablet(db: None) -> Aboard:
    return aboard()


def send(caller: Caller, data: bytes, *, sha256: str | None = None, media_type: str = "image/jpeg") -> Any:
    digest = sha256 or hashlib.sha256(data).hexdigest()
    return caller.client.generic("PUT", f"{V1}photos/{digest}/", data, media_type, headers=caller.headers)


@pytest.mark.parametrize(
    ("kind", "media_type"), [("JPEG", "image/jpeg"), ("PNG", "image/png"), ("WEBP", "image/webp")]
)
def test_a_photo_is_sent_once_and_may_be_sent_again(tablet: Aboard, kind: str, media_type: str) -> None:
    data = picture(kind=kind)
    first = send(tablet.technician, data, media_type=media_type)
    assert first.status_code == 201
    assert (first.json()["media_type"], first.json()["state"]) == (media_type, "received")
    again = send(tablet.technician, data, media_type=media_type)
    assert again.status_code == 200
    assert Photo.objects.count() == 1


def test_head_says_whether_it_is_there(tablet: Aboard, stranger: Caller) -> None:
    photo = photo_of(tablet.scene)
    absent = hashlib.sha256(b"another").hexdigest()
    assert tablet.technician.send("HEAD", f"photos/{photo.sha256}/").status_code == 200
    assert tablet.technician.send("HEAD", f"photos/{absent}/").status_code == 404
    assert stranger.send("HEAD", f"photos/{photo.sha256}/").status_code == 404
    assert tablet.technician.get(f"photos/{photo.sha256}/").json()["state"] == "ready"


def test_which_photos_are_missing_is_answered_in_one_go(tablet: Aboard, stranger: Caller) -> None:
    photo = photo_of(tablet.scene)
    absent = hashlib.sha256(b"another").hexdigest()
    asked = {"digests": [photo.sha256, absent, absent]}
    assert tablet.technician.post("photos/missing/", asked).json() == {"missing": [absent]}
    assert stranger.post("photos/missing/", asked).json() == {"missing": [photo.sha256, absent]}
    assert fields_of(tablet.technician.post("photos/missing/", {"digests": ["abc", 7]}), 400) == {
        "digests[0]",
        "digests[1]",
    }
    problem_of(tablet.technician.post("photos/missing/", {"digests": [absent] * 501}), 400)


def test_the_picture_is_shown_in_three_sizes(tablet: Aboard) -> None:
    photo = photo_of(tablet.scene)
    widths = {}
    for size in ("thumbnail", "report", "original"):
        answer = tablet.technician.get(f"photos/{photo.sha256}/content/?size={size}")
        assert answer.status_code == 200
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["Cache-Control"] == "private, no-cache"
        widths[size] = Image.open(io.BytesIO(answer.body)).width
    assert widths["thumbnail"] < widths["report"] <= widths["original"] == 1600
    head = tablet.technician.send("HEAD", f"photos/{photo.sha256}/content/")
    assert head.status_code == 200
    assert head["ETag"] == f'"{photo.stored_sha256}-report"'


def test_a_picture_that_the_reader_has_is_not_sent_again_but_asked_for(tablet: Aboard, stranger: Caller) -> None:
    photo = photo_of(tablet.scene)
    address = f"photos/{photo.sha256}/content/?size=thumbnail"
    etag = tablet.technician.get(address)["ETag"]
    assert tablet.technician.get(address, If_None_Match=etag).status_code == 304
    problem_of(stranger.get(address, If_None_Match=etag), 404)


def test_a_size_that_is_not_made_yet_says_so(tablet: Aboard) -> None:
    data = picture(width=1600, height=1200)
    digest = send(tablet.technician, data).json()["sha256"]
    early = tablet.technician.get(f"photos/{digest}/content/?size=thumbnail")
    problem_of(early, 404)
    assert early["Retry-After"] == "2"
    assert tablet.technician.get(f"photos/{digest}/content/?size=original").status_code == 200
    worked()
    assert tablet.technician.get(f"photos/{digest}/content/?size=thumbnail").status_code == 200
    assert fields_of(tablet.technician.get(f"photos/{digest}/content/?size=huge"), 422) == {"size"}


def test_the_position_is_not_in_what_is_shown(tablet: Aboard) -> None:
    exif = Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (55.0, 6.0, 0.0)
    data = picture(exif=exif)
    assert Image.open(io.BytesIO(data)).getexif().get_ifd(0x8825)
    digest = send(tablet.technician, data).json()["sha256"]
    shown = tablet.technician.get(f"photos/{digest}/content/?size=original").body
    assert not Image.open(io.BytesIO(shown)).getexif().get_ifd(0x8825)


def test_what_is_wrong_with_a_photo_is_named(tablet: Aboard, settings: Settings) -> None:
    data = picture()
    other = hashlib.sha256(b"another file").hexdigest()
    assert fields_of(send(tablet.technician, data, sha256=other), 422) == {"sha256"}
    assert fields_of(send(tablet.technician, b"<svg onload='alert(1)'/>"), 422) == {"photo"}
    assert fields_of(send(tablet.technician, b""), 422) == {"photo"}
    problem_of(send(tablet.technician, data, media_type="application/json"), 415)
    problem_of(send(tablet.technician, data, media_type="text/html"), 415)
    settings.PHOTO_MAX_BYTES = len(data) - 1
    problem_of(send(tablet.technician, data), 413)
    assert not Photo.objects.exists()


def test_an_address_that_is_no_digest_is_no_address(tablet: Aboard) -> None:
    for name in ("abc", "A" * 64, "../../../etc/passwd", "g" * 64):
        problem_of(tablet.technician.get(f"photos/{name}/"), 404)


def test_a_stranger_and_nobody_see_no_picture(tablet: Aboard, stranger: Caller, nobody: Caller) -> None:
    photo = photo_of(tablet.scene)
    for size in ("thumbnail", "report", "original"):
        problem_of(stranger.get(f"photos/{photo.sha256}/content/?size={size}"), 404)
        problem_of(nobody.get(f"photos/{photo.sha256}/content/?size={size}"), 401)
    problem_of(stranger.get(f"photos/{photo.sha256}/"), 404)
    problem_of(send(nobody, picture(colour="teal")), 401)
    # What another yard sends is its own, even the very same picture.
    assert Photo.objects.count() == 1


def test_a_picture_that_the_storage_lost_can_be_sent_again(tablet: Aboard, settings: Settings) -> None:
    photo = photo_of(tablet.scene)
    for file in Path(str(settings.MEDIA_ROOT)).rglob(f"{photo.sha256}*"):
        file.unlink()
    problem_of(tablet.technician.get(f"photos/{photo.sha256}/content/"), 404)
    assert send(tablet.technician, picture(width=1600, height=1200)).status_code == 200
    assert tablet.technician.get(f"photos/{photo.sha256}/content/?size=original").status_code == 200
