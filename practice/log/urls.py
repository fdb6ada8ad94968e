from django.urls import path

from practice.log import api, pages, plain, views

app_name = "log"

urlpatterns = [
    path("log", views.shell, name="shell"),
    path("sw.js", views.worker, name="worker"),
    path("log/more-<slug:name>.js", views.more, name="more"),
    path("log/app.webmanifest", views.manifest, name="manifest"),
    path("log/plain", plain.form, name="plain"),
    path("log/counted/<str:opens>", pages.counted, name="counted"),
    path("open/<str:token>", views.open_week, name="open"),
    path("child/<uuid:student_id>/", pages.child, name="child"),
    path("child/<uuid:student_id>/counted/<str:opens>", pages.counted, name="child_counted"),
    path("api/key", api.KeyView.as_view(), name="api_key"),
    path("api/week", api.WeekView.as_view(), name="api_week"),
    path("api/sync", api.SyncView.as_view(), name="api_sync"),
    path("api/sessions/<uuid:entry_id>", api.SessionView.as_view(), name="api_session"),
]
