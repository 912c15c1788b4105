from django.urls import path
from django.views.generic import RedirectView

from web.office import boat, boats, due_back, finding, inspection, outbox, photos, quote, season, signing_in, spot

urlpatterns = [
    path("", RedirectView.as_view(pattern_name="web:season"), name="home"),
    path("sign-in/", signing_in.sign_in, name="sign-in"),
    path("sign-out/", signing_in.sign_out, name="sign-out"),
    path("season/", season.season, name="season"),
    path("season/<int:year>/", season.season, name="season-of"),
    path("due-back/", due_back.due_back, name="due-back"),
    path("boats/", boats.boats, name="boats"),
    path("boats/<int:pk>/", boat.boat, name="boat"),
    path("boats/<int:pk>/inspection/", boat.open_inspection, name="inspection-open"),
    path("spots/<uuid:pk>/", spot.spot, name="spot"),
    path("findings/<uuid:pk>/", finding.finding, name="finding"),
    path("findings/<uuid:pk>/overruling/", finding.overrule, name="finding-overrule"),
    path("findings/<uuid:pk>/overruling/withdraw/", finding.withdraw, name="finding-overruling-withdraw"),
    path("inspections/<int:pk>/", inspection.inspection, name="inspection"),
    path("inspections/<int:pk>/close/", inspection.close, name="inspection-close"),
    path("inspections/<int:pk>/set-aside/<int:row>/", inspection.settle, name="set-aside-settle"),
    path("inspections/<int:pk>/quote/", inspection.draw_up_quote, name="quote-draw-up"),
    path("quotes/<int:pk>/", quote.quote, name="quote"),
    path("quotes/<int:pk>/preview/", quote.preview, name="quote-preview"),
    path("quotes/<int:pk>/change/", quote.change, name="quote-change"),
    path("quotes/<int:pk>/send/", quote.send, name="quote-send"),
    path("quotes/<int:pk>/withdraw/", quote.withdraw, name="quote-withdraw"),
    path("quotes/<int:pk>/revise/", quote.revise, name="quote-revise"),
    path("quotes/<int:pk>/link/revoke/", quote.revoke_link, name="quote-link-revoke"),
    path("quotes/<int:pk>/link/reissue/", quote.reissue_link, name="quote-link-reissue"),
    path("quotes/<int:pk>/report.pdf", quote.report, name="quote-report"),
    path("outbox/", outbox.outbox, name="outbox"),
    path("outbox/<int:pk>/again/", outbox.again, name="outbox-again"),
    path("photos/<sha256:sha256>/<str:size>/", photos.photo, name="photo"),
]
