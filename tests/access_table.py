"""Who may do what at which address: the table that every address is held against.

A row says for one route and method what each of five callers is answered. Routes are written as in the URL
configuration; `at` names, for each placeholder, the row of *our* yard (see `whole_worlds`) that is asked for. The
stranger is a manager of another yard who asks for rows of ours: at a list or a setting of "the" yard they see and
change their own, which is right, and never ours, which the walk looks for in the answer.

Methods that a route has no row for must be refused to everybody. A new route or method without a row fails the
walk: add one with its reason. The helpers below say in one word what most routes are.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

ROLES: Final = ("manager", "technician", "stranger", "link", "nobody")
API: Final = "api/v1/"


@dataclass(frozen=True, slots=True)
class Row:
    """What each caller is answered at a route with a method.

    Args:
        route: as in the URL configuration.
        method: GET stands for HEAD as well.
        answers: a status for manager, technician, stranger, link (the holder of an owner's link, not signed in) and
            nobody, in this order.
        why: in a sentence.
        at: what stands for the placeholders, by the names of `whole_worlds`.
        body: what is sent, as JSON to the API and as a form to pages; with nothing in it, a caller who is let in is
            told what is missing.
        query: after the address.
    """

    route: str
    method: str
    answers: tuple[int, int, int, int, int]
    why: str
    at: Mapping[str, str] = field(default_factory=dict)
    body: Mapping[str, Any] | None = None
    query: str = ""

    @property
    def name(self) -> str:
        return f"{self.method} {self.route}"


# --- the API: nobody and an owner's link get 401 everywhere but at the open doors -----------------
def _api(method: str, route: str, three: tuple[int, int, int], why: str, **more: Any) -> Row:
    return Row(f"{API}{route}", method, (*three, 401, 401), why, **more)


def _lists(name: str, *, managers_only: bool = False) -> Row:
    if managers_only:
        return _api("GET", f"{name}/", (200, 403, 200), "a list for managers, of the own yard")
    return _api("GET", f"{name}/", (200, 200, 200), "members read their own yard's list")


def _shows(route: str, at: Mapping[str, str], *, managers_only: bool = False, **more: Any) -> Row:
    if managers_only:
        return _api("GET", route, (200, 403, 404), "managers read it; another yard's is not there", at=at, **more)
    return _api("GET", route, (200, 200, 404), "members read it; another yard's is not there", at=at, **more)


def _enters(name: str, *, by: str, answer: int = 400) -> Row:
    """POST to a list, with nothing in it: who may is told what is missing."""
    technician = answer if by == "members" else 403
    return _api("POST", f"{name}/", (answer, technician, answer), f"{by} enter one in their own yard", body={})


def _acts(
    method: str, route: str, at: Mapping[str, str], answer: int, *, by: str, why: str = "", **more: Any
) -> Row:
    technician = answer if by == "members" else 403
    return _api(method, route, (answer, technician, 404), why or f"{by} do it in their own yard", at=at, **more)


def _api_rows() -> Iterator[Row]:
    for route in ("", "schema/", "docs/", "problems/"):
        yield Row(f"{API}{route}", "GET", (200,) * 5, "says nothing about any yard")
    yield Row(f"{API}tablet/", "GET", (200,) * 5, "what the server speaks and what time it is")
    for method in ("GET", "POST", "PUT", "PATCH", "DELETE"):
        yield Row(rf"{API}^[\s\S]*$", method, (404,) * 5, "there is no such address")
    yield Row(f"{API}devices/", "POST", (400,) * 5, "who signs in is nobody yet", body={})
    yield _lists("devices")
    yield _shows("devices/<int:pk>/", {"pk": "device"})
    yield _acts(
        "DELETE", "devices/<int:pk>/", {"pk": "device"}, 204, by="members", why="one's own key is one's own"
    )
    yield Row(f"{API}devices/by-code/", "POST", (400,) * 5, "who signs in is nobody yet", body={})
    yield _lists("device-codes", managers_only=True)
    yield _api("POST", "device-codes/", (201, 403, 201), "managers let tablets into their own yard", body={})
    yield _shows("device-codes/<int:pk>/", {"pk": "device_code"}, managers_only=True)
    yield _acts("DELETE", "device-codes/<int:pk>/", {"pk": "device_code"}, 204, by="managers")
    yield _api("POST", "unsent/", (422, 403, 422), "managers load it into their own yard", body={})
    yield _api("GET", "tablet/members/", (200, 200, 200), "members of the own yard")
    yield _acts("PUT", "members/<int:pk>/pin/", {"pk": "member"}, 400, by="members", body={}, why="one's own")
    yield _acts("DELETE", "members/<int:pk>/pin/", {"pk": "member"}, 204, by="members", why="one's own")
    yield _api("GET", "me/", (200, 200, 200), "each sees themselves")

    yield _api("GET", "yard/", (200, 200, 200), "the own yard")
    yield _api("PATCH", "yard/", (428, 403, 428), "managers change their own yard", body={})
    yield _api("GET", "climate/", (200, 200, 200), "the own yard's")
    yield _api("PUT", "climate/", (400, 403, 400), "managers change their own yard's", body={})
    yield _api("GET", "holidays/", (200, 200, 200), "the own yard's")
    yield _api("GET", "rules/", (200, 200, 200), "members read what the own yard judges by")
    yield _api("POST", "rules/", (400, 403, 400), "managers set their own yard's", body={})
    yield _api("GET", "bench/moisture/", (200, 200, 200), "members reckon with the own yard's climate")
    for name in ("drying", "seam", "coat", "screw"):
        yield _api("GET", f"bench/{name}/", (400, 400, 400), "members reckon; told what is needed")
    yield _lists("seasons")
    yield _shows("seasons/<int:year>/", {"year": "season"})
    yield _api(
        "PUT", "seasons/<int:year>/", (400, 403, 400), "managers enter their own", at={"year": "season"}, body={}
    )
    yield _shows("seasons/<int:year>/figures/", {"year": "season"})
    yield _lists("hourly-rates")
    yield _shows("hourly-rates/<trade:trade>/", {"trade": "trade"})
    yield _api(
        "PUT",
        "hourly-rates/<trade:trade>/",
        (400, 403, 400),
        "managers enter their own",
        at={"trade": "trade"},
        body={},
    )
    yield _lists("vat-classes")
    yield _shows("vat-classes/<code:code>/", {"code": "vat_class"})
    yield _api(
        "PUT",
        "vat-classes/<code:code>/",
        (400, 403, 400),
        "managers enter their own",
        at={"code": "vat_class"},
        body={},
    )
    yield _lists("members")
    yield _enters("members", by="managers")
    yield _shows("members/<int:pk>/", {"pk": "member"})
    yield _acts("PATCH", "members/<int:pk>/", {"pk": "member"}, 428, by="managers", body={})
    yield _lists("owners", managers_only=True)
    yield _enters("owners", by="managers")
    yield _shows("owners/<int:pk>/", {"pk": "owner"}, managers_only=True)
    yield _acts("PATCH", "owners/<int:pk>/", {"pk": "owner"}, 428, by="managers", body={})

    yield _lists("boats")
    yield _enters("boats", by="managers")
    yield _shows("boats/<int:pk>/", {"pk": "boat"})
    yield _acts("PATCH", "boats/<int:pk>/", {"pk": "boat"}, 428, by="managers", body={})
    yield _shows("boats/<int:pk>/drawing/", {"pk": "boat"})
    yield _acts("PUT", "boats/<int:pk>/drawing/", {"pk": "boat"}, 422, by="managers")
    yield _acts("DELETE", "boats/<int:pk>/drawing/", {"pk": "boat"}, 204, by="managers")
    yield _shows("boats/<int:pk>/tags/", {"pk": "boat"}, managers_only=True)
    yield _api("GET", "tags/unused/", (200, 403, 200), "managers print them for their own yard", query="count=1")
    for name in ("", "csv/", "sheet/"):
        yield _api("GET", f"picking-list/{name}", (200, 200, 200), "members fetch for their own yard's jobs")
    yield _lists("components")
    yield _enters("components", by="managers")
    yield _shows("components/<int:pk>/", {"pk": "component"})
    yield _acts("PATCH", "components/<int:pk>/", {"pk": "component"}, 428, by="managers", body={})
    yield _acts("POST", "components/<int:pk>/remove/", {"pk": "component"}, 200, by="managers")
    yield _lists("spots")
    yield _enters("spots", by="members")
    yield _shows("spots/<uuid:pk>/", {"pk": "spot"})
    yield _shows("spots/<uuid:pk>/history/", {"pk": "spot"})
    surface = {"pk": "surface"}
    yield _lists("surfaces")
    yield _enters("surfaces", by="managers")
    yield _shows("surfaces/<int:pk>/", surface)
    yield _acts("PATCH", "surfaces/<int:pk>/", surface, 428, by="managers", body={})
    yield _shows("surfaces/<int:pk>/works/", surface)
    yield _acts("POST", "surfaces/<int:pk>/works/", surface, 400, by="members", body={})
    yield _acts(
        "POST",
        "surfaces/<int:pk>/works/<int:work>/strike/",
        {**surface, "work": "surface_work"},
        201,
        by="managers",
    )
    yield _shows("surfaces/<int:pk>/advice/", surface)
    yield _acts("POST", "surfaces/<int:pk>/strip/", surface, 422, by="managers", why="no strip of it is advised")
    yield _acts("POST", "surfaces/<int:pk>/verification/", surface, 400, by="members", body={})
    for name, kind in (
        ("component-classes", "class"),
        ("signs", "sign"),
        ("treatments", "treatment"),
        ("materials", "material"),
        ("cautions", "caution"),
    ):
        yield _lists(name)
        yield _shows(f"{name}/<code:code>/", {"code": kind})
    yield _acts("PATCH", "materials/<code:code>/", {"code": "material"}, 428, by="managers", body={})

    template = {"pk": "template"}
    yield _lists("templates")
    yield _enters("templates", by="managers")
    yield _shows("templates/<int:pk>/", template)
    yield _acts("PATCH", "templates/<int:pk>/", template, 428, by="managers", body={})
    yield _shows("templates/<int:pk>/versions/", template)
    yield _shows("templates/<int:pk>/versions/<int:number>/", {**template, "number": "version"})
    version = {**template, "number": "version"}
    yield _shows("templates/<int:pk>/versions/<int:number>/preview/", version)
    beside = {**version, "other": "one"}
    yield _shows("templates/<int:pk>/versions/<int:number>/compared-with/<int:other>/", beside)
    yield _acts("POST", "templates/<int:pk>/draft/copy/", template, 428, by="managers", body={})
    yield _shows("templates/<int:pk>/draft/", template)
    yield _acts("POST", "templates/<int:pk>/draft/", template, 201, by="managers")
    yield _acts("PUT", "templates/<int:pk>/draft/", template, 428, by="managers", body={})
    yield _acts("DELETE", "templates/<int:pk>/draft/", template, 428, by="managers")
    yield _acts("POST", "templates/<int:pk>/draft/publish/", template, 428, by="managers")

    inspection = {"pk": "inspection"}
    yield _lists("inspections")
    yield _enters("inspections", by="members")
    yield _shows("inspections/<int:pk>/", inspection)
    yield _shows("inspections/<int:pk>/launch/", inspection)
    yield _shows("inspections/<int:pk>/route/", inspection)
    yield _shows("inspections/<int:pk>/package/", inspection)
    yield _acts("PUT", "inspections/<int:pk>/launch/", inspection, 428, by="managers", body={})
    yield _acts("POST", "inspections/<int:pk>/entries/", inspection, 400, by="members", body={})
    yield _acts("POST", "inspections/<int:pk>/close/", inspection, 200, by="members")
    yield _lists("entries")
    yield _shows("entries/<uuid:pk>/", {"pk": "entry"})
    yield _lists("set-aside", managers_only=True)
    yield _shows("set-aside/<int:pk>/", {"pk": "set_aside"}, managers_only=True)
    yield _acts("POST", "set-aside/<int:pk>/place/", {"pk": "set_aside"}, 400, by="managers", body={})
    yield _acts("POST", "set-aside/<int:pk>/dismiss/", {"pk": "set_aside"}, 400, by="managers", body={})
    photo = {"sha256": "photo"}
    yield _api("POST", "photos/missing/", (400, 400, 400), "members ask for their own yard", body={})
    yield _shows("photos/<digest:sha256>/", photo)
    yield _api("PUT", "photos/<digest:sha256>/", (422, 422, 422), "members send photos to their own yard", at=photo)
    for size in ("thumbnail", "report", "original"):
        yield _shows("photos/<digest:sha256>/content/", photo, query=f"size={size}")
    finding = {"pk": "finding"}
    yield _lists("findings")
    yield _shows("findings/<uuid:pk>/", finding)
    yield _acts("POST", "findings/<uuid:pk>/overruling/", finding, 400, by="managers", body={})
    yield _acts("DELETE", "findings/<uuid:pk>/overruling/", finding, 200, by="managers")
    yield _acts("POST", "findings/<uuid:pk>/acknowledgement/", finding, 200, by="managers")
    yield _acts("POST", "findings/<uuid:pk>/second-look/", finding, 400, by="managers", body={})
    yield _acts("DELETE", "findings/<uuid:pk>/second-look/", finding, 200, by="managers")
    yield _acts("POST", "findings/<uuid:pk>/joining/", finding, 400, by="managers", body={})
    yield _acts("DELETE", "findings/<uuid:pk>/joining/", {"pk": "double"}, 200, by="managers")
    for deed in ("assessment", "jobs"):
        yield _api("POST", f"findings/{deed}/", (400, 403, 400), "managers tick findings of their own", body={})
    yield _api("GET", "learned-hours/", (200, 403, 200), "managers read what their own yard's hours say")
    yield _acts("POST", "learned-hours/<code:code>/adopt/", {"code": "treatment"}, 400, by="managers", body={})
    yield _api("GET", "learned-rates/", (200, 403, 200), "managers read what their own yard has learned")
    yield _api("GET", "overrulings/report/", (200, 403, 200), "managers count their own yard's")
    yield _lists("due-back")
    feed = {"pk": "calendar"}
    yield _lists("calendar-feeds", managers_only=True)
    yield _enters("calendar-feeds", by="managers", answer=201)
    yield _shows("calendar-feeds/<uuid:pk>/", feed, managers_only=True)
    yield _acts("DELETE", "calendar-feeds/<uuid:pk>/", feed, 204, by="managers")

    job = {"pk": "job"}
    yield _lists("jobs")
    yield _shows("jobs/<int:pk>/", job)
    yield _shows("jobs/<int:pk>/price/", job)
    yield _shows("jobs/<int:pk>/sheet/", job)
    yield _acts("PATCH", "jobs/<int:pk>/", job, 428, by="managers", body={})
    yield _acts("POST", "jobs/<int:pk>/drop/", job, 422, by="managers", why="it is with the decider")
    yield _acts("POST", "jobs/<int:pk>/alternative/", job, 400, by="managers", body={})
    yield _acts("POST", "jobs/<int:pk>/needs/", job, 400, by="managers", body={})
    yield _acts("POST", "jobs/<int:pk>/propose-again/", job, 422, by="managers", why="it is with the decider")
    yield _acts("POST", "jobs/<int:pk>/extra-work/", job, 400, by="members", body={})
    yield _acts("POST", "jobs/<int:pk>/split/", job, 400, by="managers", body={})
    yield _api("POST", "jobs/join/", (400, 403, 400), "managers join jobs of their own yard", body={})
    yield _acts("POST", "jobs/<int:pk>/start/", job, 422, by="members", why="it is not approved yet")
    yield _acts("POST", "jobs/<int:pk>/done/", job, 422, by="members", why="it was not started")
    yield _acts("POST", "jobs/<int:pk>/holds/", job, 400, by="members", body={})
    yield _shows("jobs/<int:pk>/steps/", job)
    yield _acts("POST", "jobs/<int:pk>/ticks/", job, 400, by="members", body={})
    yield _acts("POST", "jobs/<int:pk>/meter-readings/", job, 400, by="members", body={})
    yield _acts("POST", "jobs/<int:pk>/air/", job, 400, by="members", body={})
    yield _acts("POST", "jobs/<int:pk>/stop/", job, 400, by="members", body={})
    yield _lists("holds")
    yield _shows("holds/<int:pk>/", {"pk": "hold"})
    yield _acts("POST", "holds/<int:pk>/release/", {"pk": "hold"}, 200, by="members")
    quote = {"pk": "quote"}
    yield _lists("quotes")
    yield _enters("quotes", by="managers")
    yield _shows("quotes/<int:pk>/", quote)
    yield _shows("quotes/<int:pk>/preview/", quote)
    yield _shows("quotes/<int:pk>/content/", quote)
    yield _shows("quotes/<int:pk>/history/", quote)
    yield _shows("quotes/<int:pk>/threads/", quote)
    sent = "the quote of the table is out; only a draft has such a preview"
    yield _api("GET", "quotes/<int:pk>/preview/report/", (422, 422, 404), sent, at=quote)
    yield _acts("POST", "quotes/<int:pk>/remind/", quote, 422, by="managers", why="the last mail is too fresh")
    yield _acts("PATCH", "quotes/<int:pk>/", quote, 428, by="managers", body={})
    yield _acts("POST", "quotes/<int:pk>/send/", quote, 422, by="managers", why="it was sent already")
    yield _acts("POST", "quotes/<int:pk>/withdraw/", quote, 200, by="managers")
    yield _acts("POST", "quotes/<int:pk>/supersede/", quote, 201, by="managers")
    yield _acts("POST", "quotes/<int:pk>/link/", quote, 200, by="managers")
    yield _acts("DELETE", "quotes/<int:pk>/link/", quote, 204, by="managers")
    yield _acts("POST", "quotes/<int:pk>/addendum/", quote, 400, by="managers", body={})
    yield _acts("POST", "quotes/<int:pk>/options/", quote, 400, by="managers", body={})
    yield _acts(
        "DELETE", "quotes/<int:pk>/options/<int:group>/", {**quote, "group": "group"}, 422, by="managers",
        why="it was sent already",
    )  # fmt: skip
    yield _enters("decisions/none", by="managers")
    yield _lists("decisions")
    yield _enters("decisions", by="managers")
    yield _shows("decisions/<int:pk>/", {"pk": "decision"})
    yield _lists("replies")
    yield _enters("replies", by="managers")
    yield _shows("replies/<int:pk>/", {"pk": "reply"})
    yield _lists("reports")
    yield _shows("reports/<int:pk>/", {"pk": "report"})
    yield _shows("reports/<int:pk>/content/", {"pk": "report"})
    yield _lists("work-logs")
    yield _enters("work-logs", by="members")
    yield _shows("work-logs/<int:pk>/", {"pk": "work_log"})
    yield _lists("material-logs")
    yield _enters("material-logs", by="members")
    yield _shows("material-logs/<int:pk>/", {"pk": "material_log"})
    yield _lists("verifications")
    yield _enters("verifications", by="members")
    yield _shows("verifications/<int:pk>/", {"pk": "verification"})
    yield _acts("POST", "verifications/<int:pk>/second-look/", {"pk": "verification"}, 400, by="members", body={})
    yield _lists("outbox", managers_only=True)
    yield _shows("outbox/<int:pk>/", {"pk": "outbox"}, managers_only=True)
    yield _acts("POST", "outbox/<int:pk>/send-again/", {"pk": "outbox"}, 200, by="managers")


# --- pages: who is not signed in is led to the sign-in ---------------------------------------------
def _page(method: str, route: str, three: tuple[int, int, int], why: str, **more: Any) -> Row:
    return Row(route, method, (*three, 302, 302), why, **more)


def _reads(route: str, at: Mapping[str, str] | None = None, **more: Any) -> Row:
    at = at or {}
    of_another_yard = 404 if at else 200
    return _page("GET", route, (200, 200, of_another_yard), "members read their own yard's page", at=at, **more)


def _posts(route: str, at: Mapping[str, str], answer: int, **more: Any) -> Row:
    why = more.pop("why", "a manager of the yard does it")
    return _page("POST", route, (answer, 403, 404), why, at=at, **more)


def _works(route: str, at: Mapping[str, str], answer: int) -> Row:
    return _page("POST", route, (answer, answer, 404), "members do it in their own yard", at=at, body={})


def _link_page(method: str, route: str, answer: int, why: str, **more: Any) -> Row:
    """Whoever has the address is let in; the stranger has that of their own yard, and nobody a wrong one."""
    stranger = 404 if more.get("at") else answer
    return Row(f"o/<str:token>/{route}", method, (answer, answer, stranger, answer, 404), why, **more)


def _web_rows() -> Iterator[Row]:
    yield Row("healthz", "GET", (200,) * 5, "says nothing about any yard")
    yield Row("readyz", "GET", (200,) * 5, "says nothing about any yard")
    for method in ("GET", "POST", "PUT", "PATCH", "DELETE"):
        yield Row("", method, (302,) * 5, "leads on to the season")
    yield Row("sign-in/", "GET", (302, 302, 302, 200, 200), "the door; who is in is led on")
    for method in ("POST", "PUT"):
        yield Row("sign-in/", method, (302, 302, 302, 422, 422), "the door; who is in is led on", body={})
    for method in ("PATCH", "DELETE"):
        yield Row("sign-in/", method, (302, 302, 302, 405, 405), "who is in is led on, whatever they send")
    alone = "a passkey is the door's too; who is in is led on"
    yield Row("sign-in/passkey/", "GET", (302,) * 5, alone)
    yield Row("sign-in/passkey/", "POST", (302, 302, 302, 422, 422), alone, body={})
    yield Row("sign-out/", "POST", (302,) * 5, "out is out")
    for route in ("", "sw.js", "manifest.webmanifest"):
        yield Row(f"tablet/{route}", "GET", (200,) * 5, "the page's frame says nothing about any yard")
    yield _reads("season/")
    yield _page("GET", "season/<int:year>/", (200, 200, 404), "the yard's own seasons", at={"year": "season"})
    year = {"year": "season"}
    yield _page("GET", "season/<int:year>/season.csv", (200, 200, 404), "the yard's own seasons", at=year)
    yield _page(
        "POST", "season/<int:year>/hours/", (302, 403, 404), "managers state their yard's", at=year, body={}
    )
    for route in ("", "book.csv", "month.pdf", "calendars/"):
        yield _reads(f"due-back/{route}")
    calendars = "managers see which calendar addresses their own yard has"
    yield _page("GET", "due-back/calendars/list.csv", (200, 403, 200), calendars)
    yield _page("POST", "due-back/calendars/make/", (422, 403, 422), "managers make their own yard's", body={})
    yield _posts("due-back/calendars/<uuid:pk>/revoke/", {"pk": "calendar"}, 302)
    yield _page("POST", "due-back/weekly-mail/", (302, 302, 302), "each chooses for themselves", body={})
    yield _reads("picking-list/")
    spot = {"pk": "spot"}
    yield _page("GET", "spots/<uuid:pk>/place/", (200, 200, 404), "members place their own yard's spots", at=spot)
    yield _page("POST", "spots/<uuid:pk>/place/", (422, 422, 404), "members place them", at=spot, body={})
    kept = "managers set their own yard"
    for route in ("", "money/", "prices/", "prices/list.csv", "seasons/", "rules/"):
        yield _page("GET", f"settings/{route}", (200, 403, 200), kept)
    for route in ("yard/", "days/", "money/rate/", "money/vat/", "seasons/season/", "seasons/climate/"):
        yield _page("POST", f"settings/{route}", (422, 403, 422), kept, body={})
    material = {"pk": "material_key"}
    yield _page("GET", "settings/prices/<int:pk>/", (200, 403, 404), kept, at=material)
    yield _page("POST", "settings/prices/<int:pk>/", (422, 403, 404), kept, at=material, body={})
    yield _page("POST", "settings/rules/", (200, 403, 200), "they are shown what it would change", body={})
    yield _reads("search/")
    for route in ("search/", "search/list.csv"):
        yield _page("GET", route, (200, 200, 200), "members search their own yard", query="q=a")
    for route in ("parts/", "parts/list.csv", "spots/", "spots/list.csv"):
        yield _reads(route)
    for route in ("", "list.csv"):
        yield _reads(f"boats/{route}")
    own = "managers keep their own yard's boats, parts and owners"
    for route in ("owners/", "owners/owners.csv", "boats/new/"):
        yield _page("GET", route, (200, 403, 200), own)
    yield _page("POST", "boats/new/", (422, 403, 422), own, body={})
    for route, at in (
        ("boats/<int:pk>/change/", {"pk": "boat"}),
        ("boats/<int:pk>/parts/", {"pk": "boat"}),
        ("parts/<int:pk>/", {"pk": "component"}),
        ("boats/<int:pk>/surfaces/", {"pk": "boat"}),
        ("surfaces/<int:pk>/", {"pk": "surface"}),
        ("owners/<int:pk>/", {"pk": "owner"}),
    ):
        yield _page("GET", route, (200, 403, 404), own, at=at)
        yield _page("POST", route, (422, 403, 404), own, at=at, body={})
    yield _posts("parts/<int:pk>/remove/", {"pk": "component"}, 302)
    for route in ("boats/fleet/", "boats/fleet.csv", "boats/fleet.xlsx"):
        yield _page("GET", route, (200, 403, 200), "managers take their own yard's fleet in and out")
    yield _page("POST", "boats/fleet/", (422, 403, 422), "managers take in for their own yard", body={})
    yield _reads("bench/")
    yield _reads("boats/<int:pk>/", {"pk": "boat"})
    where = "a member is led to the spot, or to the boats where none of their yard's carries it"
    yield _page("GET", "t/<str:code>/", (302, 302, 302), where, at={"code": "tag"})
    yield _works("surfaces/<int:pk>/history/", {"pk": "surface"}, 422)
    line = {"pk": "surface", "work": "surface_work"}
    yield _posts("surfaces/<int:pk>/history/<int:work>/strike/", line, 302)
    yield _posts("surfaces/<int:pk>/strip/", {"pk": "surface"}, 422, why="no strip of it is advised")
    yield _posts("boats/<int:pk>/drawing/", {"pk": "boat"}, 422, why="no file is sent")
    yield _posts("boats/<int:pk>/drawing/remove/", {"pk": "boat"}, 302)
    yield _posts("boats/<int:pk>/inspection/", {"pk": "boat"}, 422, why="hers is open already")
    yield _reads("spots/<uuid:pk>/", {"pk": "spot"})
    finding = {"pk": "finding"}
    yield _reads("findings/<uuid:pk>/", finding)
    yield _posts("findings/<uuid:pk>/overruling/", finding, 422, body={})
    yield _posts("findings/<uuid:pk>/overruling/withdraw/", finding, 302)
    inspection = {"pk": "inspection"}
    yield _reads("inspections/<int:pk>/", inspection)
    yield _posts("inspections/<int:pk>/afloat/", inspection, 302)
    yield _posts("inspections/<int:pk>/close/", inspection, 302)
    yield _page("GET", "findings/", (200, 200, 200), "members read the findings of their own yard")
    yield _page("GET", "findings/list.csv", (200, 200, 200), "members read the findings of their own yard")
    yield _page("POST", "findings/act/", (422, 403, 422), "managers tick findings of their own", body={})
    yield _page("GET", "findings/doubles/", (200, 403, 200), "managers compare findings of their own")
    yield _page("POST", "findings/doubles/", (422, 403, 422), "managers join findings of their own", body={})
    for route in ("", "list.csv"):
        placed = "managers place what came to their own yard"
        yield _page("GET", f"findings/set-aside/{route}", (200, 403, 200), placed)
    aside = {"pk": "set_aside"}
    yield _page("GET", "findings/set-aside/<int:pk>/", (200, 403, 404), "managers place their own", at=aside)
    yield _posts("findings/set-aside/<int:pk>/", aside, 422, body={})
    yield _posts("findings/<uuid:pk>/second-look/", finding, 422, body={})
    for deed in ("seen", "second-look/back", "part"):
        yield _posts(f"findings/<uuid:pk>/{deed}/", finding, 302)
    yield _posts("inspections/<int:pk>/join/", inspection, 422, body={})
    yield _posts("inspections/<int:pk>/quote/", inspection, 422, body={})
    job = {"pk": "job"}
    yield _reads("jobs/<int:pk>/", job)
    yield _posts("jobs/<int:pk>/split/", job, 422, body={})
    for deed, answer in (("start", 422), ("meter", 422), ("air", 422), ("hours", 422), ("material", 422)):
        yield _works(f"jobs/<int:pk>/{deed}/", job, answer)
    yield _works("jobs/<int:pk>/extra-work/", job, 422)
    yield _works("jobs/<int:pk>/wait/", job, 422)
    yield _works("jobs/<int:pk>/done/", job, 422)
    step = "jobs/<int:pk>/steps/<int:operation>/<int:number>/"
    yield _works(step, {**job, "operation": "operation", "number": "one"}, 422)
    yield _works("jobs/<int:pk>/holds/<int:hold>/release/", {**job, "hold": "hold"}, 302)
    done = {"pk": "done_job"}
    yield _works("jobs/<int:pk>/verify/<uuid:finding>/", {**done, "finding": "done_finding"}, 422)
    looked = {**done, "verification": "verification"}
    yield _works("jobs/<int:pk>/second-look/<int:verification>/", looked, 422)
    quote = {"pk": "quote"}
    yield _page("GET", "quotes/", (200, 200, 200), "members read the quotes of their own yard")
    yield _page("GET", "quotes/list.csv", (200, 200, 200), "members read the quotes of their own yard")
    yield _reads("quotes/<int:pk>/", quote)
    yield _reads("quotes/<int:pk>/preview/", quote)
    sent = (422, 422, 404)  # the quote of the table is out; only a draft has such a preview
    yield _page("GET", "quotes/<int:pk>/preview.pdf", sent, "members look their own drafts over", at=quote)
    yield _reads("quotes/<int:pk>/report.pdf", {"pk": "done_quote"})
    yield _posts("quotes/<int:pk>/change/", quote, 422, body={})
    yield _posts("quotes/<int:pk>/ways/", quote, 422, body={})
    yield _posts("quotes/<int:pk>/choices/", quote, 422, body={})
    yield _posts("quotes/<int:pk>/choices/<int:group>/undo/", {**quote, "group": "group"}, 422, body={})
    yield _posts("quotes/<int:pk>/needs/", quote, 422, body={})
    yield _posts("quotes/<int:pk>/addendum/", quote, 422, body={})
    yield _posts("quotes/<int:pk>/send/", quote, 302, body={})
    yield _posts("quotes/<int:pk>/remind/", quote, 422)
    yield _posts("quotes/<int:pk>/withdraw/", quote, 302)
    yield _posts("quotes/<int:pk>/revise/", quote, 302)
    yield _posts("quotes/<int:pk>/lines/<int:line>/reply/", {**quote, "line": "line"}, 422, body={})
    yield _posts("quotes/<int:pk>/link/revoke/", quote, 302)
    yield _posts("quotes/<int:pk>/link/reissue/", quote, 302)
    yield _reads("templates/")
    yield _reads("templates/list.csv")
    yield _page("POST", "templates/begin/", (422, 403, 422), "managers begin one in their own yard", body={})
    template = {"pk": "template"}
    for route in ("", "compare/", "inspections/", "inspections/list.csv"):
        yield _reads(f"templates/<int:pk>/{route}", template)
    for route in ("", "preview/"):
        yield _reads(f"templates/<int:pk>/versions/<int:number>/{route}", {**template, "number": "version"})
    yield _posts("templates/<int:pk>/title/", template, 422, body={})
    yield _posts("templates/<int:pk>/draft/", template, 302)
    for route in ("steps", "checks", "move"):
        yield _posts(f"templates/<int:pk>/draft/{route}/", template, 422, body={})
    yield _posts("templates/<int:pk>/draft/remove/", template, 422, body={})
    for route in ("copy", "publish"):
        why = "managers write their own yard's drafts"
        yield _page("GET", f"templates/<int:pk>/draft/{route}/", (200, 403, 404), why, at=template)
        yield _posts(f"templates/<int:pk>/draft/{route}/", template, 422, body={})
    yield _posts("templates/<int:pk>/draft/drop/", template, 302, body={})
    yield _page("GET", "unsent/", (200, 403, 200), "managers load what their own tablets saved")
    yield _page("POST", "unsent/", (422, 403, 422), "managers load what their own tablets saved", body={})
    for route in ("", "list.csv"):
        yield _page("GET", f"tablets/{route}", (200, 403, 200), "managers see what their own yard let in")
    yield _page("POST", "tablets/code/", (200, 403, 200), "managers make a code for their own yard", body={})
    yield _posts("tablets/<int:pk>/revoke/", {"pk": "device"}, 302)
    yield _posts("tablets/codes/<int:pk>/revoke/", {"pk": "device_code"}, 302)
    yield _posts("tablets/members/<int:pk>/pin/", {"pk": "member"}, 422, body={})
    for route in ("", "list.csv"):
        yield _page("GET", f"people/{route}", (200, 403, 200), "managers see who works at their own yard")
    yield _page("POST", "people/invite/", (422, 403, 422), "managers invite to their own yard", body={})
    for route in ("", "list.csv"):
        yield _page("GET", f"audit/{route}", (200, 403, 200), "managers read what was done at their own yard")
    yield _posts("people/invitations/<int:pk>/revoke/", {"pk": "invitation"}, 302)
    person = {"pk": "member"}
    yield _page("GET", "people/<int:pk>/", (200, 403, 404), "managers see their own people", at=person)
    yield _posts("people/<int:pk>/role/", person, 422, body={})
    for deed in ("close", "reopen", "second-factor/off"):
        yield _posts(f"people/<int:pk>/{deed}/", person, 302)
    own = "log-in/second-factor/"
    yield _page("GET", own, (200, 200, 200), "each sees their own")
    proof = "each changes their own, and proves who they are first"
    for route in ("app/", "keys/"):
        for method in ("GET", "POST"):
            yield _page(method, f"{own}{route}", (302, 302, 302), proof, body={})
    yield _page("GET", f"{own}spare-codes/", (404, 404, 404), "none has been made")
    for method in ("GET", "POST"):
        yield _page(method, f"{own}spare-codes/new/", (302, 302, 302), proof, body={})
        yield _page(method, f"{own}app/off/", (404, 404, 404), "none is on", body={})
        at_hand = {"pk": "one"}
        yield _page(method, f"{own}keys/<int:pk>/remove/", (302, 302, 302), proof, at=at_hand, body={})
        for route in ("", "code/", "key/"):
            answer = 200 if route == "" else 302
            why = "each proves who they are; by what they have not, they are led to what they have"
            yield _page(method, f"log-in/confirm/{route}", (answer,) * 3, why, body={})
        begun = "nobody's password has just been right"
        yield Row("sign-in/second-factor/", method, (302,) * 5, begun, body={})
    for route in ("", "list.csv"):
        yield _page("GET", f"people/links/{route}", (200, 403, 200), "managers see which keys their owners hold")
    yield _posts("people/links/<uuid:pk>/revoke/", {"pk": "owner_link"}, 302)
    yield _page("GET", "log-in/", (200, 200, 200), "each sees their own")
    for route in ("log-in/", "log-in/mail/"):
        yield _page("POST", route, (422, 422, 422), "each changes their own", body={})
    yield Row("password/forgotten/", "GET", (200,) * 5, "who has forgotten is nobody yet")
    yield Row("password/forgotten/", "POST", (422,) * 5, "who has forgotten is nobody yet", body={})
    for route, mailed in (("join", "invitation_key"), ("password/new", "password_key")):
        alone = "the address is the key to one log-in, and to nothing else"
        held = {"token": mailed}
        yield Row(f"{route}/<str:token>/", "GET", (200, 200, 200, 200, 404), alone, at=held)
        yield Row(f"{route}/<str:token>/", "POST", (422, 422, 422, 422, 404), alone, at=held, body={})
    for route in ("", "list.csv"):
        yield _page("GET", f"outbox/{route}", (200, 403, 200), "managers see what gave up in their own yard")
        hours = "managers see what their own yard's hours say"
        yield _page("GET", f"learned-hours/{route}", (200, 403, 200), hours)
        otherwise = "managers see where their own office judged otherwise"
        yield _page("GET", f"overrulings/{route}", (200, 403, 200), otherwise)
    yield _posts("learned-hours/<int:pk>/adopt/", {"pk": "treatment_id"}, 422, body={})
    yield _page("GET", "learned-rates/", (200, 403, 200), "managers see what their own rechecks say")
    yield _posts("outbox/<int:pk>/again/", {"pk": "outbox"}, 302)
    yield _reads("photos/<sha256:sha256>/<str:size>/", {"sha256": "photo", "size": "size"})

    yield _link_page("GET", "", 200, "the address is the key to one quote")
    for method in ("GET", "PUT", "PATCH", "DELETE"):
        back = "nothing but POST answers; the holder is led back to their own page"
        yield Row("o/<str:token>/jobs/<int:line>/", method, (302, 302, 302, 302, 404), back, at={"line": "line"})
    yield _link_page("POST", "jobs/<int:line>/", 422, "answers the quote's own jobs", at={"line": "line"}, body={})
    photo = {"sha256": "photo", "size": "size"}
    yield _link_page("GET", "photos/<sha256:sha256>/<str:size>/", 200, "shows the quote's own pictures", at=photo)
    yield _link_page("GET", "drawing/<sha256:sha256>/", 200, "shows the quote's own boat", at={"sha256": "drawing"})
    for method in ("GET", "POST"):
        alone = "the address is the key to one person's reminders, and to nothing else"
        answers, key = (200, 200, 200, 200, 404), {"token": "reminder_key"}
        yield Row("o/<str:token>/reminders/", method, answers, alone, at=key, body={})
    days = "the address is the key to one yard's due-back days, and to nothing else"
    yield Row("calendar/<str:token>.ics", "GET", (200, 200, 200, 200, 404), days, at={"token": "calendar_key"})
    for method in ("GET", "POST"):
        alone = "the address is the key to one member's weekly mail, and to nothing else"
        yield Row(
            "digest/<str:token>/", method, (200, 200, 200, 200, 404), alone, at={"token": "digest_key"}, body={}
        )
    yield _link_page("GET", "report.pdf", 200, "the quote's own report")


TABLE: Final = (*_api_rows(), *_web_rows())
