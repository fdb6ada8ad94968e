from django.urls import path, re_path

from coaching.timetable import feed_views, follow_views, read_views, views

app_name = "timetable"
urlpatterns = [
    path("timetable/", views.timetable, name="timetable"),
    path("timetable/holidays/", views.holiday_new, name="holiday_new"),
    path(
        "timetable/holidays/<uuid:holiday_id>/remove/", views.holiday_remove, name="holiday_remove"
    ),
    path("timetable/calendar/", feed_views.coachs, name="calendar"),
    path("students/<uuid:student_id>/calendar/", feed_views.students, name="own_calendar"),
    path("calendar/<str:token>.ics", feed_views.feed, name="feed"),
    path("timetable/read/", read_views.read_in, name="read_in"),
    path(
        "timetable/read/<uuid:read_in_id>/take-back/",
        read_views.take_back,
        name="take_read_in_back",
    ),
    path("timetable/follow/", follow_views.follow, name="follow"),
    path("timetable/follow/<uuid:followed_id>/", follow_views.followed, name="followed"),
    path("timetable/follow/<uuid:followed_id>/far/", follow_views.progress, name="follow_progress"),
    path("timetable/<uuid:series_id>/", views.series, name="series"),
    re_path(
        r"^timetable/(?P<series_id>[0-9a-f-]{36})/(?P<day>\d{4}-\d\d-\d\d)/(?P<how>off|back|move)/$",
        views.change_day,
        name="change_day",
    ),
]
