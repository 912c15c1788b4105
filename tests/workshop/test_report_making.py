"""From a sent quote to the stored report and the mail, through the outbox."""

from __future__ import annotations

import hashlib
import re
from datetime import timedelta
from email import message_from_bytes, policy
from email.message import EmailMessage
from io import BytesIO

import pytest
from django.core import mail as django_mail
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.test import override_settings
from PIL import Image

from inspections.models import Photo
from inspections.services.photo_files import name_in_print
from inspections.services.photos import photo_receive
from tests.workshop import pdf_reading
from tests.workshop.documents import a_photo
from tests.workshop.spring import AT, Spring, a_spring
from workshop.handlers import make_report
from workshop.models import Job, OwnerLink, Quote, Report
from workshop.report import mailing
from workshop.report.pictures import PRINT_PX, report_pictures
from workshop.services.links import link_find, link_reissue, link_url
from workshop.services.quotes import quote_document, quote_withdraw
from yard import outbox
from yard.models import Mail, OutboxRow

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def spring() -> Spring:
    made = a_spring()
    made.finding(made.component("Window frame"), "REBED_SEALANT", priority="before_launch", severity=1)
    made.finding(made.component("Laid deck"), "SEAM")
    return made


def stored(spring: Spring, data: bytes, *, ready: bool = False, lost: bool = False) -> str:
    sha256 = hashlib.sha256(data).hexdigest()
    name = f"photos/{sha256}.jpg"
    if not lost:
        name = default_storage.save(name, ContentFile(data))
    Photo.objects.create(
        yard=spring.yard,
        sha256=sha256,
        stored_sha256=sha256,
        media_type="image/jpeg",
        width_px=640,
        height_px=480,
        size_bytes=len(data),
        file=name,
        report_size=name if ready else "",
        received_at=AT,
        state=Photo.State.READY if ready else Photo.State.RECEIVED,
    )
    return sha256


def work_off(spring: Spring) -> None:
    outbox.drain(now=AT)
    assert list(OutboxRow.objects.exclude(last_error="").values_list("last_error", flat=True)) == []


def the_mail(spring: Spring) -> Mail:
    mail: Mail = Mail.objects.get(yard=spring.yard)
    return mail


def as_sent() -> EmailMessage:
    (message,) = django_mail.outbox
    return message_from_bytes(message.message().as_bytes(), policy=policy.default)


def pdf_of(report: Report) -> bytes:
    with report.file.open() as file:
        data: bytes = file.read()
    return data


def test_sending_a_quote_ends_in_a_report_and_a_mail(spring: Spring) -> None:
    quote = spring.sent()
    work_off(spring)
    report = Report.objects.get(quote=quote)
    pdf = pdf_of(report)
    assert report.sha256 == hashlib.sha256(pdf).hexdigest()
    assert report.pages == len(pdf_reading.page_texts(pdf))
    assert quote.digest in pdf_reading.text(pdf)
    mail = the_mail(spring)
    assert spring.boat.decider_owner is not None
    assert mail.to_address == spring.boat.decider_owner.email
    assert OwnerLink.objects.get(quote=quote).mail == mail


def test_the_mail_says_boat_and_what_is_wanted_and_brings_the_link_and_the_pdf(spring: Spring) -> None:
    quote = spring.sent()
    work_off(spring)
    message = as_sent()
    assert message["Subject"] == f"{spring.boat.name}: yes or no to 2 jobs, please, by 27 April 2027"
    plain, html, pdf = (part for part in message.walk() if not part.is_multipart())
    assert [part.get_content_type() for part in (plain, html, pdf)] == [
        "text/plain",
        "text/html",
        "application/pdf",
    ]
    url = link_url(OwnerLink.objects.get(quote=quote))
    totals = quote_document(quote).totals
    for part in (plain.get_content(), html.get_content()):
        assert url in part
        assert str(spring.boat.decider_owner) in part
        assert "27 April 2027" in part
        assert f"€{totals.gross}" in part
        assert "We call this one unsafe to leave." in part
        assert "no survey by a licensed surveyor" in part
    assert pdf.get_content() == pdf_of(Report.objects.get())
    assert pdf.get_filename() == f"{spring.boat.name} 2027 quote {quote.number}.pdf"


def test_the_html_part_fits_a_dark_phone_and_loads_nothing(spring: Spring) -> None:
    spring.sent()
    work_off(spring)
    html = the_mail(spring).html
    assert '<meta name="color-scheme" content="light dark">' in html
    assert "prefers-color-scheme: dark" in html
    assert "<img" not in html
    assert "src=" not in html
    assert set(re.findall(r'href="([^"]+)"', html)) == {link_url(OwnerLink.objects.get())}


def test_names_of_people_are_text_in_both_parts(spring: Spring) -> None:
    spring.boat.name = "Tern & <i>Co</i>"
    spring.boat.save()
    spring.sent()
    work_off(spring)
    mail = the_mail(spring)
    assert "Tern & <i>Co</i>" in mail.text
    assert "Tern &amp; &lt;i&gt;Co&lt;/i&gt;" in mail.html
    assert "<i>" not in mail.html


def test_the_link_of_the_mail_opens_the_quote(spring: Spring) -> None:
    quote = spring.sent()
    work_off(spring)
    (address,) = [line for line in the_mail(spring).text.splitlines() if "/o/" in line]
    token = address.rstrip("/").rpartition("/")[2]
    assert link_find(token, AT).quote == quote


def test_made_twice_there_is_one_report_and_one_mail(spring: Spring) -> None:
    quote = spring.sent()
    finishes = [make_report(quote.pk) for _ in range(2)]
    for finish in finishes:
        assert finish is not None
        finish(AT)
    again = make_report(quote.pk)
    assert again is not None
    again(AT)
    assert Report.objects.count() == 1
    assert Mail.objects.count() == 1


def test_a_new_link_is_mailed_with_the_same_report(spring: Spring) -> None:
    quote = spring.sent()
    work_off(spring)
    first = Report.objects.get().sha256
    link_reissue(quote=quote, at=AT + timedelta(hours=1))
    outbox.drain(now=AT + timedelta(hours=1))
    assert Report.objects.get().sha256 == first
    old, new = Mail.objects.order_by("id")
    assert old.text != new.text
    assert link_url(OwnerLink.objects.get(revoked_at__isnull=True)) in new.text


def test_a_quote_taken_back_before_its_report_is_made_mails_nothing(spring: Spring) -> None:
    quote = spring.sent()
    quote_withdraw(quote=quote, at=AT)
    work_off(spring)
    assert not Mail.objects.exists()
    assert not Report.objects.exists()


def test_a_quote_taken_back_while_its_report_is_made_mails_nothing(spring: Spring) -> None:
    quote = spring.sent()
    finish = make_report(quote.pk)
    assert finish is not None
    quote_withdraw(quote=quote, at=AT)
    finish(AT)
    assert not Mail.objects.exists()


def test_a_report_too_large_for_a_mail_is_left_on_the_page(spring: Spring, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(mailing, "ATTACHED_UP_TO_BYTES", 1000)
    spring.sent()
    work_off(spring)
    mail = the_mail(spring)
    assert mail.attachments == []
    assert "too large for a mail; you find it on that page" in mail.text
    assert "too large for a mail; you find it on that page" in mail.html


def test_a_manager_who_decides_gets_the_mail_at_her_own_address(spring: Spring) -> None:
    spring.boat.decider_owner, spring.boat.decider_member = None, spring.manager
    spring.boat.save()
    spring.sent()
    work_off(spring)
    assert the_mail(spring).to_address == spring.manager.user.email


def test_an_american_owner_gets_letter_paper_and_dates_as_they_write_them(spring: Spring) -> None:
    owner = spring.boat.decider_owner
    assert owner is not None
    owner.locale = "en_US"
    owner.save()
    spring.sent()
    work_off(spring)
    pdf = pdf_of(Report.objects.get())
    assert "April 6, 2027" in pdf_reading.text(pdf)
    with pdf_reading.opened(pdf) as opened:
        assert [float(edge) for edge in opened.pages[0].mediabox] == [0, 0, 612, 792]


def test_another_secret_makes_no_difference_to_the_report_but_to_the_link(spring: Spring) -> None:
    quote = spring.sent()
    link = OwnerLink.objects.get(quote=quote)
    here = link_url(link)
    with override_settings(SECRET_KEY="y" * 60):
        assert link_url(link) != here


# --- photos -----------------------------------------------------------------------------------------


def test_photos_come_prepared_or_as_they_are_and_broken_ones_are_left_out(spring: Spring) -> None:
    good = a_photo(1)
    prepared, waiting = stored(spring, good, ready=True), stored(spring, a_photo(2, (1600, 1200)))
    broken = stored(spring, good[:800], ready=True)
    text = stored(spring, b"no picture at all")
    lost = stored(spring, a_photo(3), lost=True)
    pictures = report_pictures(spring.yard, [prepared, waiting, broken, text, lost, "0" * 64])
    assert set(pictures) == {prepared, waiting}
    assert pictures[prepared] == good
    with Image.open(BytesIO(pictures[waiting])) as picture:
        assert max(picture.size) == PRINT_PX


def test_a_prepared_photo_is_printed_from_the_file_that_the_worker_made_for_it(spring: Spring) -> None:
    data = a_photo(4, (2000, 1500))
    sha256 = hashlib.sha256(data).hexdigest()
    photo, _ = photo_receive(yard=spring.yard, sha256=sha256, data=data, by=spring.technician, at=AT)
    work_off(spring)
    with default_storage.open(name_in_print(photo)) as printed:
        assert report_pictures(spring.yard, [sha256]) == {sha256: printed.read()}


def test_making_reports_leaves_photos_that_are_cut_short_broken(spring: Spring) -> None:
    spring.sent()
    work_off(spring)
    with Image.open(BytesIO(a_photo(1)[:2000])) as picture, pytest.raises(OSError, match="truncated"):
        picture.load()


def test_another_yards_photo_is_not_shown(spring: Spring) -> None:
    other = a_spring()
    theirs = stored(other, a_photo(1))
    assert report_pictures(spring.yard, [theirs]) == {}


def test_a_broken_photo_does_not_keep_the_report_from_being_made(spring: Spring) -> None:
    good, broken = stored(spring, a_photo(1)), stored(spring, b"\xff\xd8\xff no more than this")
    spring.finding(spring.component("Tiller"), "SEAM", photos=[good, broken])
    quote = spring.sent()
    work_off(spring)
    pdf = pdf_of(Report.objects.get(quote=quote))
    assert pdf_reading.text(pdf).count("This photo can't be shown") == 1


# --- the other handlers -----------------------------------------------------------------------------


def asked(spring: Spring, task: str, **arguments: object) -> None:
    with transaction.atomic():
        outbox.enqueue(task=task, arguments=arguments, key=task, yard=spring.yard, at=AT)


def test_the_worker_proposes_the_jobs_it_is_asked_for(spring: Spring) -> None:
    asked(spring, "workshop.propose_jobs", inspection_id=spring.inspection.pk)
    work_off(spring)
    assert Job.objects.count() == 2


def test_an_operation_the_catalogue_lacks_fails_where_the_office_sees_it(spring: Spring) -> None:
    spring.finding(spring.component("Boom"), "UNHEARD_OF")
    asked(spring, "workshop.propose_jobs", inspection_id=spring.inspection.pk)
    outbox.drain(now=AT)
    row = OutboxRow.objects.get(task="workshop.propose_jobs")
    assert row.failed_at == AT
    assert "UNHEARD_OF" in row.last_error


def test_the_night_after_the_last_day_ends_the_quote(spring: Spring) -> None:
    quote = spring.sent()
    asked(spring, "workshop.lapse_quotes", yard_id=spring.yard.pk)
    outbox.drain(now=AT + timedelta(days=22))
    quote.refresh_from_db()
    assert quote.state == Quote.State.LAPSED


def test_each_night_brings_a_row_for_lapsing_quotes(spring: Spring) -> None:
    outbox.nightly_rows_write(now=AT)
    row = OutboxRow.objects.get(task="workshop.lapse_quotes", yard=spring.yard)
    assert row.arguments == {"yard_id": spring.yard.pk}
    assert row.not_before > AT
