from django.urls import path

from coaching.bring import views

app_name = "bring"
urlpatterns = [
    path("students/list/", views.bring, name="list"),
    path("students/list/<uuid:batch_id>/", views.batch, name="batch"),
    path("students/list/<uuid:batch_id>/send/", views.send, name="send"),
    path("students/list/<uuid:batch_id>/take-back/", views.take_back, name="take_back"),
    path("students/<uuid:student_id>/past/take-back/", views.forget_past, name="forget_past"),
]
