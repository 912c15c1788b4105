"""Words for owners: every message has a German translation, and the files say what the code says."""

from __future__ import annotations

import re

import pytest
from babel.messages.catalog import Message

from tests.reference.catalogue_files import stock
from workshop.report.words import QUANTITIES
from yard.message_files import MessageFile, compiled, every_file, messages_of, untranslated

PLACES = re.compile(r"%\(\w+\)s|\{\w+\}|</?\w+|\n")


@pytest.fixture(params=every_file(), ids=lambda file: f"{file.floor}-{file.language}")
def kept(request: pytest.FixtureRequest) -> MessageFile:
    file: MessageFile = request.param
    return file


def keys(messages: object) -> set[tuple[str | None, object]]:
    return {(message.context, message.id) for message in messages if message.id}  # type: ignore[attr-defined]


def test_the_file_holds_what_the_code_says_and_no_more(kept: MessageFile) -> None:
    said, there = keys(messages_of(kept.floor)), keys(kept.read())
    assert (said - there, there - said) == (set(), set()), "run manage.py messages"


def test_every_message_is_translated_and_none_is_a_guess(kept: MessageFile) -> None:
    assert untranslated(kept.read()) == []


def test_what_django_reads_is_what_people_edit(kept: MessageFile) -> None:
    assert kept.mo.read_bytes() == compiled(kept.read()), "run manage.py messages"


def test_a_translation_has_the_places_and_the_marks_of_its_message(kept: MessageFile) -> None:
    for message in kept.read():
        if message.id:
            for told, of in pairs(message):
                assert sorted(PLACES.findall(told)) == sorted(PLACES.findall(of)), told


def pairs(message: Message) -> list[tuple[str, str]]:
    if isinstance(message.id, list | tuple):
        assert isinstance(message.string, list | tuple)
        return list(zip(message.string, message.id, strict=True))
    return [(str(message.string), str(message.id))]


def test_what_templates_measure_has_a_name_to_be_translated() -> None:
    measured = {
        check["reading"]["quantity"].removesuffix(f"_{check['reading']['unit']}").replace("_", " ").capitalize()
        for template in stock("templates")
        for check in template["checks"]
        if check.get("reading")
    }
    assert measured <= set(QUANTITIES)
