from django.urls import path

from coaching.board import action_views, care_views, student_views, swap_views, views

app_name = "board"
_STUDENT = "students/<uuid:student_id>/"

urlpatterns = [
    path("who/", views.who, name="who"),
    path("who/calls/", action_views.calls, name="calls"),
    path("who/lines/", action_views.borders, name="borders"),
    path(_STUDENT + "tried/", action_views.tried, name="tried"),
    path(_STUDENT, student_views.student_page, name="student"),
    path(_STUDENT + "worked-out/", views.worked_out, name="worked_out"),
    path(_STUDENT + "swaps/", swap_views.accept, name="accept_swap"),
    path(_STUDENT + "swaps/withdraw/", swap_views.withdraw, name="withdraw_swap"),
    path(_STUDENT + "line/", views.write_line, name="write_line"),
    path(_STUDENT + "care/", care_views.one, name="care"),
    path("care/", care_views.everybody, name="care_roster"),
    path("stops/<uuid:stop_id>/clear/", care_views.clear_stop, name="clear_stop"),
]
