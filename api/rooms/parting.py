"""What a job costs and what it saves, and how jobs are split and joined: sheets of the room of jobs."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from api.fields import Identifier, OfYard, Sheet
from workshop.models import Job


class SplitSheet(Sheet):
    findings = serializers.ListField(
        child=Identifier(), min_length=1, max_length=100, help_text="of the job, to be done as a job of their own"
    )


class JoinSheet(Sheet):
    jobs = OfYard(
        queryset=Job.objects.all(), many=True, allow_empty=False, help_text="two or more; the first one goes on"
    )


class SavingOut(serializers.Serializer[Any]):
    """Against doing each of its findings as a job of its own."""

    hours = serializers.DecimalField(max_digits=8, decimal_places=2)
    net = serializers.DecimalField(max_digits=12, decimal_places=2)


class PriceOut(serializers.Serializer[Any]):
    """At today's rates and prices; a quote freezes its own when it is sent."""

    hours_likely = serializers.DecimalField(
        source="price.hours_likely", max_digits=8, decimal_places=2, help_text="as likely more as less"
    )
    hours_ceiling = serializers.DecimalField(source="price.hours_ceiling", max_digits=8, decimal_places=2)
    net_labour = serializers.DecimalField(source="price.net_labour", max_digits=12, decimal_places=2)
    net_materials = serializers.DecimalField(source="price.net_materials", max_digits=12, decimal_places=2)
    net = serializers.DecimalField(source="price.net", max_digits=12, decimal_places=2)
    saving = SavingOut()


__all__ = ["JoinSheet", "PriceOut", "SavingOut", "SplitSheet"]
