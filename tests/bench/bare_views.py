"""What a batch of entries costs when nothing is asked: the body is read and the rows are written.

No key, no rate, no permission; nothing is looked up, checked, locked or told to a broker. The rows are as many as
the service writes for the same body, in as many bulk_create.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import models, transaction
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from rest_framework.parsers import JSONParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inspections.models import Entry, EntryPhoto, Finding, Reading
from tests.bench.bare_models import PLAIN
from yard.models import OutboxRow, Spot


class OwnTables(APIView):
    """Into the service's own tables, with their constraints and triggers."""

    authentication_classes = ()
    permission_classes = ()
    throttle_classes = ()
    parser_classes = (JSONParser,)
    tables: Mapping[type[models.Model], type[models.Model]] = {model: model for model in PLAIN}

    def post(self, request: Request) -> Response:
        body: Any = request.data
        rows = self._rows(body)
        with transaction.atomic():
            for model, some in rows.items():
                model._default_manager.bulk_create(some)
        stored = {str(model._meta.model_name): len(rows[table]) for model, table in self.tables.items()}
        return Response({"stored": stored})

    def _rows(self, body: Mapping[str, Any]) -> dict[type[models.Model], list[models.Model]]:
        now = timezone.now()
        own: dict[str, Any] = {"yard_id": body["yard"]}
        spot, entry, reading, photo, finding, asked = (
            self.tables[model] for model in (Spot, Entry, Reading, EntryPhoto, Finding, OutboxRow)
        )
        rows: dict[type[models.Model], list[models.Model]] = {
            table: [] for table in (spot, entry, reading, photo, finding, asked)
        }
        for sheet in body["entries"]:
            key, place, observed_at = UUID(sheet["id"]), sheet.get("spot"), parse_datetime(sheet["observed_at"])
            component = body["component_of_check"][str(sheet["check"])]
            if place is not None:
                rows[spot].append(
                    spot(**own, **{**place, "id": UUID(place["id"])}, component_id=component, created_at=now)
                )
            where = {"component_id": component, "spot_id": UUID(place["id"]) if place else None}
            rows[entry].append(
                entry(
                    **own,
                    **where,
                    id=key,
                    inspection_id=body["inspection"],
                    answers_id=sheet["check"],
                    answer=sheet["answer"],
                    not_seen_reason=sheet.get("not_seen_reason", ""),
                    signs=sheet.get("signs", []),
                    size_mm=sheet.get("size_mm"),
                    water=sheet.get("water", ""),
                    seal=sheet.get("seal", ""),
                    note=sheet.get("note", ""),
                    author_id=body["author"],
                    sequence=sheet["sequence"],
                    observed_at=observed_at,
                    received_at=now,
                    digest=body["digest"],
                )
            )
            rows[reading] += [reading(**own, entry_id=key, **figure) for figure in sheet.get("readings", ())]
            rows[photo] += [
                photo(**own, entry_id=key, sha256=sha256, position=position)
                for position, sha256 in enumerate(sheet.get("photos", ()))
            ]
            if sheet["answer"] == "finding":
                rows[finding].append(
                    finding(
                        **own,
                        **where,
                        id=key,
                        boat_id=body["boat"],
                        inspection_id=body["inspection"],
                        entry_id=key,
                        found_at=observed_at,
                    )
                )
            if sheet["answer"] in ("finding", "not_seen"):
                rows[asked].append(
                    asked(
                        **own,
                        task="inspections.assess",
                        key=f"assess:{key}",
                        arguments={"entry_id": str(key)},
                        created_at=now,
                        not_before=now,
                    )
                )
        return rows


class PlainTables(OwnTables):
    """Into tables of the same columns that have neither keys to others, nor constraints, nor triggers."""

    tables = PLAIN


__all__ = ["OwnTables", "PlainTables"]
