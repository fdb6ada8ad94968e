from django.urls import path

from coaching.board import action_views, care_views, student_views, swap_views, views

app_name = "board"
_STUDENT = "students/<uuid:student_id>/"

urlpatterns = [
    path("who/", views.who, name="who"),
    path("who/seen/", views.seen, name="seen"),
    path("who/calls/", action_views.calls, name="calls"),
    path("who/lines/", action_views.borders, name="borders"),
    path(_STUDENT + "tried/", action_views.tried, name="tried"),
    path(_STUDENT, student_views.student_sheet, name="student"),
    path(_STUDENT + "weeks/", student_views.student_weeks, name="weeks"),
    path(_STUDENT + "row/", views.row, name="row"),
    path(_STUDENT + "worked-out/", views.worked_out, name="worked_out"),
    path(_STUDENT + "swaps/", swap_views.accept, name="accept_swap"),
    path(_STUDENT + "swaps/withdraw/", swap_views.withdraw, name="withdraw_swap"),
    path(_STUDENT + "line/", views.write_line, name="write_line"),
    path(_STUDENT + "care/", care_views.one, name="care"),
    path(_STUDENT + "care/need/", care_views.need, name="care_need"),
    path(_STUDENT + "care/read-by/", care_views.read_by, name="care_read_by"),
    path("care/", care_views.everybody, name="care_roster"),
    path(_STUDENT + "care/keep/", care_views.keep_words, name="keep_pain"),
    path(_STUDENT + "care/clear/", care_views.clear_stops, name="clear_stops"),
]
