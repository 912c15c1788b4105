"""A yard from nothing by one command."""

import pytest
from django.core.management import CommandError, call_command

from inspections.models import Sign, TemplateVersion
from workshop.models import Treatment
from yard.models import ComponentClass, Member, Season, Yard

pytestmark = pytest.mark.django_db

SAID = {
    "manager": "ingrid",
    "manager_name": "Ingrid",
    "time_zone": "Europe/Lisbon",
    "currency": "EUR",
    "vat": "23",
    "hourly_rate": "48.50",
    "launch": "2027-04-20",
    "lay_up": "2027-10-30",
}


def new_yard(**other: str) -> None:
    arguments = [f"--{name.replace('_', '-')}={value}" for name, value in (SAID | other).items()]
    call_command("new_yard", "Cove Yard", *arguments)


def test_a_new_yard_has_a_manager_a_season_and_its_own_catalogue(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NEW_YARD_PASSWORD", "long-enough-for-a-yard")
    new_yard()
    yard = Yard.objects.get(name="Cove Yard")
    member = Member.objects.get(yard=yard)
    assert member.is_manager
    assert member.user.check_password("long-enough-for-a-yard")
    assert Season.objects.get(yard=yard).year == 2027
    assert ComponentClass.objects.of_yard(yard).count() == 40
    assert Sign.objects.of_yard(yard).count() == 34
    assert Treatment.objects.of_yard(yard).count() == 31
    assert TemplateVersion.objects.of_yard(yard).filter(published_at__isnull=False).count() == 40


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("time_zone", "Atlantis/Port", "time_zone"),
        ("currency", "XXL", "currency"),
        ("lay_up", "2027-03-01", "layup_on"),
    ],
)
def test_a_yard_that_cannot_be_is_refused_whole(
    monkeypatch: pytest.MonkeyPatch, field: str, value: str, says: str
) -> None:
    monkeypatch.setenv("NEW_YARD_PASSWORD", "long-enough-for-a-yard")
    with pytest.raises(CommandError, match=says):
        new_yard(**{field: value})
    assert not Yard.objects.exists()
    assert not Member.objects.exists()
