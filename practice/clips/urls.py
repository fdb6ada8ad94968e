from django.urls import path

from practice.clips import views

app_name = "clips"

urlpatterns = [
    path("students/<uuid:student_id>/clips/", views.of_student, name="of_student"),
    path("clips/<uuid:clip_id>/", views.watch, name="watch"),
    path("clips/<uuid:clip_id>/file/", views.one, name="file"),
    path("clips/<uuid:clip_id>/still/", views.still, name="still"),
    path("clips/<uuid:clip_id>/remove/", views.remove, name="remove"),
    path("clips/<uuid:clip_id>/model/", views.model, name="model"),
]
