"""The fleet as sheets: taken out as CSV or XLSX, looked through, and taken in as it was shown.

Between the two steps nothing is kept here: what was read goes along on the page, signed, and comes back with the
press on the button. It is good for an hour, for the member who chose the file.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final

from django import forms
from django.contrib import messages
from django.core import signing
from django.http import HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.datastructures import MultiValueDict
from django.views.decorators.http import require_http_methods, require_safe

from web.base.downloads import CSV, download
from web.base.forms import YardForm, first_refusal
from web.base.members import MemberRequest, for_managers
from web.base.pages import page
from web.office.boats import boats_of_address
from yard.fleet.columns import KINDS, SheetKind
from yard.fleet.files import MOST_BYTES, Cell, Grid, grids_read
from yard.fleet.plan import PlannedRow, fleet_plan
from yard.fleet.reading import Table, tables_read
from yard.fleet.stored import fleet_of, fleet_stored
from yard.fleet.writing import fleet_xlsx, sheet_csv
from yard.models import Build, ComponentClass, Member
from yard.refusals import Refused
from yard.selectors import today_at
from yard.services.fleet_taking import fleet_take

GOOD_FOR_SECONDS: Final = 3600
MOST_CHARACTERS_ALONG: Final = 4 * 1024 * 1024
FATES: Final = ("refused", "new", "changed", "unchanged")
XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class ManyFiles(forms.ClearableFileInput):
    allow_multiple_selected = True

    def value_from_datadict(self, data: Any, files: MultiValueDict[str, Any], name: str) -> Any:
        return files.getlist(name)


class FilesField(forms.FileField):
    widget = ManyFiles

    def clean(self, data: Any, initial: Any = None) -> Any:
        files = [super(FilesField, self).clean(each, initial) for each in data or [None]]
        if len(files) > len(KINDS):
            raise forms.ValidationError(f"are {len(files)}; choose at most {len(KINDS)}.")
        return files


class FilesForm(YardForm):
    file = FilesField(
        label="Files",
        help_text="One workbook (XLSX), or up to three CSV files in UTF-8: owners, boats, components.",
        error_messages={
            "required": "is missing; choose a CSV or XLSX file.",
            "missing": "is missing; choose a CSV or XLSX file.",
            "invalid": "is missing; choose a CSV or XLSX file.",
            "empty": "is empty; choose one with rows.",
        },
    )


@dataclass(frozen=True, slots=True)
class SheetTold:
    """What would become of a sheet: how many rows of each fate, which are to be looked at, which stay."""

    kind: SheetKind
    title: str
    counts: list[tuple[int, str]]
    rows: list[PlannedRow]
    unchanged: str


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def fleet(request: MemberRequest) -> HttpResponseBase:
    """Look a file through, or take in what was looked through."""
    if request.method != "POST":
        return _shown(request, FilesForm())
    if "along" in request.POST:
        return _take(request)
    form = FilesForm(request.POST, request.FILES)
    if not form.is_valid():
        return _shown(request, form, refused=first_refusal(form))
    try:
        return _planned(request, _grids(form.cleaned_data["file"]))
    except Refused as refusal:
        return _shown(request, FilesForm(), refused=refusal)


@require_safe
@for_managers
def csv(request: MemberRequest) -> HttpResponse:
    """One sheet of the boats that the address narrows to."""
    kind = KINDS.get(request.GET.get("sheet", ""), KINDS["boats"])
    rows = fleet_of(boats_of_address(request))[kind.name]
    return _file(request, sheet_csv(kind, rows).encode(), CSV, kind.name, "csv")


@require_safe
@for_managers
def xlsx(request: MemberRequest) -> HttpResponse:
    """The three sheets of the boats that the address narrows to."""
    return _file(request, fleet_xlsx(fleet_of(boats_of_address(request))), XLSX, "fleet", "xlsx")


def _file(request: MemberRequest, content: bytes, media_type: str, name: str, ending: str) -> HttpResponse:
    day = today_at(request.member.yard, timezone.now()).isoformat()
    return download(content, media_type, f"{name}-{day}.{ending}")


def _grids(files: Iterable[Any]) -> list[Grid]:
    grids = []
    for file in files:
        name = str(file.name)[-80:]
        # One byte more than is taken tells that there is more, without reading all of it.
        grids += grids_read(name, file.read(MOST_BYTES + 1))
    return grids


def _take(request: MemberRequest) -> HttpResponse:
    member = request.member
    try:
        along = signing.loads(request.POST["along"], salt=_salt(member), max_age=GOOD_FOR_SECONDS)
    except signing.BadSignature:
        old = Refused("file", "was looked through too long ago, or by somebody else", "choose it again")
        return _shown(request, FilesForm(), refused=old)
    grids = _unpacked(along["grids"])
    try:
        plan = fleet_take(
            yard=member.yard, tables=tables_read(grids), digest=along["digest"], by=member, at=timezone.now()
        )
    except Refused as refusal:
        return _planned(request, grids, refused=refusal)
    if plan.does_something:
        done = [
            f"{number} {kind.name if number != 1 else kind.one} {fate}"
            for kind in KINDS.values()
            for number, fate in _counts((row for row in plan.rows if row.kind == kind), ("new", "changed"))
        ]
        messages.success(request, f"Taken in: {', '.join(done)}.")
    else:
        messages.success(request, "Everything in it is as the yard has it. Nothing was changed.")
    return HttpResponseRedirect(reverse("web:boats"))


def _salt(member: Member) -> str:
    return f"fleet of yard {member.yard_id} by member {member.pk}"


def _packed(grids: Iterable[Grid], digest: str, member: Member) -> str:
    rows = [
        [grid.title, [[number, [cell.text for cell in cells]] for number, cells in grid.rows]] for grid in grids
    ]
    text = signing.dumps({"grids": rows, "digest": digest}, salt=_salt(member), compress=True)
    if len(text) > MOST_CHARACTERS_ALONG:
        raise Refused("file", "holds too much to be taken in at once", "part it in two")
    return text


def _unpacked(grids: list[Any]) -> list[Grid]:
    return [
        Grid(title, tuple((number, tuple(Cell(text) for text in texts)) for number, texts in rows))
        for title, rows in grids
    ]


def _planned(request: MemberRequest, grids: list[Grid], *, refused: Refused | None = None) -> HttpResponse:
    """What would become of each row. With a refused one there is nothing to press."""
    tables = tables_read(grids)
    plan = fleet_plan(tables, fleet_stored(request.member.yard))
    stops = plan.of("refused")
    takes = plan.does_something and not stops
    told = {
        "sheets": [_sheet_told(table, [row for row in plan.rows if row.kind == table.kind]) for table in tables],
        "stops": len(stops),
        "along": _packed(grids, plan.digest, request.member) if takes else "",
    }
    return _shown(request, FilesForm(), refused=refused, told=told)


def _sheet_told(table: Table, rows: list[PlannedRow]) -> SheetTold:
    looked_at = [row for row in rows if row.fate != "unchanged"]
    return SheetTold(
        kind=table.kind,
        title=table.title,
        counts=_counts(rows, FATES),
        rows=[*(row for row in looked_at if row.refusals), *(row for row in looked_at if not row.refusals)],
        unchanged=_ranges(row.number for row in rows if row.fate == "unchanged"),
    )


def _counts(rows: Iterable[PlannedRow], fates: Iterable[str]) -> list[tuple[int, str]]:
    """How many had which fate; none of those that no row had."""
    found = [row.fate for row in rows]
    return [(found.count(fate), fate) for fate in fates if fate in found]


def _ranges(numbers: Iterable[int]) -> str:
    """Numbers in a few words: 2 to 5, 7."""
    ranges: list[list[int]] = []
    for number in sorted(numbers):
        if ranges and number == ranges[-1][1] + 1:
            ranges[-1][1] = number
        else:
            ranges.append([number, number])
    return ", ".join(str(first) if first == last else f"{first} to {last}" for first, last in ranges)


def _shown(
    request: MemberRequest, form: FilesForm, *, refused: Refused | None = None, told: dict[str, Any] | None = None
) -> HttpResponse:
    context = {
        "here": "boats",
        "form": form,
        "kinds": list(KINDS.values()),
        "builds": Build.choices,
        "classes": ComponentClass.objects.of_yard(request.member.yard).order_by("name", "pk"),
        "mebibytes": MOST_BYTES // 1024 // 1024,
        **(told or {}),
    }
    return page(request, "fleet.html", context, refused=refused)


__all__ = ["csv", "fleet", "xlsx"]
