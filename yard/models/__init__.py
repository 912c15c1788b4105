from yard.models.boats import Boat, Build, Component, ComponentClass, PlanLevel, Spot
from yard.models.deeds import Deed, DeedKind
from yard.models.drawings import BoatDrawing
from yard.models.mail import Mail
from yard.models.outbox import OutboxRow
from yard.models.people import DeviceCode, DeviceToken, Invitation, Member, Owner, Role, User
from yard.models.scoping import YardOwned, YardQuerySet
from yard.models.surfaces import Surface
from yard.models.vat import VatClass, VatRate
from yard.models.yards import ClimateNormal, HourlyRate, Season, Yard

__all__ = [
    "Boat",
    "BoatDrawing",
    "Build",
    "ClimateNormal",
    "Component",
    "ComponentClass",
    "Deed",
    "DeedKind",
    "DeviceCode",
    "DeviceToken",
    "HourlyRate",
    "Invitation",
    "Mail",
    "Member",
    "OutboxRow",
    "Owner",
    "PlanLevel",
    "Role",
    "Season",
    "Spot",
    "Surface",
    "User",
    "VatClass",
    "VatRate",
    "Yard",
    "YardOwned",
    "YardQuerySet",
]
