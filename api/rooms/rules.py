"""The rules of judgement: the stock figures with their sources, and a yard's own laid over them."""

from __future__ import annotations

import json
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import OfMember, versioned
from api.fields import Sheet, Text
from api.permissions import ManagersWrite
from inspections.judgement.rules import DEFAULT_RULES
from inspections.models import RuleEdition
from inspections.selectors.rules import rules_of, standing_edition
from inspections.services.rule_editions import REASON_LENGTH, rules_adopt


class RuleEditionOut(serializers.ModelSerializer[RuleEdition]):
    overrides = serializers.DictField(help_text="the yard's own figures, in the structure of the stock rules")

    class Meta:
        model = RuleEdition
        fields = ["id", "overrides", "why", "adopted_by", "adopted_at"]
        read_only_fields = fields


class RulesOut(serializers.Serializer[Any]):
    version = serializers.CharField(help_text="that judgements carry from now on")
    stock = serializers.DictField(help_text="the stock rules, each table with its source")
    own = RuleEditionOut(allow_null=True, help_text="null: the yard has the stock rules")


class RulesSheet(Sheet):
    overrides = serializers.DictField(
        help_text="all of the yard's own figures; they take the place of those before. Empty: the stock rules"
    )
    why = Text(max_length=REASON_LENGTH)


class RulesView(OfMember):
    permission_classes = [ManagersWrite]

    @extend_schema(summary="The rules the yard judges by", responses=RulesOut)
    def get(self, request: Request) -> Response:
        return versioned(request, self._shown())

    @extend_schema(
        summary="Judge by figures of one's own from now on", request=RulesSheet, responses={201: RulesOut}
    )
    def post(self, request: Request) -> Response:
        given = self.read(RulesSheet)
        rules_adopt(yard=self.yard, by=self.member, overrides=given["overrides"], why=given["why"], at=self.now)
        return versioned(request, self._shown(), status=status.HTTP_201_CREATED)

    def _shown(self) -> dict[str, Any]:
        own = standing_edition(self.yard)
        return {
            "version": rules_of(self.yard).version,
            "stock": json.loads(DEFAULT_RULES.read_text(encoding="utf-8")),
            "own": None if own is None else RuleEditionOut(own).data,
        }
