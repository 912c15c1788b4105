"""The service's own addresses, and those of the bare views."""

from django.urls import include, path

from tests.bench.bare_pages import table, word
from tests.bench.bare_views import OwnTables, PlainTables

urlpatterns = [
    path("bare/own-tables/", OwnTables.as_view()),
    path("bare/plain-tables/", PlainTables.as_view()),
    path("bare/word/", word),
    path("bare/table/", table),
    path("", include("yard.urls")),
]
