from django.urls import path

from practice.shelf import views

app_name = "drills"

urlpatterns = [
    path("", views.shelf, name="shelf"),
    path("new/", views.new, name="new"),
    path("dose/", views.read_dose, name="read_dose"),
    path("<uuid:drill_id>/", views.show, name="show"),
    path("<uuid:drill_id>/edit/", views.edit, name="edit"),
    path("<uuid:drill_id>/archive/", views.archive, name="archive"),
    path("<uuid:drill_id>/bring-back/", views.bring_back, name="bring_back"),
    path("<uuid:drill_id>/caution/", views.caution, name="caution"),
    path("<uuid:drill_id>/caution/withdraw/", views.withdraw_caution, name="withdraw_caution"),
]
