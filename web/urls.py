from django.urls import register_converter

from web.base.converters import Sha256Converter

register_converter(Sha256Converter, "sha256")

from web.book.urls import urlpatterns as book  # noqa: E402
from web.office.tag import urlpatterns as tags  # noqa: E402
from web.office.urls import urlpatterns as office  # noqa: E402 - their addresses use the converter
from web.owner.urls import urlpatterns as owner  # noqa: E402
from web.tablet.urls import urlpatterns as tablet  # noqa: E402

app_name = "web"
urlpatterns = [*owner, *book, *tags, *tablet, *office]
