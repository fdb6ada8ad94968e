from django.urls import path

from practice.progress import (
    api,
    balls_views,
    ladder_views,
    load_views,
    moved_views,
    speed_views,
    strength_views,
    wedge_views,
)

app_name = "progress"
_STUDENT = "students/<uuid:student_id>/"
_OWN = "own/<uuid:student_id>/"
_API = "api/students/<uuid:student_id>/"

urlpatterns = [
    path(_STUDENT + "moved/", moved_views.moved, name="moved"),
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
    path(_STUDENT + "balls/", balls_views.balls, name="balls"),
    path(_STUDENT + "balls/<uuid:sitting_id>/back/", balls_views.take_back, name="balls_back"),
    path(_STUDENT + "clubs/", balls_views.clubs, name="clubs"),
    path(_STUDENT + "clubs/<uuid:club_id>/", balls_views.club, name="club"),
    path(_STUDENT + "clubs/<uuid:club_id>/retire/", balls_views.retire_club, name="club_retire"),
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
