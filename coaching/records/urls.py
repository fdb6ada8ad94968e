from django.urls import path

from coaching.records import views

app_name = "records"

urlpatterns = [
    path("students/<uuid:student_id>/copy/", views.export, name="export"),
    path("students/<uuid:student_id>/erase/", views.erase, name="erase"),
    path("students/<uuid:student_id>/erase/back/", views.take_back, name="take_back"),
]
