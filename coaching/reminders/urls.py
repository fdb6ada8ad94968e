from django.urls import path

from coaching.reminders import views

app_name = "reminders"

urlpatterns = [
    path("reminders/", views.mine, name="mine"),
    path("reminders/summary/", views.summary, name="summary"),
    path("reminders/evening/", views.evening, name="evening"),
    path("reminders/running/", views.running, name="running"),
    path("reminders/mails/", views.mails, name="mails"),
    path("reminders/stop/<str:token>/", views.stop, name="stop"),
    path("reminders/<uuid:student_id>/", views.of, name="of"),
    path("reminders/<uuid:student_id>/sent/", views.sent, name="sent"),
    path("reminders/<uuid:student_id>/none/", views.none, name="none"),
]
