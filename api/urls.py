"""The addresses of `/api/v1/`."""

from django.urls import URLPattern, URLResolver, include, path, re_path
from rest_framework.routers import SimpleRouter

from api import converters, pages
from api.problems import no_such_address
from api.rooms import (
    bench,
    boats,
    calendar_feeds,
    catalogue,
    device_codes,
    drawings,
    entries,
    findings,
    findings_dealt_with,
    inspections,
    jobs,
    learned_hours,
    learned_rates,
    outbox,
    overrulings,
    package,
    people,
    photos,
    picking,
    quote_story,
    quotes,
    route,
    rules,
    season_figures,
    session,
    set_aside,
    surfaces,
    tablet,
    tags,
    templates,
    unsent,
    verifications,
    work,
    yard,
)

app_name = "api"
converters.register()

router = SimpleRouter(use_regex_path=False)
router.register("devices", session.Devices, basename="device")
router.register("device-codes", device_codes.DeviceCodes, basename="device-code")
router.register("members", people.Members, basename="member")
router.register("owners", people.Owners, basename="owner")
router.register("seasons", yard.Seasons, basename="season")
router.register("hourly-rates", yard.HourlyRates, basename="hourly-rate")
router.register("vat-classes", yard.VatClasses, basename="vat-class")
router.register("boats", boats.Boats, basename="boat")
router.register("components", boats.Components, basename="component")
router.register("spots", boats.Spots, basename="spot")
router.register("surfaces", surfaces.Surfaces, basename="surface")
router.register("component-classes", catalogue.ComponentClasses, basename="component-class")
router.register("signs", catalogue.Signs, basename="sign")
router.register("treatments", catalogue.Treatments, basename="treatment")
router.register("materials", catalogue.Materials, basename="material")
router.register("cautions", catalogue.Cautions, basename="caution")
router.register("templates", templates.Templates, basename="template")
router.register("inspections", inspections.Inspections, basename="inspection")
router.register("entries", entries.Entries, basename="entry")
router.register("set-aside", set_aside.SetAsides, basename="set-aside")
router.register("findings", findings_dealt_with.FindingsDealtWith, basename="finding")
router.register("due-back", findings.DueBackBook, basename="due-back")
router.register("calendar-feeds", calendar_feeds.CalendarFeeds, basename="calendar-feed")
router.register("jobs", jobs.Jobs, basename="job")
router.register("holds", jobs.Holds, basename="hold")
router.register("quotes", quotes.Quotes, basename="quote")
router.register("decisions", quotes.Decisions, basename="decision")
router.register("replies", quotes.Replies, basename="reply")
router.register("reports", work.Reports, basename="report")
router.register("work-logs", work.WorkLogs, basename="work-log")
router.register("material-logs", work.MaterialLogs, basename="material-log")
router.register("verifications", verifications.Verifications, basename="verification")
router.register("outbox", outbox.Outbox, basename="outbox")

urlpatterns: list[URLPattern | URLResolver] = [
    path("", pages.Index.as_view(), name="index"),
    path("schema/", pages.Schema.as_view(), name="schema"),
    path("docs/", pages.Docs.as_view(), name="docs"),
    path("problems/", pages.Problems.as_view(), name="problems"),
    path("me/", session.Me.as_view(), name="me"),
    path("tablet/", tablet.Heartbeat.as_view(), name="tablet"),
    path("tablet/members/", tablet.TabletMembers.as_view(), name="tablet-members"),
    path("members/<int:pk>/pin/", tablet.MemberPin.as_view(), name="member-pin"),
    path("unsent/", unsent.UnsentView.as_view(), name="unsent"),
    path("yard/", yard.YardView.as_view(), name="yard"),
    path("climate/", yard.Climate.as_view(), name="climate"),
    path("holidays/", yard.Holidays.as_view(), name="holidays"),
    path("rules/", rules.RulesView.as_view(), name="rules"),
    path("bench/moisture/", bench.BenchMoisture.as_view(), name="bench-moisture"),
    path("bench/drying/", bench.BenchDrying.as_view(), name="bench-drying"),
    path("bench/seam/", bench.BenchSeam.as_view(), name="bench-seam"),
    path("bench/coat/", bench.BenchCoat.as_view(), name="bench-coat"),
    path("bench/screw/", bench.BenchScrew.as_view(), name="bench-screw"),
    path("spots/<uuid:pk>/history/", findings.SpotHistory.as_view(), name="spot-history"),
    path("inspections/<int:pk>/launch/", inspections.Launch.as_view(), name="inspection-launch"),
    path("inspections/<int:pk>/package/", package.PackageView.as_view(), name="inspection-package"),
    path("inspections/<int:pk>/route/", route.RouteView.as_view(), name="inspection-route"),
    path("learned-hours/", learned_hours.LearnedHoursView.as_view(), name="learned-hours"),
    path("learned-hours/<code:code>/adopt/", learned_hours.AdoptHours.as_view(), name="learned-hours-adopt"),
    path("picking-list/", picking.PickingListView.as_view(), name="picking-list"),
    path("picking-list/csv/", picking.PickingListSpreadsheet.as_view(), name="picking-list-csv"),
    path("picking-list/sheet/", picking.PickingListSheet.as_view(), name="picking-list-sheet"),
    path("quotes/<int:pk>/history/", quote_story.QuoteHistory.as_view(), name="quote-history"),
    path("quotes/<int:pk>/threads/", quote_story.QuoteThreads.as_view(), name="quote-threads"),
    path("quotes/<int:pk>/preview/report/", quote_story.QuotePreviewReport.as_view(), name="quote-preview-report"),
    path("quotes/<int:pk>/remind/", quote_story.QuoteReminder.as_view(), name="quote-remind"),
    path("seasons/<int:year>/figures/", season_figures.SeasonFigures.as_view(), name="season-figures"),
    path("tags/unused/", tags.UnusedTags.as_view(), name="tags-unused"),
    path("learned-rates/", learned_rates.LearnedRates.as_view(), name="learned-rates"),
    path("overrulings/report/", overrulings.OverrulingReport.as_view(), name="overrulings-report"),
    path("boats/<int:pk>/drawing/", drawings.DrawingView.as_view(), name="boat-drawing"),
    path("photos/missing/", photos.MissingPhotos.as_view(), name="photos-missing"),
    path("photos/<digest:sha256>/", photos.PhotoView.as_view(), name="photo"),
    path("photos/<digest:sha256>/content/", photos.PhotoContent.as_view(), name="photo-content"),
    path("", include(router.urls)),
    re_path(r"^[\s\S]*$", no_such_address, name="no-such-address"),
]
