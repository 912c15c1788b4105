"""The stock catalogue in a new yard: complete, the yard's own, and refused where it contradicts itself."""

import copy
from decimal import Decimal
from typing import Any

import pytest

from inspections.models import Sign, Template
from inspections.services.catalogue import catalogue_items
from tests.factories import YardFactory
from tests.workshop.spring import AT, TODAY
from workshop.estimating.hours import ThreePoint
from workshop.models import Caution, Material, Operation, Treatment
from workshop.pricing.job_price import job_price
from workshop.services.catalogue import cautions_load, materials_load, treatments_load
from workshop.services.new_yard import catalogue_load
from workshop.services.prices import cost_of, price_list_of
from yard.models import ComponentClass, Yard
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def yard() -> Yard:
    return YardFactory.create()


def load(yard: Yard) -> None:
    cautions_load(yard=yard)
    materials_load(yard=yard)
    treatments_load(yard=yard)


def test_a_new_yard_gets_the_whole_catalogue(yard: Yard) -> None:
    catalogue_load(yard=yard, at=AT)
    for model, file in (
        (ComponentClass, "component_classes"),
        (Sign, "signs"),
        (Caution, "cautions"),
        (Material, "materials"),
        (Treatment, "treatments"),
    ):
        codes = set(model.objects.of_yard(yard).values_list("code", flat=True))
        assert codes == {item["code"] for item in catalogue_items(file)}
    assert Template.objects.of_yard(yard).count() == ComponentClass.objects.of_yard(yard).count()


def test_what_the_yard_changed_stays_and_what_it_lacks_comes(yard: Yard) -> None:
    load(yard)
    Treatment.objects.of_yard(yard).filter(code="REBED_SEALANT").update(hours_high=Decimal("5.00"))
    Treatment.objects.of_yard(yard).filter(code="WATCH").delete()
    assert treatments_load(yard=yard) == 1
    assert Treatment.objects.of_yard(yard).get(code="REBED_SEALANT").hours_high == Decimal("5.00")
    assert (cautions_load(yard=yard), materials_load(yard=yard), treatments_load(yard=yard)) == (0, 0, 0)


def test_yards_have_copies_of_their_own(yard: Yard) -> None:
    other = YardFactory.create()
    load(yard)
    assert not Treatment.objects.of_yard(other).exists()


def test_every_operation_of_the_stock_list_can_be_priced(yard: Yard) -> None:
    load(yard)
    prices = price_list_of(yard, on_date=TODAY)
    for treatment in Treatment.objects.of_yard(yard):
        operation = Operation(
            treatment=treatment,
            quantity=Decimal(2),
            hours_low=treatment.hours_low,
            hours_likely=treatment.hours_likely,
            hours_high=treatment.hours_high,
        )
        price = job_price([cost_of(operation)], prices)
        assert price.net > 0
        assert price.hours_ceiling >= price.hours_likely


def test_packs_arrive_with_their_material_and_only_with_a_new_one(yard: Yard) -> None:
    materials_load(yard=yard)
    sealant = Material.objects.of_yard(yard).get(code="sealant")
    assert sealant.charged_by == "pack"
    assert [(pack.name, pack.size, pack.price) for pack in sealant.packs.all()] == [
        ("cartridge", Decimal(290), Decimal("16.00")),
        ("sausage", Decimal(600), Decimal("29.00")),
    ]
    sealant.packs.all().delete()
    assert materials_load(yard=yard) == 0
    assert not sealant.packs.exists()


def test_facts_of_an_operation_arrive_as_they_are(yard: Yard) -> None:
    load(yard)
    (item,) = [item for item in catalogue_items("treatments") if item["code"] == "SCARF_LENGTH"]
    treatment = Treatment.objects.of_yard(yard).get(code="SCARF_LENGTH")
    for name in ("steps", "tools", "needs", "materials", "extras", "cautions", "needs_dry_weather", "limits"):
        assert getattr(treatment, name) == item[name]
    assert ThreePoint(treatment.hours_low, treatment.hours_likely, treatment.hours_high) == ThreePoint(
        Decimal(item["hours_low"]), Decimal(item["hours_likely"]), Decimal(item["hours_high"])
    )


@pytest.mark.parametrize(
    ("change", "field"),
    [
        pytest.param({"hours_low": "9"}, "treatments.0.likely", id="hours out of order"),
        pytest.param({"hours_high": "a day"}, "treatments.0.hours_high", id="prose for hours"),
        pytest.param({"cautions": ["DRAGONS"]}, "treatments.0.cautions", id="unknown caution"),
        pytest.param(
            {"materials": [{"item": "gold", "low": "1", "likely": "1", "high": "1"}]},
            "treatments.0.materials",
            id="unknown material",
        ),
        pytest.param(
            {"materials": [{"item": "rags", "low": "1", "likely": "a few", "high": "9"}]},
            "treatments.0.materials.rags.likely",
            id="prose for a quantity",
        ),
        pytest.param(
            {
                "steps": [
                    {
                        "text": "Coat.",
                        "wait": {
                            "for": "recoat",
                            "hours_low": "overnight",
                            "hours_likely": "20",
                            "hours_high": "24",
                            "cold_factor": "2",
                            "since_step": 1,
                        },
                    }
                ]
            },
            "treatments.0.steps[0].wait.hours_low",
            id="prose for a wait",
        ),
    ],
)
def test_an_operation_that_contradicts_the_rest_is_refused(yard: Yard, change: dict[str, Any], field: str) -> None:
    cautions_load(yard=yard)
    materials_load(yard=yard)
    item = {**copy.deepcopy(catalogue_items("treatments")[0]), **change}
    with pytest.raises(Refused) as refused:
        treatments_load(yard=yard, items=[item])
    assert refused.value.field == field
    assert not Treatment.objects.of_yard(yard).exists()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"unit_price": "dear"}, "materials.0.unit_price"),
        ({"vat_class": "books"}, "materials.0.vat_class"),
        ({"charged_by": "the yard"}, "materials.0.charged_by"),
        (
            {"packs": [{"name": "tin", "plural": "tins", "size": "a litre", "price": "9"}]},
            "materials.0.packs.0.size",
        ),
        ({"packs": [{"name": "tin", "plural": "tins", "size": "1", "price": "dear"}]}, "materials.0.packs.0.price"),
        ({"packs": [{"name": "tin", "plural": "tins", "size": "0", "price": "9"}]}, "materials.0.packs.0.size"),
    ],
)
def test_a_material_that_makes_no_sense_is_refused(yard: Yard, change: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refused:
        materials_load(yard=yard, items=[{**catalogue_items("materials")[0], **change}])
    assert refused.value.field == field
