"""Two questions an orchestrator asks: is the process alive, and can it do its work."""

from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_safe


@require_safe
def alive(request: HttpRequest) -> JsonResponse:
    return JsonResponse({"status": "alive"})


@require_safe
def ready(request: HttpRequest) -> JsonResponse:
    return JsonResponse({"status": "ready"})
