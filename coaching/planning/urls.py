from datetime import date

from django.urls import path, register_converter

from coaching.planning import more_views, several, views


class OpeningDay:
    """A week by the day it opens, as in 2031-02-24."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:
        return date.fromisoformat(value)

    def to_url(self, value: date | str) -> str:
        return str(value)


register_converter(OpeningDay, "opening")

app_name = "plans"
_WEEK = "students/<uuid:student_id>/week/<opening:opens>/"

urlpatterns = [
    path("students/<uuid:student_id>/week/", views.choose_week, name="choose_week"),
    path(_WEEK, views.set_week, name="set_week"),
    path(_WEEK + "start/", views.start, name="start"),
    path(_WEEK + "discard/", views.discard, name="discard"),
    path(_WEEK + "shorter/", views.shorten, name="shorten"),
    path("students/<uuid:student_id>/excuse/", more_views.excuse, name="excuse"),
    path(
        "students/<uuid:student_id>/excuse/<uuid:excusal_id>/withdraw/",
        more_views.withdraw,
        name="withdraw",
    ),
    path("weeks/several/", several.several, name="several"),
    path("weeks/templates/", more_views.template_list, name="templates"),
    path("weeks/templates/<uuid:template_id>/", more_views.template_change, name="template"),
]
