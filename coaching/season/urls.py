from django.urls import path

from coaching.season import days_views, edit_views, gym_views, template_views, views

app_name = "season"
_STUDENT = "students/<uuid:student_id>/season/"
_OWN = "own/<uuid:student_id>/"

urlpatterns = [
    path(_STUDENT, views.sheet, name="sheet"),
    path(_STUDENT + "plan/", edit_views.plan, name="plan"),
    path(_STUDENT + "template/", template_views.save, name="save_template"),
    path(
        _STUDENT + "template/<uuid:season_template_id>/delete/",
        template_views.delete,
        name="delete_template",
    ),
    path(_STUDENT + "minutes/", edit_views.minutes, name="minutes"),
    path(_STUDENT + "again/", edit_views.re_ramp, name="re_ramp"),
    path(_STUDENT + "events/", edit_views.add_event, name="add_event"),
    path(_STUDENT + "events/<uuid:event_id>/off/", edit_views.remove_event, name="remove_event"),
    path("students/<uuid:student_id>/gym/", gym_views.strip, name="strip"),
    path("gym/", gym_views.roster, name="gym"),
    path(_OWN + "season/", views.own_sheet, name="own_sheet"),
    path(_OWN + "days/", days_views.days, name="days"),
]
