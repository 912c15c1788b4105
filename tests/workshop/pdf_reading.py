"""What can be read back from a PDF: its structure tree, fonts and metadata. Not a conformance check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import Any

import pikepdf
from pypdf import PdfReader


@dataclass(frozen=True)
class Element:
    """An element of the structure tree."""

    kind: str
    node: Any

    @property
    def alt(self) -> str:
        return str(self.node.get("/Alt", ""))

    @property
    def children(self) -> list[str]:
        """Kinds of the elements right inside."""
        inside: Any = self.node.get("/K", [])
        several = inside if isinstance(inside, pikepdf.Array) else [inside]
        return [
            str(child.S).lstrip("/") for child in several if isinstance(child, pikepdf.Dictionary) and "/S" in child
        ]


def elements(pdf: pikepdf.Pdf) -> list[Element]:
    """The structure tree in reading order."""

    def walk(node: Any) -> Iterator[Element]:
        if not isinstance(node, pikepdf.Dictionary):
            return
        if "/S" in node:
            yield Element(str(node.S).lstrip("/"), node)
        children: Any = node.get("/K", [])
        for child in children if isinstance(children, pikepdf.Array) else [children]:
            yield from walk(child)

    return list(walk(pdf.Root.StructTreeRoot))


def opened(pdf: bytes) -> pikepdf.Pdf:
    return pikepdf.open(BytesIO(pdf))


@lru_cache(maxsize=8)  # reading a report's text takes longer than drawing it, and its tests ask many times
def page_texts(pdf: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]


def text(pdf: bytes) -> str:
    """All text with single spaces, wherever the lines break."""
    return " ".join(" ".join(page_texts(pdf)).split())


def fonts(pdf: pikepdf.Pdf) -> dict[str, bool]:
    """Each font with whether its file and its way back to characters are inside."""
    found: dict[str, bool] = {}
    for page in pdf.pages:
        for font in page.obj.Resources.get("/Font", {}).values():
            (descendant,) = font.DescendantFonts
            inside = any(name in descendant.FontDescriptor for name in ("/FontFile2", "/FontFile3"))
            found[str(font.BaseFont)] = inside and "/ToUnicode" in font
    return found


def addresses(pdf: pikepdf.Pdf) -> list[str]:
    """Addresses outside the document that its links lead to."""
    return [
        str(annotation.A.URI)
        for page in pdf.pages
        for annotation in page.obj.get("/Annots", [])
        if "/A" in annotation and "/URI" in annotation.A
    ]


def outline(pdf: bytes) -> list[str]:
    def walk(items: list[Any]) -> Iterator[str]:
        for item in items:
            if isinstance(item, list):
                yield from walk(item)
            else:
                yield item.title

    return list(walk(PdfReader(BytesIO(pdf)).outline))
