from __future__ import annotations

from django.db import models
from django.db.models import Q

from yard.database_rules import SameYard
from yard.models import Member, YardOwned


class KeptAnswer(YardOwned):
    """The answer to a request with an Idempotency-Key: the same request again gets the same answer."""

    database_rules = (SameYard("member"),)

    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=255)
    method = models.CharField(max_length=8)
    path = models.CharField(max_length=300)
    # of the request: the same key with another request is refused
    fingerprint = models.CharField(max_length=64)
    started_at = models.DateTimeField()
    status = models.PositiveSmallIntegerField(null=True, blank=True)
    body = models.TextField(blank=True)
    headers = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["member", "key"], name="one_answer_per_idempotency_key"),
            models.CheckConstraint(condition=~Q(key=""), name="idempotency_key_has_characters"),
        ]
        indexes = [models.Index(fields=["started_at"], name="kept_answers_by_age")]

    def __str__(self) -> str:
        return self.key
