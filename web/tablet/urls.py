from django.urls import path

from web.tablet import page

urlpatterns = [
    path("tablet/", page.app, name="tablet"),
    path("tablet/sw.js", page.worker, name="tablet-worker"),
    path("tablet/manifest.webmanifest", page.manifest, name="tablet-manifest"),
]
