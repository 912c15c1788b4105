from django.contrib import admin
from django.urls import include, path

from yard import health

urlpatterns = [
    path("healthz", health.alive, name="healthz"),
    path("readyz", health.ready, name="readyz"),
    path("admin/", admin.site.urls),
    path("api/v1/", include("api.urls")),
    path("", include("web.second_factor.urls")),
    path("", include("web.urls")),
]

# The API answers for its own addresses; these are for pages.
handler400 = "web.errors.bad_request"
handler403 = "web.errors.not_allowed"
handler404 = "web.errors.not_found"
handler500 = "web.errors.broken"
