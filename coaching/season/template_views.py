"""Keeping a season as a template of the studio's, and deleting one."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from coaching.season import templates
from coaching.season.models import SeasonPlan, SeasonTemplate
from shared.kit.refused import Refused
from shared.people import access
from shared.people.requests import SignedInRequest


@require_POST
@login_required
def save(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    plan = get_object_or_404(SeasonPlan.objects.select_related("student__studio"), student=student)
    try:
        made = templates.save_template(
            plan=plan, name=request.POST.get("name", ""), by=request.user
        )
    except Refused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Kept as the template “{made.name}”. Other seasons start there.")
    return redirect("season:sheet", student.pk)


@require_POST
@login_required
def delete(request: SignedInRequest, student_id: UUID, season_template_id: UUID) -> HttpResponse:
    """From the page on which one is chosen for this student."""
    student = access.student_planned_or_404(request.user, student_id)
    template = get_object_or_404(SeasonTemplate, pk=season_template_id, studio=student.studio_id)
    templates.delete_template(template=template)
    messages.success(request, f"The template “{template.name}” is deleted.")
    return redirect("season:plan", student.pk)
