"""A yard's own figures: adopted with a reason, checked, kept for ever, and judged by from then on."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from inspections.judgement.rules import load_rules
from inspections.models import Assessment, RuleEdition
from inspections.selectors.rules import rules_of, standing_edition
from inspections.services.rule_editions import rules_adopt
from tests.inspections.scenes import Scene
from yard.models import OutboxRow
from yard.outbox import drain
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

GRAVER: dict[str, Any] = {"severity": {"by_role": {"watertightness": 2}}}


def adopt(scene: Scene, overrides: dict[str, Any], minutes: int = 60, **more: Any) -> RuleEdition:
    said = {"by": scene.manager, "why": "Our boats are out in the North Sea.", **more}
    return rules_adopt(yard=scene.yard, overrides=overrides, at=scene.at + timedelta(minutes=minutes), **said)


def test_a_yard_without_figures_of_its_own_has_the_stock_rules(ours: Scene) -> None:
    assert standing_edition(ours.yard) is None
    assert rules_of(ours.yard) is load_rules()


def test_what_is_anybody_s_business_is_judged_again_by_the_new_figures(ours: Scene, theirs: Scene) -> None:
    ours.store(ours.finding(water="rain", seal="open", moves="no", load="none", sides="both"))
    drain(now=ours.at + timedelta(minutes=20))
    before = Assessment.objects.get(superseded_at__isnull=True)
    adopt(ours, {"progression": {"steps": {"water_enters": {"rate_per_year": 900}}}})
    drain(now=ours.at + timedelta(minutes=70))
    after = Assessment.objects.get(superseded_at__isnull=True)
    assert after.pk != before.pk
    assert after.rules_version == rules_of(ours.yard).version != before.rules_version
    assert after.document["failure_probability"] > (before.document["failure_probability"] or 0)
    assert rules_of(theirs.yard) is load_rules()


def test_the_latest_figures_hold_and_empty_ones_go_back(ours: Scene) -> None:
    adopt(ours, GRAVER)
    adopt(ours, {"moisture": {"wet_pct": 18}}, minutes=61)
    rules = rules_of(ours.yard)
    assert rules.moisture.wet_pct == 18
    assert rules.severity_by_role == load_rules().severity_by_role
    adopt(ours, {}, minutes=62)
    assert rules_of(ours.yard) is load_rules()
    assert RuleEdition.objects.count() == 3


def test_the_same_again_changes_nothing(ours: Scene) -> None:
    assert adopt(ours, GRAVER) == adopt(ours, GRAVER, minutes=90)
    assert RuleEdition.objects.count() == 1
    assert OutboxRow.objects.filter(key=f"rejudge:{ours.yard.pk}").count() == 1


def test_an_edition_is_never_changed(ours: Scene) -> None:
    edition = adopt(ours, GRAVER)
    edition.why = "Another reason."
    with pytest.raises(IntegrityError), transaction.atomic():
        edition.save()


@pytest.mark.parametrize(
    ("overrides", "more", "field"),
    [
        ({"weather": {}}, {}, "rules.weather"),
        ({"severity": {"by_role": {"rig": 0}}}, {}, "severity.by_role.rig"),
        (GRAVER, {"why": " "}, "why"),
        ({"signs": {"conclusive": {"X" * 21_000: ["decay"]}}}, {}, "overrides"),
    ],
    ids=["unknown", "no category", "no reason", "too long"],
)
def test_figures_that_make_no_sense_are_refused_and_nothing_is_kept(
    ours: Scene, overrides: dict[str, Any], more: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refusal:
        adopt(ours, overrides, **more)
    assert refusal.value.field == field
    assert not RuleEdition.objects.exists()


def test_only_a_manager_of_the_yard_adopts_figures(ours: Scene, theirs: Scene) -> None:
    for member in (ours.technician, theirs.manager):
        with pytest.raises(Refused) as refusal:
            adopt(ours, GRAVER, by=member)
        assert refusal.value.field == "by"
