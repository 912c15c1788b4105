from rest_framework.pagination import CursorPagination


class NewestFirstCursor(CursorPagination):
    """Pages by a cursor, so that rows which arrive meanwhile neither repeat nor hide others."""

    ordering = "-pk"
    page_size = 50
    page_size_query_param = "page_size"
    max_page_size = 200
