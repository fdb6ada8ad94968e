from django.urls import path

from practice.numbers import api
from practice.numbers.balls import views
from practice.numbers.ladder import views as ladder_views
from practice.numbers.load import views as load_views
from practice.numbers.moved import try_out_views
from practice.numbers.moved import views as moved_views
from practice.numbers.speed import views as speed_views
from practice.numbers.strength import views as strength_views
from practice.numbers.wedges import views as wedge_views

app_name = "progress"
_STUDENT = "students/<uuid:student_id>/"
_OWN = "own/<uuid:student_id>/"
_API = "api/students/<uuid:student_id>/"

urlpatterns = [
    path(_STUDENT + "moved/", moved_views.moved, name="moved"),
    path(_STUDENT + "try-out/", try_out_views.try_out, name="try_out"),
    path(_STUDENT + "try-out/turns/", try_out_views.try_turns, name="try_turns"),
    path(
        _STUDENT + "try-out/<uuid:try_out_id>/end/",
        try_out_views.end_try_out,
        name="end_try_out",
    ),
    path(_OWN + "moved/", moved_views.own_moved, name="own_moved"),
    path(_STUDENT + "speed/", speed_views.speed, name="speed"),
    path(_STUDENT + "speed/block/", speed_views.speed_block, name="speed_block"),
    path(_OWN + "speed/", speed_views.own_speed, name="own_speed"),
    path(_STUDENT + "wedges/", wedge_views.wedges, name="wedges"),
    path(_OWN + "wedges/", wedge_views.own_wedges, name="own_wedges"),
    path(_STUDENT + "wedges/print/", wedge_views.print_card, name="print_card"),
    path(_STUDENT + "ladder/", ladder_views.ladder, name="ladder"),
    path(_OWN + "ladder/", ladder_views.own_ladder, name="own_ladder"),
    path(_STUDENT + "checked/", ladder_views.count, name="count"),
    path(_STUDENT + "checked/<uuid:count_id>/back/", ladder_views.count_back, name="count_back"),
    path(_STUDENT + "load/", load_views.load, name="load"),
    path(_OWN + "load/", load_views.own_load, name="own_load"),
    path(_STUDENT + "balls/", views.balls, name="balls"),
    path(_STUDENT + "balls/<uuid:sitting_id>/back/", views.take_back, name="balls_back"),
    path(_STUDENT + "clubs/", views.clubs, name="clubs"),
    path(_STUDENT + "clubs/<uuid:club_id>/", views.club, name="club"),
    path(_STUDENT + "clubs/<uuid:club_id>/retire/", views.retire_club, name="club_retire"),
    path("strength/", strength_views.strength_roster, name="strength_roster"),
    path(_STUDENT + "strength/", strength_views.strength, name="strength"),
    path(
        _STUDENT + "strength/<uuid:lift_id>/remove/",
        strength_views.remove_set,
        name="strength_remove",
    ),
    path(_OWN + "strength/", strength_views.own_strength, name="own_strength"),
    path(_OWN + "strength/back/", strength_views.withdraw_strength, name="strength_withdraw"),
    path(_API + "speed", api.SpeedView.as_view(), name="api_speed"),
    path(_API + "wedges", api.WedgesView.as_view(), name="api_wedges"),
    path(_API + "wedges/lookup", api.LookupView.as_view(), name="api_lookup"),
    path(_API + "ladder", api.LadderView.as_view(), name="api_ladder"),
    path(_API + "load", api.LoadView.as_view(), name="api_load"),
    path(_API + "moved", api.MovedView.as_view(), name="api_moved"),
    path(_API + "strength", api.StrengthView.as_view(), name="api_strength"),
    path(_API + "shots", api.ShotsView.as_view(), name="api_shots"),
    path(_API + "clubs", api.ClubsView.as_view(), name="api_clubs"),
]
