"""Which cells a header cell speaks for, written into the tags of a PDF.

WeasyPrint 70 lists the headers of each cell instead, and counts columns wrongly below a header that spans rows: a
reader would then be told the wrong ones. A header's scope says the same in fewer words (ISO 14289-1, 7.5), and
our tables are regular, so it says all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any


def header_scopes_write(document: object, pdf: Any) -> None:
    """A finisher for WeasyPrint: headers in a table's head speak for their columns, all others for their rows.

    Args:
        document: WeasyPrint's; not needed.
        pdf: pydyf's, before it is written.
    """
    objects: Iterable[Any] = pdf.objects
    elements = {each.number: each for each in objects if "S" in getattr(each, "keys", tuple)()}
    for element in elements.values():
        if element["S"] == "/THead":
            for cell in _cells(element, elements):
                cell["A"]["Scope"] = "/Column"
        elif element["S"] == "/TBody":
            for cell in _cells(element, elements):
                if cell["S"] == "/TH":
                    cell["A"]["Scope"] = "/Row"
                cell["A"].pop("Headers", None)


def _cells(group: Mapping[str, Any], elements: Mapping[int, Any]) -> Iterator[Any]:
    for row in _kids(group, elements):
        yield from _kids(row, elements)


def _kids(element: Mapping[str, Any], elements: Mapping[int, Any]) -> Iterator[Any]:
    """The elements right inside; what is no reference is marked content."""
    for kid in element["K"]:
        if isinstance(kid, bytes):
            yield elements[int(kid.split()[0])]


__all__ = ["header_scopes_write"]
