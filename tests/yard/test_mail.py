"""Mail: written once with its key, delivered by a real server or into a folder, and never silently lost."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from pytest_django import Settings

from tests.factories import YardFactory
from tests.smtp import MailServer, mail_server
from yard.models import Mail, OutboxRow, Yard
from yard.outbox import drain
from yard.post import Attachment, mail_send_again, mail_write
from yard.refusals import Refused

pytestmark = pytest.mark.django_db

PDF = b"%PDF-1.7\n" + bytes(range(256)) * 400 + b"\r\n.\r\n.lone dots\n\n%%EOF\n"


@pytest.fixture
def yard() -> Yard:
    return YardFactory.create(name="Yard »Højt Skær«, Ltd.", mail_from="office@skerry.example")


@pytest.fixture
def server(settings: Settings) -> Iterator[MailServer]:
    with mail_server() as box:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_TIMEOUT = "127.0.0.1", box.port, 5
        yield box


@pytest.fixture
def folder(settings: Settings, tmp_path: Path) -> Path:
    settings.EMAIL_BACKEND = "yard.post.files.MailFolderBackend"
    settings.EMAIL_FILE_PATH = str(tmp_path / "mail")
    return tmp_path / "mail"


def write(yard: Yard, at: datetime, *, key: str = "report:1", with_file: bool = False) -> Mail:
    attachments = []
    if with_file:
        path = default_storage.save("reports/1.pdf", ContentFile(PDF))
        attachments = [Attachment(name="Søblomst 2027.pdf", path=path, media_type="application/pdf")]
    return mail_write(
        yard=yard,
        key=key,
        to_address="ea@harbour.example",
        subject="Søblomst: ½ day of work – your word, please",
        text="Grüße. The coaming’s lower corner is soft.\n",
        html="<p>Grüße. The coaming’s lower corner is <b>soft</b>.</p>",
        attachments=attachments,
        at=at,
    )


def parts_of(message: EmailMessage) -> tuple[str, str, list[tuple[str | None, bytes]]]:
    text, html = message.get_body(("plain",)), message.get_body(("html",))
    assert text is not None
    assert html is not None
    files = [(part.get_filename(), part.get_content()) for part in message.iter_attachments()]
    return text.get_content(), html.get_content(), files


def subject_of(message: EmailMessage) -> str:
    # A folded header leaves a blank in front of its first word, which mail programs don't show.
    return str(message["Subject"]).strip()


def test_a_mail_reaches_a_mail_server_whole(yard: Yard, server: MailServer, spring: datetime) -> None:
    mail = write(yard, spring, with_file=True)
    assert drain(now=spring) == 1
    (message,) = server.accepted
    text, html, files = parts_of(message)
    assert subject_of(message) == "Søblomst: ½ day of work – your word, please"
    assert message["To"] == "ea@harbour.example"
    assert message["From"].addresses[0].display_name == "Yard »Højt Skær«, Ltd."
    assert message["From"].addresses[0].addr_spec == "office@skerry.example"
    assert message["Message-ID"] == mail.message_id
    assert message["Date"].datetime == spring
    assert text.strip() == "Grüße. The coaming’s lower corner is soft."
    assert html.strip() == "<p>Grüße. The coaming’s lower corner is <b>soft</b>.</p>"
    assert files == [("Søblomst 2027.pdf", PDF)]
    mail.refresh_from_db()
    assert (mail.state, mail.sent_at) == (Mail.State.SENT, spring)


def test_a_passing_refusal_is_tried_again_with_the_same_message_id(
    yard: Yard, server: MailServer, spring: datetime
) -> None:
    server.data_replies.append("451 4.3.0 come back later")
    mail = write(yard, spring)
    drain(now=spring)
    row = OutboxRow.objects.get()
    mail.refresh_from_db()
    assert mail.state == Mail.State.WAITING
    assert "come back later" in row.last_error
    assert row.not_before > spring
    assert drain(now=row.not_before - timedelta(microseconds=1)) == 0
    assert drain(now=row.not_before) == 1
    assert [str(message["Message-ID"]) for message in server.offered] == [mail.message_id] * 2
    assert server.message_ids() == [mail.message_id]
    mail.refresh_from_db()
    assert mail.state == Mail.State.SENT


def test_a_passing_refusal_of_the_address_is_tried_again(yard: Yard, server: MailServer, spring: datetime) -> None:
    server.rcpt_replies.append("450 4.2.1 mailbox busy")  # what greylisting servers say
    mail = write(yard, spring)
    drain(now=spring)
    drain(now=spring + timedelta(minutes=1))
    assert server.message_ids() == [mail.message_id]


@pytest.mark.parametrize("where", ["rcpt_replies", "data_replies"])
def test_a_lasting_refusal_is_noted_and_not_tried_again(
    yard: Yard, server: MailServer, spring: datetime, where: str
) -> None:
    getattr(server, where).append("550 5.1.1 no such mailbox, said å")
    mail = write(yard, spring)
    drain(now=spring)
    mail.refresh_from_db()
    assert mail.state == Mail.State.REFUSED
    assert "550" in mail.refusal
    assert "no such mailbox" in mail.refusal
    assert mail.sent_at is None
    assert OutboxRow.objects.get().done_at == spring
    assert drain(now=spring + timedelta(days=1)) == 0
    assert server.accepted == []


def test_a_refused_mail_can_be_sent_again_by_hand(yard: Yard, server: MailServer, spring: datetime) -> None:
    server.rcpt_replies.append("550 5.1.1 no such mailbox")
    mail = write(yard, spring)
    drain(now=spring)
    mail_send_again(mail=mail, at=spring)
    drain(now=spring)
    mail.refresh_from_db()
    assert mail.state == Mail.State.SENT
    assert server.message_ids() == [mail.message_id]
    with pytest.raises(Refused, match="was not refused"):
        mail_send_again(mail=mail, at=spring)


def test_a_server_that_wants_a_log_in_is_our_trouble_and_not_the_mail_s(
    yard: Yard, server: MailServer, spring: datetime
) -> None:
    server.data_replies.append("530 5.7.0 authentication required")
    mail = write(yard, spring)
    drain(now=spring)
    mail.refresh_from_db()
    assert mail.state == Mail.State.WAITING


def test_a_server_that_is_away_is_waited_for(
    yard: Yard, server: MailServer, settings: Settings, spring: datetime
) -> None:
    settings.EMAIL_PORT = 9  # nobody listens there
    mail = write(yard, spring)
    drain(now=spring)
    mail.refresh_from_db()
    assert mail.state == Mail.State.WAITING
    settings.EMAIL_PORT = server.port
    drain(now=spring + timedelta(hours=1))
    assert server.message_ids() == [mail.message_id]


@pytest.mark.both_databases
def test_the_same_key_writes_one_mail(yard: Yard, folder: Path, spring: datetime) -> None:
    first = write(yard, spring)
    again = write(yard, spring + timedelta(days=1))
    assert again == first
    assert OutboxRow.objects.count() == 1
    drain(now=spring)
    assert write(yard, spring + timedelta(days=2)) == first
    assert drain(now=spring + timedelta(days=2)) == 0
    assert len(list(folder.iterdir())) == 1


def test_two_yards_may_use_the_same_key(yard: Yard, spring: datetime) -> None:
    other = YardFactory.create()
    assert write(yard, spring).message_id != write(other, spring).message_id


def test_a_folder_gets_one_readable_file_a_mail(yard: Yard, folder: Path, spring: datetime) -> None:
    mail = write(yard, spring, with_file=True)
    drain(now=spring + timedelta(minutes=5))
    (file,) = folder.iterdir()
    assert file.name == f"20270401T080000-{mail.message_id.strip('<>')}.eml"
    content = file.read_bytes()
    assert content.count(b"\n") == content.count(b"\r\n")
    message = message_from_bytes(content, EmailMessage, policy=policy.default)
    text, _, files = parts_of(message)
    assert message["Message-ID"] == mail.message_id
    assert subject_of(message) == "Søblomst: ½ day of work – your word, please"
    assert text.strip() == "Grüße. The coaming’s lower corner is soft."
    assert files == [("Søblomst 2027.pdf", PDF)]


def test_a_mail_delivered_twice_to_a_folder_is_one_file(yard: Yard, folder: Path, spring: datetime) -> None:
    mail = write(yard, spring)
    drain(now=spring)
    # As if the worker had been killed between the delivery and the note of it.
    Mail.objects.filter(pk=mail.pk).update(state=Mail.State.WAITING, sent_at=None)
    OutboxRow.objects.update(done_at=None, lease_until=spring)
    assert drain(now=spring + timedelta(minutes=10)) == 1
    assert len(list(folder.iterdir())) == 1
    mail.refresh_from_db()
    assert mail.state == Mail.State.SENT


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("subject", {"subject": "Hello\nBcc: everybody@harbour.example"}),
        ("subject", {"subject": "   "}),
        ("to_address", {"to_address": "ea@harbour"}),
        ("to_address", {"to_address": "ea@harbour.example, other@harbour.example"}),
        ("text", {"text": " \n"}),
        ("key", {"key": "k" * 201}),
        (
            "attachments",
            {"attachments": [Attachment(name="a\r\nb.pdf", path="a.pdf", media_type="application/pdf")]},
        ),
    ],
)
def test_what_can_not_be_sent_is_refused_and_names_the_field(
    yard: Yard, spring: datetime, field: str, change: dict[str, object]
) -> None:
    sheet: dict[str, object] = {
        "key": "a", "to_address": "ea@harbour.example", "subject": "Hello", "text": "Hello", "attachments": [],
    }  # fmt: skip
    with pytest.raises(Refused) as refusal:
        mail_write(yard=yard, at=spring, **{**sheet, **change})  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert not Mail.objects.exists()
    assert not OutboxRow.objects.exists()


def test_a_mail_is_not_written_when_its_occasion_is_taken_back(yard: Yard, spring: datetime) -> None:
    with transaction.atomic():
        write(yard, spring)
        transaction.set_rollback(True)
    assert not Mail.objects.exists()
    assert not OutboxRow.objects.exists()
