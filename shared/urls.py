"""Every address of the site."""

from django.urls import include, path

from shared.site.schema_view import schema
from shared.site.well_known import favicon, security_txt

handler404 = "shared.site.errors.not_found"
handler429 = "shared.site.errors.too_many"  # Asked for by the sign-in library's rate limits.
handler500 = "shared.site.errors.server_error"

urlpatterns = [
    path("", include("practice.phone.urls")),  # First, as phones ask most.
    path("", include("shared.people.urls")),
    path("account/", include("shared.people.account_urls")),
    path("", include("practice.clips.urls")),
    path("drills/", include("practice.shelf.urls")),
    path("", include("practice.numbers.urls")),
    path("", include("practice.importing.urls")),
    path("", include("coaching.board.urls")),
    path("", include("coaching.track_record.urls")),
    path("", include("coaching.find.urls")),
    path("", include("coaching.planning.urls")),
    path("", include("coaching.season.urls")),
    path("", include("coaching.groups.urls")),
    path("", include("coaching.lesson_day.urls")),
    path("", include("coaching.timetable.urls")),
    path("", include("coaching.bring.urls")),
    path("", include("coaching.intake.urls")),
    path("", include("coaching.messages.urls")),
    path("", include("coaching.reports.urls")),
    path("", include("coaching.reminders.urls")),
    path("", include("coaching.records.urls")),
    path("", include("coaching.demo.urls")),
    path("api/schema", schema, name="api_schema"),
    path(".well-known/security.txt", security_txt, name="security_txt"),
    path("favicon.ico", favicon, name="favicon"),
    path("health/", include("shared.site.health_urls")),
]
