"""Taking in photos by their digest, and making their small sizes in the worker."""

import hashlib
import io
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from django.db.models.fields.files import FieldFile
from PIL import Image
from pytest_django import Settings

from inspections.models import Photo
from inspections.services.photo_files import name_in_print
from inspections.services.photos import photo_prepare, photo_receive
from tests.factories import PhotoFactory
from tests.factories.inspections import picture
from tests.inspections.pictures import files
from tests.inspections.scenes import Scene
from yard.models import OutboxRow
from yard.outbox import drain
from yard.refusals import Refused

pytestmark = pytest.mark.django_db


def digest_of(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def content(file: FieldFile) -> bytes:
    with default_storage.open(str(file.name)) as opened:
        data: bytes = opened.read()
    return data


def receive(scene: Scene, data: bytes, sha256: str | None = None) -> tuple[Photo, bool]:
    return photo_receive(
        yard=scene.yard, sha256=sha256 or digest_of(data), data=data, by=scene.technician, at=scene.at
    )


def stored_files() -> list[Path]:
    root = Path(default_storage.path(""))
    return sorted(path for path in root.rglob("*") if path.is_file())


def test_a_photo_is_known_by_what_was_sent_and_kept_without_its_place(ours: Scene) -> None:
    sent = files.jpeg(files.drawn((400, 300)))
    photo, created = receive(ours, sent)
    assert created
    kept = content(photo.file)
    assert (photo.sha256, photo.stored_sha256) == (digest_of(sent), digest_of(kept))
    assert photo.sha256 != photo.stored_sha256
    assert files.POSITION not in kept
    assert (photo.media_type, photo.width_px, photo.height_px) == ("image/jpeg", 300, 400)  # it is on its side
    assert (photo.size_bytes, photo.state) == (len(kept), Photo.State.RECEIVED)
    assert (photo.received_from, photo.received_at) == (ours.technician, ours.at)
    # The camera wrote no zone: its clock is taken for the yard's, which is two hours ahead of UTC in April.
    assert photo.taken_at == datetime(2027, 4, 1, 8, 11, 12, tzinfo=UTC)


def test_its_file_lies_in_the_yards_folder_under_its_digest(ours: Scene) -> None:
    photo, _ = receive(ours, picture())
    assert photo.file.name == f"photos/{ours.yard.pk}/{photo.sha256[:2]}/{photo.sha256}.jpg"


def test_the_same_photo_again_is_the_same_photo(ours: Scene) -> None:
    sent = picture()
    first, _ = receive(ours, sent)
    again, created = receive(ours, sent, sha256=digest_of(sent).upper())
    assert (again.pk, created) == (first.pk, False)
    assert len(stored_files()) == 1
    assert OutboxRow.objects.count() == 1


def test_two_yards_with_the_same_photo_have_one_each(ours: Scene, theirs: Scene) -> None:
    sent = picture()
    mine, _ = receive(ours, sent)
    yours, created = receive(theirs, sent)
    assert created
    assert mine.file.name != yours.file.name
    assert len(stored_files()) == 2


@pytest.mark.parametrize(
    ("made", "media_type", "extension"),
    [
        (files.jpeg, "image/jpeg", "jpg"),
        (files.png, "image/png", "png"),
        (files.webp, "image/webp", "webp"),
        (files.heic, "image/jpeg", "jpg"),
    ],
    ids=["jpeg", "png", "webp", "heic"],
)
def test_each_kind_is_taken(ours: Scene, made: object, media_type: str, extension: str) -> None:
    photo, _ = receive(ours, made())  # type: ignore[operator]
    assert photo.media_type == media_type
    assert str(photo.file.name).endswith(f".{extension}")
    drain(now=ours.at)
    photo.refresh_from_db()
    assert photo.state == Photo.State.READY


@pytest.mark.parametrize(
    ("sha256", "data", "field"),
    [
        ("abc", picture(), "sha256"),
        ("g" * 64, picture(), "sha256"),
        (digest_of(b"other"), picture(), "sha256"),
        (digest_of(b""), b"", "photo"),
        (digest_of(b"no picture"), b"no picture", "photo"),
        (digest_of(picture()[:-40]), picture()[:-40], "photo"),
    ],
    ids=["no digest", "no hexadecimal", "digest of another file", "empty", "no picture", "cut short"],
)
def test_what_is_no_photo_is_refused_and_leaves_nothing(ours: Scene, sha256: str, data: bytes, field: str) -> None:
    with pytest.raises(Refused) as raised:
        receive(ours, data, sha256)
    assert raised.value.field == field
    assert stored_files() == []
    assert not Photo.objects.exists()
    assert not OutboxRow.objects.exists()


def test_the_limit_of_bytes_counts_to_the_last(ours: Scene, settings: Settings) -> None:
    sent = picture()
    settings.PHOTO_MAX_BYTES = len(sent) - 1
    with pytest.raises(Refused, match="bytes"):
        receive(ours, sent)
    settings.PHOTO_MAX_BYTES = len(sent)
    assert receive(ours, sent)[1]


def test_the_limit_of_pixels_holds(ours: Scene, settings: Settings) -> None:
    settings.PHOTO_MAX_PIXELS = 48 * 32 - 1
    with pytest.raises(Refused, match="pixels"):
        receive(ours, picture(48, 32))


@pytest.mark.parametrize("taken", ["1970:01:01 00:00:00", "2031:01:01 00:00:00"], ids=["never set", "years ahead"])
def test_a_time_that_cannot_be_is_left_out(ours: Scene, taken: str) -> None:
    photo, _ = receive(ours, files.jpeg(exif=files.exif(1, taken)))
    assert photo.taken_at is None


def test_a_file_that_a_stopped_machine_left_half_written_does_no_harm(ours: Scene) -> None:
    sent = picture()
    name = f"photos/{ours.yard.pk}/{digest_of(sent)[:2]}/{digest_of(sent)}.jpg"
    default_storage.save(name, ContentFile(sent[:20]))
    photo, created = receive(ours, sent)
    assert created
    assert digest_of(content(photo.file)) == photo.stored_sha256


def test_a_photo_whose_file_was_lost_is_healed_by_sending_it_again(ours: Scene) -> None:
    sent = picture()
    photo, _ = receive(ours, sent)
    drain(now=ours.at)
    default_storage.delete(str(photo.file.name))
    again, created = receive(ours, sent)
    assert (again.pk, created, again.state) == (photo.pk, False, Photo.State.RECEIVED)
    assert digest_of(content(again.file)) == photo.stored_sha256
    drain(now=ours.at)
    again.refresh_from_db()
    assert again.state == Photo.State.READY


# --- the small sizes ---------------------------------------------------------------------------------


def test_the_worker_makes_a_thumbnail_a_size_for_screens_and_one_for_print(ours: Scene) -> None:
    photo, _ = receive(ours, files.jpeg(files.drawn((2400, 1600)), exif=files.exif(6)))
    assert drain(now=ours.at) == 1
    photo.refresh_from_db()
    sizes = [Image.open(io.BytesIO(content(file))).size for file in (photo.thumbnail, photo.report_size)]
    assert sizes == [(213, 320), (1067, 1600)]
    with default_storage.open(name_in_print(photo)) as printed:
        assert Image.open(printed).size == (667, 1000)
    assert photo.state == Photo.State.READY
    assert len(stored_files()) == 4


def test_preparing_again_changes_nothing(ours: Scene) -> None:
    photo, _ = receive(ours, picture())
    drain(now=ours.at)
    photo.refresh_from_db()
    before = [(path, path.stat().st_mtime_ns) for path in stored_files()]
    assert photo_prepare(photo.pk) is None
    Photo.objects.update(state=Photo.State.RECEIVED)
    finish = photo_prepare(photo.pk)
    assert finish is not None
    finish(ours.at)
    assert [(path, path.stat().st_mtime_ns) for path in stored_files()] == before
    again = Photo.objects.get()
    assert (again.thumbnail.name, again.report_size.name) == (photo.thumbnail.name, photo.report_size.name)


def test_a_small_size_that_the_storage_has_lost_is_made_again(ours: Scene) -> None:
    photo, _ = receive(ours, picture())
    drain(now=ours.at)
    photo.refresh_from_db()
    default_storage.delete(name_in_print(photo))
    finish = photo_prepare(photo.pk)
    assert finish is not None
    finish(ours.at)
    assert default_storage.exists(name_in_print(photo))


def test_preparing_writes_nothing_before_it_is_finished(ours: Scene) -> None:
    photo, _ = receive(ours, picture())
    assert photo_prepare(photo.pk) is not None
    photo.refresh_from_db()
    assert (photo.state, photo.thumbnail.name) == (Photo.State.RECEIVED, "")


def test_a_stored_file_that_cannot_be_read_ends_as_broken(ours: Scene) -> None:
    name = default_storage.save("photos/torn.jpg", ContentFile(picture()[:60]))
    photo = PhotoFactory.create(yard=ours.yard, file=name)
    finish = photo_prepare(photo.pk)
    assert finish is not None
    finish(ours.at)
    photo.refresh_from_db()
    assert photo.state == Photo.State.BROKEN


def test_a_storage_that_is_away_is_tried_again_later(ours: Scene) -> None:
    photo, _ = receive(ours, picture())
    held = content(photo.file)
    default_storage.delete(str(photo.file.name))
    drain(now=ours.at)
    row = OutboxRow.objects.get()
    assert (row.done_at, row.failed_at) == (None, None)
    assert "FileNotFoundError" in row.last_error
    default_storage.save(str(photo.file.name), ContentFile(held))
    drain(now=ours.at + timedelta(hours=1))
    photo.refresh_from_db()
    assert photo.state == Photo.State.READY


@pytest.mark.django_db(transaction=True)
@pytest.mark.both_databases
def test_a_photo_that_two_tablets_send_at_once_is_kept_once(ours: Scene) -> None:
    sent = files.jpeg(files.drawn((300, 200)))
    start = threading.Barrier(4, timeout=30)
    seen: list[tuple[int, bool]] = []

    def send() -> None:
        try:
            start.wait(10)
            photo, created = receive(ours, sent)
            seen.append((photo.pk, created))
        finally:
            connection.close()

    senders = [threading.Thread(target=send) for _ in range(4)]
    for sender in senders:
        sender.start()
    for sender in senders:
        sender.join(30)
    assert sorted(created for _, created in seen) == [False, False, False, True]
    photo = Photo.objects.get()
    assert {pk for pk, _ in seen} == {photo.pk}
    assert digest_of(content(photo.file)) == photo.stored_sha256
    assert OutboxRow.objects.count() == 1
