"""A yard's own figures for the rules of judgement: adopted by a manager, with the reason, and never edited."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from inspections.judgement.rules import load_rules
from inspections.models import RuleEdition
from inspections.selectors.rules import standing_edition
from inspections.services.asking import ask_to_rejudge
from yard.models import Member, Yard
from yard.refusals import Refused

REASON_LENGTH = 2000
MOST_CHARACTERS = 20_000


@transaction.atomic
def rules_adopt(*, yard: Yard, by: Member, overrides: Mapping[str, Any], why: str, at: datetime) -> RuleEdition:
    """Judge by these figures from now on, and have all that is anybody's business judged again.

    The same figures again change nothing.

    Args:
        overrides: the yard's own figures, in the structure of the rule data; all of them, for they take the place
            of those before. Empty for the stock rules.

    Raises:
        Refused: no manager of the yard, no reason, or figures that make no sense; the field names which.
    """
    held: Yard = Yard.objects.select_for_update(no_key=True).get(pk=yard.pk)
    if by.yard_id != held.pk or not by.is_manager:
        raise Refused("by", f"{by.name} is no manager of this yard", "ask a manager")
    if not 1 <= len(why.strip()) <= REASON_LENGTH:
        raise Refused("why", "is missing or too long", f"say why, in at most {REASON_LENGTH} characters")
    if len(json.dumps(overrides)) > MOST_CHARACTERS:
        raise Refused("overrides", "are too long", f"give at most {MOST_CHARACTERS} characters")
    load_rules(overrides=overrides)
    standing = standing_edition(held)
    if standing is not None and standing.overrides == overrides:
        return standing
    edition: RuleEdition = RuleEdition.objects.create(
        yard=held, overrides=dict(overrides), why=why.strip(), adopted_by=by, adopted_at=at
    )
    ask_to_rejudge(held, at=at)
    return edition


__all__ = ["rules_adopt"]
