"""Objects for tests, made the shortest legal way. Nothing in them is random."""

from tests.factories.yard import (
    BoatFactory,
    ComponentClassFactory,
    ComponentFactory,
    MemberFactory,
    OwnerFactory,
    SpotFactory,
    TechnicianFactory,
    UserFactory,
    YardFactory,
)

__all__ = [
    "BoatFactory",
    "ComponentClassFactory",
    "ComponentFactory",
    "MemberFactory",
    "OwnerFactory",
    "SpotFactory",
    "TechnicianFactory",
    "UserFactory",
    "YardFactory",
]
