"""The bench: five plain forms that reckon with wood and weather, for which nobody needs a finding.

Everything stands in the address, so that an answer can be sent to somebody else; nothing is kept.
"""

from __future__ import annotations

from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from inspections.selectors.air import month_climates_of
from web.base.members import MemberRequest, for_members
from web.base.pages import UNPROCESSABLE, page
from web.office.bench_forms import CALCULATORS
from web.office.bench_told import Bench
from yard.selectors import today_at


@require_safe
@for_members
def bench(request: MemberRequest) -> HttpResponse:
    yard = request.member.yard
    here = Bench(yard, today_at(yard, timezone.now()), month_climates_of(yard))
    given = request.GET.dict()
    forms = [calculator(here, given) for calculator in CALCULATORS]
    answers = [(form, form.answer()) for form in forms]
    refused = any(form.is_bound and form.errors for form in forms)
    return page(
        request,
        "bench.html",
        {
            "here": "bench",
            # Each form takes along what was asked of the others.
            "calculators": [
                (form, told, [pair for other in forms if other is not form for pair in other.said])
                for form, told in answers
            ],
            "any_asked": any(form.asked for form in forms),
            "has_climate": bool(here.months),
        },
        status=UNPROCESSABLE if refused else 200,
    )


__all__ = ["bench"]
