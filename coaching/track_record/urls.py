from django.urls import path

from coaching.track_record import views

app_name = "kept"

urlpatterns = [path("who/score/", views.score, name="score")]
