"""A drawing that somebody sends as SVG: read strictly, and written again from what is known to be harmless.

Nothing is carried over as it came. What only draws is written anew; what a drawing programme notes for itself is
left out; what could run, fetch, repeat itself without end or stand for something else is refused by name.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import Final
from xml.parsers import expat
from xml.sax.saxutils import escape, quoteattr

from yard.refusals import Refused

NAMESPACE: Final = "http://www.w3.org/2000/svg"
MOST_BYTES: Final = 2 * 1024 * 1024
MOST_ELEMENTS: Final = 20_000
DEEPEST: Final = 40
MOST_UNITS: Final = 1_000_000

DRAWN: Final = frozenset(
    {"svg", "g", "path", "line", "polyline", "polygon", "rect", "circle", "ellipse", "text", "tspan"}
)
# Left out with all that is in them: nothing that is kept can refer to them.
LEFT_OUT: Final = frozenset({"defs", "metadata", "title", "desc"})
# Refused wherever they stand and whatever namespace they claim.
NEVER: Final = frozenset({"script", "foreignObject", "iframe", "object", "embed", "image", "use", "style"})

# Written so that a text which does not fit is known after one pass, however long it is: what was read as a
# figure is not parted in other ways.
_NUMBER: Final = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,2})?"
_LENGTH: Final = re.compile(rf"\s*{_NUMBER}(?:px|mm|cm|in|pt|pc|%)?\s*", re.ASCII)
_NUMBERS: Final = re.compile(rf"\s*+(?>{_NUMBER})(?:[\s,]*+(?>{_NUMBER}))*+\s*", re.ASCII)
_PATH: Final = re.compile(r"\s*[Mm][MmZzLlHhVvCcSsQqTtAaEe\d\s,.+-]*", re.ASCII)
_TRANSFORM: Final = re.compile(
    r"\s*(?:(?:matrix|translate|scale|rotate|skewX|skewY)\s*\([\d\s,.eE+-]+\)[\s,]*)*", re.ASCII
)
_WORD: Final = re.compile(r"[#A-Za-z0-9 ,.()%+-]{1,120}", re.ASCII)

GEOMETRY: Final = dict.fromkeys(
    ("x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "width", "height", "dx", "dy"), _LENGTH
) | {"d": _PATH, "points": _NUMBERS, "transform": _TRANSFORM}
LOOKS: Final = dict.fromkeys(
    (
        "fill", "fill-opacity", "fill-rule", "stroke", "stroke-width", "stroke-opacity", "stroke-linecap",
        "stroke-linejoin", "stroke-miterlimit", "stroke-dasharray", "stroke-dashoffset", "opacity", "display",
        "visibility", "color", "font-size", "font-weight", "font-style", "text-anchor",
    ),
    _WORD,
)  # fmt: skip

PLAIN: Final = "save it as plain SVG with paths and lines only, or send it as PNG"


@dataclass(frozen=True, slots=True)
class CleanSvg:
    """What is kept of a drawing: its text, and the size of its sheet in its own units."""

    text: str
    width: float
    height: float


def svg_clean(data: bytes) -> CleanSvg:
    """Read a drawing and write it again from elements and attributes that only draw.

    Cleaning what was cleaned changes nothing.

    Raises:
        Refused: it is no SVG, is too large or nested too deeply, has no sheet, or holds something that could run,
            fetch, repeat itself or be put in the place of something else.
    """
    if len(data) > MOST_BYTES:
        raise _refused(
            f"has {len(data)} bytes", f"send an SVG of at most {MOST_BYTES // 1024 // 1024} MiB, or a PNG"
        )
    reader = _Reader()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartDoctypeDeclHandler = reader.doctype
    parser.EntityDeclHandler = reader.doctype
    parser.ProcessingInstructionHandler = reader.instruction
    parser.StartElementHandler = reader.start
    parser.EndElementHandler = reader.end
    parser.CharacterDataHandler = reader.characters
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        raise _refused(f"is no XML that can be read: {error}", PLAIN) from error
    except (ValueError, LookupError) as error:  # an encoding that nobody knows
        raise _refused("is in an encoding that can't be read", "save it as plain SVG in UTF-8") from error
    return CleanSvg("".join(reader.written), reader.width, reader.height)


@dataclass(slots=True)
class _Reader:
    written: list[str] = field(default_factory=list)
    open: list[str] = field(default_factory=list)
    skipped: int = 0
    elements: int = 0
    width: float = 0.0
    height: float = 0.0

    def doctype(self, *_: object) -> None:
        raise _refused("has a DOCTYPE or entities of its own", "save it as plain SVG, without a DOCTYPE")

    def instruction(self, target: str, _: str) -> None:
        raise _refused(f"has the processing instruction {target[:40]!r}", PLAIN)

    def start(self, full_name: str, attributes: dict[str, str]) -> None:
        namespace, _, name = full_name.rpartition(" ")
        self.elements += 1
        if self.elements > MOST_ELEMENTS:
            raise _refused(f"has more than {MOST_ELEMENTS:,} elements", "send a simpler drawing, or a PNG")
        if name in NEVER:
            raise _refused(f"has an element {name}", PLAIN)
        if self.skipped or (self.open and (namespace != NAMESPACE or name in LEFT_OUT)):
            self.skipped += 1
            return
        if name not in DRAWN or (name == "svg") is not (not self.open) or namespace != NAMESPACE:
            where = (
                f"an element {name[:40]!r}"
                if self.open
                else f"the root {name[:40]!r} instead of an svg of {NAMESPACE}"
            )
            raise _refused(f"has {where}", PLAIN)
        if len(self.open) >= DEEPEST:
            raise _refused(f"is nested more than {DEEPEST} levels deep", "ungroup what is grouped, or send a PNG")
        kept = _attributes(name, attributes)
        if name == "svg":
            kept = self._sheet(attributes) | {key: value for key, value in kept.items() if key in LOOKS}
        self.open.append(name)
        self.written.append(f"<{name}{''.join(f' {key}={quoteattr(value)}' for key, value in kept.items())}>")

    def end(self, _: str) -> None:
        if self.skipped:
            self.skipped -= 1
        else:
            self.written.append(f"</{self.open.pop()}>")

    def characters(self, text: str) -> None:
        if not self.skipped and self.open and self.open[-1] in ("text", "tspan"):
            self.written.append(escape(text))

    def _sheet(self, given: dict[str, str]) -> dict[str, str]:
        box = given.get("viewBox") or f"0 0 {given.get('width', '')} {given.get('height', '')}".replace("px", "")
        try:
            left, top, width, height = map(float, box.replace(",", " ").split())
        except ValueError:
            raise _refused("does not say how large its sheet is", "give the svg element a viewBox") from None
        if not all(map(math.isfinite, (left, top, width, height))) or max(map(abs, (left, top))) > MOST_UNITS:
            raise _refused("has a viewBox that can't be", "give the svg element a viewBox of plain numbers")
        if not (0 < width <= MOST_UNITS and 0 < height <= MOST_UNITS):
            raise _refused("has a sheet without a size", "give the svg element a viewBox with width and height")
        self.width, self.height = width, height
        return {
            "xmlns": NAMESPACE,
            "viewBox": f"{left:.10g} {top:.10g} {width:.10g} {height:.10g}",
            "width": f"{width:.10g}",
            "height": f"{height:.10g}",
        }


def _attributes(element: str, given: dict[str, str]) -> dict[str, str]:
    kept: dict[str, str] = {}
    for full_name, value in given.items():
        namespace, _, name = full_name.rpartition(" ")
        if name.lower().startswith("on"):
            raise _refused(f"has {name[:40]} at an element {element}", PLAIN)
        if name == "href":
            raise _refused(f"has a reference at an element {element}", PLAIN)
        _no_url(name, value)
        if namespace:
            continue
        if name == "style":
            kept |= _style(value)
        elif name in GEOMETRY and element != "svg":
            kept[name] = _place(element, name, value)
        elif name in LOOKS and _WORD.fullmatch(value):
            kept.setdefault(name, value)
    return kept


def _place(element: str, name: str, value: str) -> str:
    if GEOMETRY[name].fullmatch(value):
        return value
    # Text may bring a place for each letter: it stands at the first.
    first = re.match(_NUMBER, value.strip(), re.ASCII) if element in ("text", "tspan") else None
    if first is None:
        raise _refused(f"has a {name} at an element {element} that can't be read", PLAIN)
    return first.group()


def _style(text: str) -> dict[str, str]:
    """The declarations of a style as attributes, as far as they are known."""
    if "\\" in text or "/*" in text or "@" in text:
        raise _refused("has a style that can't be read", PLAIN)
    kept = {}
    for declaration in text.split(";"):
        name, _, value = (part.strip() for part in declaration.partition(":"))
        if name in LOOKS and _WORD.fullmatch(value):
            kept[name] = value
    return kept


def _no_url(name: str, value: str) -> None:
    if re.search(r"url\s*\(|javascript\s*:|expression\s*\(", value, re.IGNORECASE):
        raise _refused(
            f"refers to something else in {name[:40]}",
            "take out gradients, patterns, clips, filters, markers and links, or send it as PNG",
        )


def _refused(problem: str, remedy: str) -> Refused:
    return Refused("drawing", problem, remedy)


__all__ = ["CleanSvg", "svg_clean"]
