from django.urls import path

from coaching.intake import views

app_name = "intake"

urlpatterns = [
    path("own/<uuid:student_id>/questions/", views.own, name="own"),
    path("students/<uuid:student_id>/questions/", views.review, name="review"),
    path("students/<uuid:student_id>/screening/", views.screen, name="screen"),
]
