"""The addresses of `/api/v1/`."""

from django.urls import URLPattern, URLResolver, include, path, re_path
from rest_framework.routers import SimpleRouter

from api import converters
from api.problems import no_such_address
from api.rooms import boats, catalogue, people, session, yard

app_name = "api"
converters.register()

router = SimpleRouter(use_regex_path=False)
router.register("devices", session.Devices, basename="device")
router.register("members", people.Members, basename="member")
router.register("owners", people.Owners, basename="owner")
router.register("seasons", yard.Seasons, basename="season")
router.register("hourly-rates", yard.HourlyRates, basename="hourly-rate")
router.register("boats", boats.Boats, basename="boat")
router.register("components", boats.Components, basename="component")
router.register("spots", boats.Spots, basename="spot")
router.register("component-classes", catalogue.ComponentClasses, basename="component-class")
router.register("signs", catalogue.Signs, basename="sign")
router.register("treatments", catalogue.Treatments, basename="treatment")
router.register("materials", catalogue.Materials, basename="material")
router.register("cautions", catalogue.Cautions, basename="caution")

urlpatterns: list[URLPattern | URLResolver] = [
    path("me/", session.Me.as_view(), name="me"),
    path("yard/", yard.YardView.as_view(), name="yard"),
    path("climate/", yard.Climate.as_view(), name="climate"),
    path("holidays/", yard.Holidays.as_view(), name="holidays"),
    path("", include(router.urls)),
    re_path(r"^.*$", no_such_address, name="no-such-address"),
]
