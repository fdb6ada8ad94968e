from django.urls import path

from practice.importing import views

app_name = "importing"
_FILES = "students/<uuid:student_id>/files/"
_FILE = _FILES + "<uuid:file_id>/"

urlpatterns = [
    path(_FILES, views.files, name="files"),
    path(_FILES + "new/", views.take, name="take"),
    path(_FILE, views.file, name="file"),
    path(_FILE + "progress/", views.progress, name="progress"),
    path(_FILE + "refused.csv", views.refused, name="refused"),
    path(_FILE + "back/", views.take_back, name="take_back"),
    path(_FILE + "drop/", views.drop, name="drop"),
]
