"""The frame of the tablet's page, its service worker and its manifest. None of them says anything about a yard."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Final

from csp.constants import NONE, SELF
from csp.decorators import csp_replace
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_safe

from web.tablet.files import edition
from yard.tablet_contract import CONTRACT

# A page that is kept for weeks on a tablet gets the strictest policy: scripts and styles are files of our own.
POLICY: Final = {
    "default-src": [NONE],
    "script-src": [SELF],
    "style-src": [SELF],
    "img-src": [SELF, "blob:", "data:"],
    "media-src": [SELF, "blob:"],
    "font-src": [SELF],
    "connect-src": [SELF],
    "manifest-src": [SELF],
    "worker-src": [SELF],
    "form-action": [NONE],
    "base-uri": [NONE],
    "frame-ancestors": [NONE],
}
Door = Callable[[HttpRequest], HttpResponseBase]
policy: Callable[[Door], Door] = csp_replace(POLICY)


@require_safe
@policy
def app(request: HttpRequest) -> HttpResponse:
    response = render(request, "web/tablet/app.html", {"contract": CONTRACT, "version": edition().version})
    return _asked_again(response)


@require_safe
@policy
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker with the list of what it keeps: one byte changes, and the browser sees a new worker."""
    now = edition()
    page = reverse("web:tablet")
    told = {"contract": CONTRACT, "version": now.version, "files": [(page, now.version), *now.files]}
    text = f"self.FAYING = {json.dumps(told)};\n{now.worker}"
    return _asked_again(HttpResponse(text, content_type="text/javascript; charset=utf-8"))


@require_safe
@policy
def manifest(request: HttpRequest) -> HttpResponse:
    page = reverse("web:tablet")
    document = {
        "id": page,
        "name": "Faying: the round",
        "short_name": "Faying",
        "description": "Inspect a wooden boat, with or without a network.",
        "lang": "en-GB",
        "start_url": page,
        "scope": page,
        "display": "standalone",
        "orientation": "any",
        "background_color": "#fdfbf6",
        "theme_color": "#16324a",
        "icons": [
            {"src": static("web/tablet/icon.svg"), "sizes": "any", "type": "image/svg+xml"},
            {"src": static("web/tablet/icon-192.png"), "sizes": "192x192", "type": "image/png"},
            {"src": static("web/tablet/icon-512.png"), "sizes": "512x512", "type": "image/png"},
            {
                "src": static("web/tablet/icon-maskable-512.png"),
                "sizes": "512x512",
                "type": "image/png",
                "purpose": "maskable",
            },
        ],
    }
    return _asked_again(JsonResponse(document, content_type="application/manifest+json"))


def _asked_again(response: HttpResponse) -> HttpResponse:
    """The browser may keep it, and asks each time whether it is still the newest."""
    response.headers["Cache-Control"] = "no-cache"
    response.headers["X-Content-Type-Options"] = "nosniff"
    return response


__all__ = ["app", "manifest", "worker"]
