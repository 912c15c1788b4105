"""The workshop: operations, materials, and the jobs made of them."""

from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from tests.factories.yard import CREATED, YardFactory
from workshop.models import Caution, Job, Material, MaterialPack, Operation, Treatment


class CautionFactory(DjangoModelFactory[Caution]):
    class Meta:
        model = Caution

    yard = factory.SubFactory(YardFactory)
    code = factory.Sequence(lambda n: f"CARE_{n}")
    title = factory.Sequence(lambda n: f"Care {n}")
    text = "Mind it."


class MaterialFactory(DjangoModelFactory[Material]):
    class Meta:
        model = Material

    yard = factory.SubFactory(YardFactory)
    code = factory.Sequence(lambda n: f"material_{n}")
    name = factory.Sequence(lambda n: f"Material {n}")
    unit = "ml"
    unit_price = Decimal("0.0550")
    waste_pct = Decimal("10.00")


class MaterialPackFactory(DjangoModelFactory[MaterialPack]):
    """A cartridge of 290 ml. Give it a `material`."""

    class Meta:
        model = MaterialPack

    yard = factory.SelfAttribute("material.yard")
    name = "cartridge"
    plural = "cartridges"
    size = Decimal("290.000")
    price = Decimal("16.00")


class TreatmentFactory(DjangoModelFactory[Treatment]):
    """Counted by the fitting, one to three hours."""

    class Meta:
        model = Treatment

    yard = factory.SubFactory(YardFactory)
    code = factory.Sequence(lambda n: f"OPERATION_{n}")
    name = factory.Sequence(lambda n: f"Operation {n}")
    unit = "fitting"
    steps = factory.List([factory.Dict({"text": "Do it.", "wait": None})])
    hours_low = Decimal("1.00")
    hours_likely = Decimal("1.50")
    hours_high = Decimal("3.00")
    setup_hours = Decimal("0.30")
    basis = "common practice, no source"


class JobFactory(DjangoModelFactory[Job]):
    """A proposed job. Give it an `inspection`."""

    class Meta:
        model = Job

    yard = factory.SelfAttribute("inspection.yard")
    boat = factory.SelfAttribute("inspection.boat")
    title = factory.Sequence(lambda n: f"Job {n}")
    key = factory.Sequence(lambda n: f"component:{n}")
    if_left = "It gets worse."
    created_at = CREATED
    changed_at = CREATED


class OperationFactory(DjangoModelFactory[Operation]):
    """One operation. Give it a `job` and a `finding` of the same inspection."""

    class Meta:
        model = Operation

    yard = factory.SelfAttribute("job.yard")
    treatment = factory.SubFactory(TreatmentFactory, yard=factory.SelfAttribute("..yard"))
    quantity = Decimal("1.00")
    hours_low = Decimal("1.00")
    hours_likely = Decimal("1.50")
    hours_high = Decimal("3.00")
    position = factory.Sequence(lambda n: n + 1)


__all__ = ["CautionFactory", "JobFactory", "MaterialFactory", "OperationFactory", "TreatmentFactory"]
