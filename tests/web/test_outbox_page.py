"""What gave up in the background, and sending it again."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.factories import MemberFactory, TechnicianFactory
from tests.web.conftest import NOW
from tests.web.visitor import Visitor
from web.office.outbox_asked import IN_WORDS
from yard.models import Mail, Member, OutboxRow
from yard.outbox.handlers import _handlers

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager() -> Member:
    return MemberFactory.create()


def row(manager: Member, **more: object) -> OutboxRow:
    fields = {
        "yard": manager.yard,
        "task": "workshop.make_report",
        "key": "report:1",
        "created_at": NOW,
        "not_before": NOW,
        **more,
    }
    return OutboxRow.objects.create(**fields)


def test_it_says_in_words_what_gave_up_and_why(manager: Member) -> None:
    row(manager, failed_at=NOW, attempts=6, last_error="OSError: <b>no room</b> left")
    page = Visitor(manager).page("/outbox/")
    assert "Make the report and write the mail with the link" in page
    assert "after 6 tries" in page
    assert "OSError: &lt;b&gt;no room&lt;/b&gt; left" in page


def test_all_work_of_a_yard_has_words() -> None:
    ours = {name for name, work in _handlers.items() if not work.__module__.startswith("tests.")}
    assert ours - {"yard.mail_new_password"} == set(IN_WORDS)  # that belongs to no yard, and no yard sees it


def test_a_manager_sends_it_again(manager: Member) -> None:
    failed = row(manager, failed_at=NOW, attempts=6, last_error="OSError: no room")
    page = Visitor(manager).after(f"/outbox/{failed.pk}/again/")
    assert "Make the report and write the mail with the link: it is tried again." in page
    failed.refresh_from_db()
    assert (failed.failed_at, failed.attempts) == (None, 0)
    assert "1 piece of work waits" in page


def test_a_second_click_says_that_there_is_nothing_to_send(manager: Member) -> None:
    failed = row(manager, failed_at=NOW, attempts=6)
    visitor = Visitor(manager)
    visitor.after(f"/outbox/{failed.pk}/again/")
    assert "only work that has failed can be sent again" in visitor.refused(f"/outbox/{failed.pk}/again/")


def test_what_fails_and_is_tried_again_stands_apart(manager: Member) -> None:
    row(manager, attempts=2, last_error="Timeout", not_before=NOW + timedelta(minutes=20))
    page = Visitor(manager).page("/outbox/")
    assert "Nothing gave up." in page
    assert 'Failed, and will be tried again <span class="count">1</span>' in page
    assert "Timeout" in Visitor(manager).page("/outbox/?show=trying")


def test_a_mail_that_was_refused_is_named(manager: Member) -> None:
    Mail.objects.create(
        yard=manager.yard,
        key="k",
        message_id="<k@skerry.example>",
        to_address="owner@harbour.example",
        subject="Sea Pink: 3 jobs to decide on",
        text="…",
        state=Mail.State.REFUSED,
        refusal="550 no such mailbox",
        created_at=NOW,
    )
    assert "550 no such mailbox" in Visitor(manager).page("/outbox/?show=refused")


def test_an_empty_outbox_says_so(manager: Member) -> None:
    page = Visitor(manager).page("/outbox/")
    assert "Nothing waits." in page
    assert "Nothing gave up." in page


def test_it_is_no_business_of_a_technician_or_of_another_yard(manager: Member) -> None:
    failed = row(manager, failed_at=NOW, attempts=6)
    technician = Visitor(TechnicianFactory.create(yard=manager.yard))
    assert technician.get("/outbox/").status_code == 403
    assert "This is for managers of the yard." in technician.last.content.decode()
    assert technician.post(f"/outbox/{failed.pk}/again/").status_code == 403
    stranger = Visitor(MemberFactory.create())
    assert "Nothing gave up." in stranger.page("/outbox/")
    assert stranger.post(f"/outbox/{failed.pk}/again/").status_code == 404
    failed.refresh_from_db()
    assert failed.failed_at == NOW
