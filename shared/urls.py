"""Every address of the site."""

from django.urls import include, path
from drf_spectacular.views import SpectacularJSONAPIView

handler404 = "shared.errors.not_found"
handler429 = "shared.errors.too_many"  # Asked for by the sign-in library's rate limits.
handler500 = "shared.errors.server_error"

urlpatterns = [
    path("", include("shared.people.urls")),
    path("account/", include("shared.people.account_urls")),
    path("", include("practice.log.urls")),
    path("", include("practice.clips.urls")),
    path("drills/", include("practice.drills.urls")),
    path("", include("practice.progress.urls")),
    path("", include("practice.importing.urls")),
    path("", include("coaching.board.urls")),
    path("", include("coaching.kept.urls")),
    path("", include("coaching.plans.urls")),
    path("", include("coaching.season.urls")),
    path("", include("coaching.groups.urls")),
    path("", include("coaching.lessons.urls")),
    path("", include("coaching.words.urls")),
    path("", include("coaching.reports.urls")),
    path("", include("coaching.reminders.urls")),
    path("", include("coaching.demo.urls")),
    path("api/schema", SpectacularJSONAPIView.as_view(), name="api_schema"),
    path("health/", include("shared.health_urls")),
]
