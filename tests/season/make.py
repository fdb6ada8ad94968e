"""A season, days and a gym strip for a student, as a test wants them."""

from datetime import timedelta

from coaching.season import services
from coaching.season.clashes import Body, GymLine, GymLoad
from coaching.season.models import Stage
from coaching.season.services import WantedRamp
from practice.compliance.models import WeekTally
from tests.factories import MONDAY

WEEK = timedelta(weeks=1)
LEGS = GymLine(GymLoad.HEAVY, Body.LOWER)


def day(n):
    return MONDAY + timedelta(n)


def make_plan(student, *, weeks=20, **more):
    return services.save_plan(
        student=student,
        by=student.lead_coach,
        first=MONDAY - 10 * WEEK,
        last=MONDAY + weeks * WEEK - timedelta(1),
        phases=more.pop(
            "phases",
            [
                {"name": "Rebuild", "first": day(-70), "last": day(-1)},
                {"name": "Sharpen", "first": day(0), "last": day(48)},
            ],
        ),
        priorities=more.pop("priorities", [{"name": "Sway", "stage": Stage.FLOW}]),
        **more,
    )


def make_ramp(plan, area="swing", start=60, target=90, weeks=6, opens=MONDAY):
    (ramp,) = services.save_ramps(
        plan=plan,
        by=plan.student.lead_coach,
        opens=opens,
        wanted=[WantedRamp(area, start, target, opens + weeks * WEEK)],
    )
    return ramp


def make_tally(student, weeks_ago, done=60, *, area="swing", sessions=2, asked=4, **fields):
    part = {
        "drill": "x",
        "area": area,
        "done_minutes": done,
        "sessions_done": sessions,
        "asked_sessions": asked,
    }
    days = {"days_done": sessions, "days_asked": asked}
    fields = {"minutes": done, "asked_minutes": 100, "has_plan": True} | days | fields
    return WeekTally.objects.create(
        student=student, opens=MONDAY - weeks_ago * WEEK, parts=[part], **fields
    )
