"""Bare Django pages for somebody who is signed in: one that says a word, and one with a table of a yard's boats.

They go through the same middleware as the service's own pages. The table has as many rows and cells as the season
page, each cell printed as it is read from one query; nothing is counted, judged, reckoned or formatted.
"""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.template import engines

from yard.models import Boat, Member, User

CELLS = (
    "name",
    "build",
    "material",
    "loa_mm",
    "beam_mm",
    "year",
    "pk",
    "yard_id",
    "name",
    "build",
    "material",
    "year",
)
HEAD = "".join(f"<th>{name}</th>" for name in CELLS)
ROW = "".join(f"<td>{{{{ boat.{name} }}}}</td>" for name in CELLS)
WORD = engines["django"].from_string("<!doctype html><title>Bare</title><p>{{ request.user.username }}</p>")
TABLE = engines["django"].from_string(
    "<!doctype html><title>Bare</title><p>{{ request.user.username }}</p>"
    f"<table><thead><tr>{HEAD}</tr></thead>"
    f"<tbody>{{% for boat in boats %}}<tr>{ROW}</tr>{{% endfor %}}</tbody></table>"
)


@login_required
def word(request: HttpRequest) -> HttpResponse:
    return HttpResponse(WORD.render({}, request))


@login_required
def table(request: HttpRequest) -> HttpResponse:
    assert isinstance(request.user, User)
    member = Member.objects.get(user=request.user)
    boats = Boat.objects.filter(yard=member.yard_id).order_by("name")
    return HttpResponse(TABLE.render({"boats": boats}, request))


__all__ = ["CELLS", "table", "word"]
