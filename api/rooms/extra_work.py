"""What was agreed on a job, and extra work that was found on it."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from api.fields import OfYard, Sheet, Text
from api.rooms.entries import PersonOut
from api.rooms.operations import OperationLine
from workshop.models import ExtraWork, Job
from workshop.services.ceiling import LONGEST_WHAT, Agreed, agreed_on


class AgreedOut(serializers.Serializer[Agreed]):
    """Hours that the decider agreed to, all approved more work included, and what was booked against them."""

    hours_likely = serializers.DecimalField(max_digits=9, decimal_places=2, source="likely")
    hours_ceiling = serializers.DecimalField(max_digits=9, decimal_places=2, source="ceiling")
    hours_booked = serializers.DecimalField(max_digits=9, decimal_places=2, source="booked")
    ask_again = serializers.BooleanField(help_text="true: ask the decider again now, before the ceiling is passed")
    quote_number = serializers.IntegerField(source="quote")


class ExtraWorkOut(serializers.ModelSerializer[ExtraWork]):
    by = PersonOut(read_only=True)

    class Meta:
        model = ExtraWork
        fields = ["id", "job", "what", "hours_likely", "hours_before", "hours_ceiling", "more", "by", "found_at"]
        read_only_fields = fields
        extra_kwargs = {"more": {"help_text": "the job to be quoted by an addendum; null: the ceiling has room"}}


class ExtraWorkSheet(Sheet):
    what = Text(max_length=LONGEST_WHAT, help_text="in the words in which the decider would read it")
    operations = serializers.ListField(child=OperationLine(), min_length=1, max_length=100)


class AddendumSheet(Sheet):
    jobs = OfYard(queryset=Job.objects.all(), many=True, allow_empty=False)
    valid_until = serializers.DateField(required=False, help_text="by the yard's usual validity when left out")


class WithAgreed(serializers.ModelSerializer[Job]):
    """A job with what stands agreed on it, read at once for all jobs of a list."""

    agreed = serializers.SerializerMethodField(help_text="null while nobody has said yes to it")

    @extend_schema_field(AgreedOut(allow_null=True))
    def get_agreed(self, job: Job) -> Any:
        context: dict[str, Any] = self.context  # type: ignore[assignment]  # a dict that the list's jobs share
        jobs, known = context.get("agreed", ((), {}))
        if job.pk not in jobs:
            listed: Any = self.parent.instance if isinstance(self.parent, serializers.ListSerializer) else [job]
            rows = list(listed)
            jobs, known = {row.pk for row in rows}, agreed_on(rows)
            context["agreed"] = (jobs, known)
        return AgreedOut(known[job.pk]).data if job.pk in known else None


__all__ = ["AddendumSheet", "AgreedOut", "ExtraWorkOut", "ExtraWorkSheet", "WithAgreed"]
