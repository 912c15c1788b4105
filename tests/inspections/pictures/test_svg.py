"""Drawings sent as SVG: what draws is kept, what could do anything else is refused by name."""

from __future__ import annotations

import pytest

from inspections.pictures.svg import MOST_BYTES, MOST_ELEMENTS, svg_clean
from yard.refusals import Refused

OPEN = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 300 90">'


def svg(inside: str) -> bytes:
    return f"{OPEN}{inside}</svg>".encode()


@pytest.mark.parametrize(
    ("hostile", "named"),
    [
        (svg("<script>alert(1)</script>"), "script"),
        (svg("<g><defs><script/></defs></g>"), "script"),
        (svg('<h:script xmlns:h="http://www.w3.org/1999/xhtml"/>'), "script"),
        (svg("<foreignObject><p/></foreignObject>"), "foreignObject"),
        (svg('<path d="M0,0" onclick="alert(1)"/>'), "onclick"),
        (OPEN.replace("viewBox", 'onload="alert(1)" viewBox').encode() + b"</svg>", "onload"),
        (svg('<a xlink:href="javascript:alert(1)"><path d="M0,0"/></a>'), "reference|element 'a'"),
        (svg('<path d="M0,0" xlink:href="javascript:alert(1)"/>'), "reference"),
        (svg('<image href="http://192.0.2.1/x.png"/>'), "image"),
        (svg('<image href="data:image/png;base64,AA"/>'), "image"),
        (svg('<use href="#a"/>'), "use"),
        (svg('<style>@import "http://192.0.2.1/x.css";</style>'), "style"),
        (svg('<path d="M0,0" style="fill:url(http://192.0.2.1/x)"/>'), "style"),
        (svg('<path d="M0,0" fill="URL (#a)"/>'), "fill"),
        (svg('<path d="M0,0" style="f\\69ll:red"/>'), "style"),
        (svg('<animate attributeName="href" to="javascript:alert(1)"/>'), "animate"),
        (svg('<path d="javascript:alert(1)"/>'), "d"),
        # figures that could be parted in many ways: refused in one pass, not in one for each way
        (svg(f'<polyline points="{"1" * 20_000}x"/>'), "points"),
        (svg(f'<rect width="{"1" * 20_000}x"/>'), "width"),
        (svg("<svg/>"), "svg"),
        (b'<?xml-stylesheet href="http://192.0.2.1/x.css"?>' + svg(""), "xml-stylesheet"),
        (b'<!DOCTYPE svg SYSTEM "file:///etc/passwd">' + svg(""), "DOCTYPE"),
        (
            b'<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;">]>' + svg("<text>&b;</text>"),
            "DOCTYPE",
        ),
        (svg("<g>" * 41 + "</g>" * 41), "nested"),
        (svg("<g/>" * MOST_ELEMENTS), "elements"),
        (svg(" " * MOST_BYTES), "bytes"),
        (b'<svg viewBox="0 0 3 1"/>', "root"),
        (b'<html xmlns="http://www.w3.org/1999/xhtml"/>', "root"),
        (b'<svg xmlns="http://www.w3.org/2000/svg"/>', "sheet"),
        (b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 inf 1"/>', "viewBox"),
        (b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 0 1"/>', "size"),
        (b"<svg", "XML"),
        (b'<?xml version="1.0" encoding="x-none"?>' + svg(""), "XML|encoding"),
    ],
)
def test_what_could_do_more_than_draw_is_refused_by_name(hostile: bytes, named: str) -> None:
    with pytest.raises(Refused, match=named) as refused:
        svg_clean(hostile)
    assert refused.value.field == "drawing"
    assert refused.value.remedy


def test_what_a_drawing_programme_writes_is_kept_as_far_as_it_draws() -> None:
    drawn = (
        '<?xml version="1.0" encoding="UTF-8"?><!-- Created by a programme -->'
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:p="urn:programme" width="300px" height="90px" p:version="1">'
        '<p:view zoom="2"><p:grid/></p:view><defs><g/></defs><metadata>who drew it</metadata><title>her</title>'
        '<g transform="translate(1 2) rotate(-3)" p:layer="deck" id="layer1" class="x" data-x="1">'
        '<path style="fill:none;stroke:#000;stroke-width:1.5px;font-family:\'Secret\';-p-a:1" d="M0,0 L9-1.5e1z"/>'
        '<text x="1 2 3" y="4">Sea &lt;Pink&gt; &amp; co</text></g></svg>'
    )
    clean = svg_clean(drawn.encode())
    assert clean.text == (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 90" width="300" height="90">'
        '<g transform="translate(1 2) rotate(-3)">'
        '<path fill="none" stroke="#000" stroke-width="1.5px" d="M0,0 L9-1.5e1z"></path>'
        '<text x="1" y="4">Sea &lt;Pink&gt; &amp; co</text></g></svg>'
    )
    assert (clean.width, clean.height) == (300, 90)
    assert svg_clean(clean.text.encode()) == clean
