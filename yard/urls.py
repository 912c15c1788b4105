from django.contrib import admin
from django.urls import include, path

from yard import health

urlpatterns = [
    path("healthz", health.alive, name="healthz"),
    path("readyz", health.ready, name="readyz"),
    path("admin/", admin.site.urls),
    path("api/v1/", include("api.urls")),
    path("", include("web.urls")),
]
