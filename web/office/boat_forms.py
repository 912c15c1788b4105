"""Forms about a boat: what she is, whose she is, and the parts she is made of."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Final

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from web.base.forms import DayField, YardForm
from web.office.job_forms import DecimalField
from yard.languages import LANGUAGES, NAMES
from yard.models import Boat, Build, Member, Owner, Yard
from yard.models.people import Role
from yard.services.fleet import NewOwner

MM: Final = Decimal(1000)
LOCALES: Final = {"en": "en_GB", "de": "de_DE"}


class OwnerForm(YardForm):
    remembers_shown = True

    name = forms.CharField(label="Name", max_length=120, required=False)
    email = forms.CharField(label="E-mail", required=False, help_text="Reports and links go there.")
    phone = forms.CharField(label="Telephone", max_length=40, required=False)
    locale = forms.CharField(
        label="Language and country",
        required=False,
        help_text="Like en-GB, de-AT or nb: what is written and how figures look.",
    )


class MetresField(DecimalField):
    """A length of a boat, refused in the unit in which it is typed."""

    def __init__(self, least: str, most: str, **kwargs: Any) -> None:
        super().__init__(min_value=Decimal(least), max_value=Decimal(most), **kwargs)
        told = f"is outside what boats measure; give {least} to {most} m."
        for validator in self.validators:
            if isinstance(validator, (MinValueValidator, MaxValueValidator)):
                validator.message = told


class HullForm(YardForm):
    """What she is. Lengths are typed in metres and kept in millimetres."""

    name = forms.CharField(label="Name of the boat", max_length=120, required=False)
    build = forms.ChoiceField(label="Build", choices=Build.choices)
    material = forms.CharField(label="Material", max_length=120, required=False, help_text="Such as: larch on oak.")
    loa_mm = MetresField("1.5", "120", label="Length over all, m", help_text="Like 9.20.")
    beam_mm = MetresField("0.5", "30", label="Beam, m")
    year = forms.IntegerField(label="Built in", required=False)

    @property
    def hull(self) -> dict[str, Any]:
        """For the services, once the form was read."""
        read = self.cleaned_data
        return {
            "name": read["name"],
            "build": read["build"],
            "material": read["material"],
            "loa_mm": round(read["loa_mm"] * MM),
            "beam_mm": round(read["beam_mm"] * MM),
            "year": read["year"],
        }


class NewBoatForm(HullForm):
    """With her owner: one who is entered already, or a new one."""

    owner = forms.ModelChoiceField(
        label="Owner", queryset=Owner.objects.none(), required=False, empty_label="A new owner, named below"
    )
    owner_name = forms.CharField(label="New owner's name", max_length=120, required=False)
    owner_email = forms.CharField(label="New owner's e-mail", required=False, help_text="The report goes there.")
    owner_phone = forms.CharField(label="Telephone", max_length=40, required=False)
    owner_locale = forms.ChoiceField(
        label="Is written to in", choices=[(LOCALES[code], NAMES[code]) for code in LANGUAGES], required=False
    )
    decider = forms.ModelChoiceField(
        label="Who says yes or no", queryset=Member.objects.none(), required=False, empty_label="Her owner"
    )

    def __init__(self, yard: Yard, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["owner"].queryset = Owner.objects.of_yard(yard)  # type: ignore[attr-defined]
        self.fields["decider"].queryset = managers_of(yard)  # type: ignore[attr-defined]
        self.fields["decider"].label_from_instance = "{0.name}, for the yard itself".format  # type: ignore[attr-defined]

    @property
    def whose(self) -> Owner | NewOwner | None:
        read = self.cleaned_data
        if read["owner"] is not None:
            chosen: Owner = read["owner"]
            return chosen
        if not (read["owner_name"] or read["owner_email"]) and read["decider"] is not None:
            return None
        return NewOwner(
            name=read["owner_name"],
            email=read["owner_email"],
            phone=read["owner_phone"],
            locale=read["owner_locale"] or LOCALES["en"],
        )


class BoatForm(HullForm):
    """A boat who is here: her owners are ticked, and one of them or a manager decides."""

    remembers_shown = True
    one_thing = (frozenset({"loa_mm", "beam_mm"}), frozenset({"owners", "decider"}))

    owners = forms.ModelMultipleChoiceField(label="Owners", queryset=Owner.objects.none(), required=False)
    decider = forms.ChoiceField(label="Who says yes or no")
    left_on = DayField(label="Left the yard on", required=False, help_text="Empty while she is in its care.")

    def __init__(self, boat: Boat, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        owners = list(Owner.objects.of_yard(boat.yard_id))
        self.fields["owners"].queryset = Owner.objects.of_yard(boat.yard_id)  # type: ignore[attr-defined]
        self.fields["owners"].widget.attrs["size"] = min(8, max(3, len(owners)))
        self.deciders = {_key(who): who for who in (*owners, *managers_of(boat.yard_id), boat.decider)}
        self.fields["decider"].choices = [  # type: ignore[attr-defined]
            (key, who.name if isinstance(who, Owner) else f"{who.name}, for the yard itself")
            for key, who in self.deciders.items()
        ]

    @property
    def changes(self) -> dict[str, Any]:
        """For `boat_change`: what was changed."""
        read = self.cleaned_data
        whose = {
            "owners": list(read["owners"]),
            "decider": self.deciders[read["decider"]],
            "left_on": read["left_on"],
        }
        return {name: value for name, value in {**self.hull, **whose}.items() if name in self.changed}

    @staticmethod
    def of(boat: Boat) -> dict[str, Any]:
        """What the form shows first."""
        return {
            "name": boat.name,
            "build": boat.build,
            "material": boat.material,
            "loa_mm": Decimal(boat.loa_mm) / MM,
            "beam_mm": Decimal(boat.beam_mm) / MM,
            "year": boat.year,
            "owners": list(boat.owners.all()),
            "decider": f"owner-{boat.decider_owner_id}"
            if boat.decider_owner_id
            else f"member-{boat.decider_member_id}",
            "left_on": boat.left_on,
        }


class PartForm(YardForm):
    """A part that is on the boat."""

    remembers_shown = True
    one_thing = (frozenset({"name", "position"}),)

    name = forms.CharField(label="Name", max_length=120, required=False)
    position = forms.CharField(label="Where", max_length=120, required=False, help_text="Such as: port side.")
    species = forms.CharField(label="Wood", max_length=60, required=False)
    finish = forms.CharField(label="Finish", max_length=60, required=False)


def _key(decider: Owner | Member) -> str:
    return f"{decider._meta.model_name}-{decider.pk}"


def managers_of(yard: Yard | int) -> Any:
    """Those who may decide for the yard itself."""
    rows = Member.objects.of_yard(yard).filter(role=Role.MANAGER, left_on=None, user__is_active=True)
    return rows.select_related("user").order_by("name", "pk")


__all__ = ["BoatForm", "NewBoatForm", "OwnerForm", "PartForm"]
