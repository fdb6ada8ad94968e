from django.urls import path

from shared.people import (
    guardian_views,
    invitation_views,
    join_views,
    people_views,
    student_views,
    views,
)

urlpatterns = [
    path("", views.home, name="home"),
    path("welcome/", views.welcome, name="welcome"),
    path("settings/", views.own_settings, name="settings"),
    path("students/", student_views.students, name="students"),
    path("students/new/", student_views.enter_student, name="student_new"),
    path("students/new/under-18/", student_views.enter_minor, name="student_new_minor"),
    path("students/<uuid:student_id>/edit/", student_views.edit_student, name="student_edit"),
    path("students/<uuid:student_id>/left/", student_views.student_left, name="student_left"),
    path(
        "students/<uuid:student_id>/returned/",
        student_views.student_returned,
        name="student_returned",
    ),
    path("students/<uuid:student_id>/invite/", student_views.invite_student, name="student_invite"),
    path("invitations/<uuid:invitation_id>/", invitation_views.show, name="invitation_show"),
    path("invitations/<uuid:invitation_id>/send/", invitation_views.send, name="invitation_send"),
    path(
        "invitations/<uuid:invitation_id>/revoke/",
        invitation_views.revoke,
        name="invitation_revoke",
    ),
    path("join/<str:token>/", join_views.invitation, name="invitation"),
    path("join/<str:token>/code/", join_views.code, name="invitation_code"),
    path("join/<str:token>/details/", join_views.details, name="invitation_details"),
    path("child/<uuid:student_id>/consents/", guardian_views.consents, name="consents"),
    path("people/", people_views.people, name="people"),
    path("people/studio/", people_views.edit_studio, name="studio_edit"),
    path("people/<uuid:membership_id>/end/", people_views.end_membership, name="membership_end"),
]
