from django.urls import path

from coaching.messages import views

app_name = "words"

urlpatterns = [
    path("words/", views.waiting, name="waiting"),
    path("words/<uuid:entry_id>/", views.act, name="act"),
    path("students/<uuid:student_id>/words/", views.of_student, name="of_student"),
    path("students/<uuid:student_id>/own-words/", views.own, name="own"),
    path("students/<uuid:student_id>/own-words/read/", views.read, name="read"),
]
