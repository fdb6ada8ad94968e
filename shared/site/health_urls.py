from django.urls import path

from shared.site import health_views

app_name = "health"

urlpatterns = [
    path("live", health_views.live, name="live"),
    path("ready", health_views.ready, name="ready"),
    path("metrics", health_views.figures, name="metrics"),
]
