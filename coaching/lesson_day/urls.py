from django.urls import path

from coaching.lesson_day import close_views, note_views, read_views, views

app_name = "lessons"
_STUDENT = "students/<uuid:student_id>/"
_LESSON = "lessons/<uuid:lesson_id>/"

urlpatterns = [
    path("next/", views.next_up, name="next_up"),
    path("next/plan/", views.plan, name="plan"),
    path(_LESSON + "cancel/", views.cancel, name="cancel"),
    path(_STUDENT + "lessons/open/", views.open_one, name="open"),
    path(_LESSON, note_views.note, name="note"),
    path(_LESSON + "typed/", note_views.typed, name="typed"),
    path(_LESSON + "clip/", note_views.clip, name="clip"),
    path(_LESSON + "clip/<uuid:clip_id>/", note_views.this_one, name="this_one"),
    path(_LESSON + "close/", close_views.close, name="close"),
    path(_LESSON + "write-on/", close_views.write_on, name="write_on"),
    path(_LESSON + "as-last-time/", note_views.as_last_time, name="as_last_time"),
    path(_LESSON + "throw-away/", close_views.throw_away, name="throw_away"),
    path(_STUDENT + "lessons/", read_views.notes, name="notes"),
    path(_STUDENT + "door/", read_views.door, name="door"),
    path(_STUDENT + "handover/", read_views.handover_page, name="handover"),
    path(_STUDENT + "feels-like/", read_views.own, name="own"),
]
