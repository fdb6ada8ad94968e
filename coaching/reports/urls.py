from django.urls import path

from coaching.reports import views

app_name = "reports"

urlpatterns = [
    path("students/<uuid:student_id>/reports/", views.of_student, name="of_student"),
    path("students/<uuid:student_id>/own-reports/", views.own, name="own"),
    path("reports/<uuid:report_id>/", views.show, name="show"),
]
