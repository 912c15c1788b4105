from django.urls import path

from web.book import views

urlpatterns = [
    path("calendar/<str:token>.ics", views.calendar, name="calendar"),
    path("digest/<str:token>/", views.digest, name="digest"),
]
