from django.urls import path

from coaching.groups import test_day_views, views

app_name = "groups"

urlpatterns = [
    path("groups/", views.all_groups, name="all"),
    path("groups/<uuid:group_id>/", views.show, name="show"),
    path("groups/<uuid:group_id>/change/", views.change, name="change"),
    path("groups/<uuid:group_id>/session/", views.hold, name="hold"),
    path(
        "groups/<uuid:group_id>/session/<uuid:session_id>/back/", views.take_back, name="take_back"
    ),
    path("groups/<uuid:group_id>/test-day/", test_day_views.of_group, name="test_day_of_group"),
    path("students/<uuid:student_id>/test-day/", test_day_views.of_student, name="test_day"),
    path(
        "students/<uuid:student_id>/test-day/<uuid:entry_id>/back/",
        test_day_views.take_back,
        name="test_day_back",
    ),
]
