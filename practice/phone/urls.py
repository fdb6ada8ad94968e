from django.urls import path

from practice.phone import (
    api,
    child_phone_views,
    clip_api,
    device_views,
    pages,
    paper_views,
    plain,
    views,
)

app_name = "log"

urlpatterns = [
    path("api/sync", api.SyncView.as_view(), name="api_sync"),
    path("api/week", api.ApiWeekView.as_view(), name="api_week"),
    path("log", views.shell, name="shell"),
    path("sw.js", views.worker, name="worker"),
    path("log/more-<slug:name>.js", views.more, name="more"),
    path("log/app.webmanifest", views.manifest, name="manifest"),
    path("log/plain", plain.form, name="plain"),
    path("log/counted/<str:opens>", pages.counted, name="counted"),
    path("forget/", device_views.forget, name="forget"),
    path("settings/devices/", device_views.all_of_them, name="devices"),
    path("settings/devices/others/end/", device_views.end_others, name="others_end"),
    path("settings/devices/session/<slug:name>/end/", device_views.end_session, name="session_end"),
    path("settings/devices/key/<uuid:key_id>/end/", device_views.end_key, name="key_end"),
    path("open/<str:token>", views.open_week, name="open"),
    path("part/<str:token>", paper_views.card, name="part_card"),
    path("students/<uuid:student_id>/paper/", paper_views.sheet, name="paper"),
    path("students/<uuid:student_id>/write-in/", paper_views.write_in, name="write_in"),
    path("phone/", child_phone_views.by_code, name="phone_code"),
    path("phone/<str:link>", child_phone_views.by_link, name="phone_link"),
    path("child/<uuid:student_id>/phones/", child_phone_views.phones, name="child_phones"),
    path(
        "child/<uuid:student_id>/phones/<uuid:key_id>/end/",
        child_phone_views.end_phone,
        name="child_phone_end",
    ),
    path("child/<uuid:student_id>/", pages.child, name="child"),
    path("child/<uuid:student_id>/read-by/", pages.pain_read_by, name="pain_read_by"),
    path("child/<uuid:student_id>/counted/<str:opens>", pages.counted, name="child_counted"),
    path("api/key", api.KeyView.as_view(), name="api_key"),
    path("api/read", api.ReadView.as_view(), name="api_read"),
    path("api/push", api.PushView.as_view(), name="api_push"),
    path("api/push/opened", api.PushOpenedView.as_view(), name="api_push_opened"),
    path("api/clips/<uuid:clip_id>", clip_api.ClipUploadView.as_view(), name="api_clip"),
    path("api/sessions/<uuid:entry_id>", api.EntryAddressView.as_view(), name="api_session"),
]
