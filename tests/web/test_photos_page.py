"""Pictures, for the members of their yard."""

from __future__ import annotations

import hashlib
import io

import pytest
from PIL import Image

from inspections.models import Photo
from inspections.services.photos import photo_receive
from tests.factories import MemberFactory, TechnicianFactory
from tests.factories.inspections import picture
from tests.web.conftest import NOW
from tests.web.visitor import Visitor
from yard.models import Member
from yard.outbox import drain

pytestmark = pytest.mark.django_db


@pytest.fixture
def member() -> Member:
    return TechnicianFactory.create()


def taken(member: Member, kind: str = "JPEG", **size: int) -> str:
    data = picture(kind=kind, **size)  # type: ignore[arg-type]
    sha256 = hashlib.sha256(data).hexdigest()
    photo_receive(yard=member.yard, sha256=sha256, data=data, by=member, at=NOW)
    return sha256


def test_a_member_sees_it_in_each_size(member: Member) -> None:
    sha256 = taken(member, width=2000, height=1500)
    drain(now=NOW)
    widths = {}
    for size in ("thumbnail", "report", "full"):
        answer = Visitor(member).get(f"/photos/{sha256}/{size}/")
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["Cache-Control"] == "private, max-age=31536000, immutable"
        assert answer["X-Content-Type-Options"] == "nosniff"
        widths[size] = Image.open(io.BytesIO(answer.body)).width
    assert widths == {"thumbnail": 320, "report": 1600, "full": 2000}


def test_before_the_worker_came_the_picture_itself_stands_in(member: Member) -> None:
    sha256 = taken(member, kind="PNG")
    answer = Visitor(member).get(f"/photos/{sha256}/thumbnail/")
    assert (answer.status_code, answer["Content-Type"]) == (200, "image/png")


def test_what_browsers_don_t_show_waits_for_the_worker(member: Member) -> None:
    sha256 = taken(member)
    Photo.objects.update(media_type="image/heic")
    assert Visitor(member).get(f"/photos/{sha256}/report/").status_code == 404


def test_a_broken_one_is_not_shown(member: Member) -> None:
    sha256 = taken(member)
    Photo.objects.update(state=Photo.State.BROKEN)
    assert Visitor(member).get(f"/photos/{sha256}/full/").status_code == 404


def test_a_file_that_is_gone_is_not_there(member: Member) -> None:
    sha256 = taken(member)
    photo = Photo.objects.get()
    photo.file.storage.delete(str(photo.file.name))
    assert Visitor(member).get(f"/photos/{sha256}/full/").status_code == 404


def test_another_yard_has_no_such_picture(member: Member) -> None:
    sha256 = taken(member)
    assert Visitor(MemberFactory.create()).get(f"/photos/{sha256}/full/").status_code == 404
    assert Visitor().get(f"/photos/{sha256}/full/").status_code == 302


@pytest.mark.parametrize("address", ["/photos/{}/huge/", "/photos/abc/full/", "/photos/../{}/full/"])
def test_nothing_else_is_a_picture(member: Member, address: str) -> None:
    assert Visitor(member).get(address.format(taken(member))).status_code == 404
