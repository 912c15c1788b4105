from django.urls import path

from web.owner import reminders, views

urlpatterns = [
    path("o/<str:token>/", views.page, name="owner-quote"),
    path("o/<str:token>/jobs/<int:line>/", views.answer, name="owner-answer"),
    path("o/<str:token>/photos/<sha256:sha256>/<str:size>/", views.photo, name="owner-photo"),
    path("o/<str:token>/drawing/<sha256:sha256>/", views.drawing, name="owner-drawing"),
    path("o/<str:token>/reminders/", reminders.reminders, name="owner-reminders"),
    path("o/<str:token>/report.pdf", views.report, name="owner-report"),
]
