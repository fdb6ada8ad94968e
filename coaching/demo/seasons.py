"""Seasons and gym strips of the demo: what was planned, never what the pages say about it."""

from dataclasses import dataclass
from datetime import date, timedelta

from coaching.demo import cast
from coaching.season import services
from coaching.season.clashes import Body, GymLine, GymLoad
from coaching.season.models import AreaRamp, Event, Measure, Stage
from coaching.season.services import WantedRamp
from practice.drills.models import Drill
from practice.weeks.places import DayPlace
from shared.people.access import Recordable
from shared.people.models import User

WEEK = timedelta(weeks=1)
MPH = 0.44704
LEGS = GymLine(GymLoad.HEAVY, Body.LOWER)
UPPER = GymLine(GymLoad.MEDIUM, Body.UPPER)
LIGHT = GymLine(GymLoad.LIGHT)
REST = GymLine(GymLoad.REST)


@dataclass(frozen=True, slots=True)
class Aim:
    """A priority; `weeks` until its date."""

    name: str
    stage: str = ""
    drill: str = ""
    measure: str = Measure.OTHER.value
    value: float | None = None
    effort: int | None = None
    words: str = ""
    weeks: int | None = None


@dataclass(frozen=True, slots=True)
class Story:
    """One student's season. Weeks count from this one; days from the day this week opens."""

    aims: tuple[Aim, ...]
    phases: tuple[tuple[str, int, int], ...]
    # Area: minutes a week now, target, in so many weeks.
    minutes: tuple[tuple[str, int, int, int], ...]
    events: tuple[tuple[str, str, int], ...] = ()
    gym: tuple[tuple[int, GymLine], ...] = ()
    days: tuple[tuple[int, DayPlace, int], ...] = ()


PRE_SEASON = (
    ("Rebuild", -14, -3),
    ("Sharpen", -2, 6),
    ("Compete", 7, 28),
)
SPRING = (Event.Kind.COMPETITION.value, "Spring medal", 51)

STORIES = {
    "Ravindu Peshala": Story(
        aims=(
            Aim("Sway", Stage.FLOW, "sway-gate", Measure.CLEAN, 70, 90, weeks=6),
            Aim("Wedge contact", measure=Measure.CARRY_ERROR, value=3, words="at 40 m", weeks=7),
            Aim("Putting speed", words="24 of 30 past the hole by a foot at most"),
        ),
        phases=PRE_SEASON,
        minutes=(("swing", 60, 80, 6), ("wedges", 30, 45, 6)),
        events=(SPRING,),
        days=((0, DayPlace.NET, 45), (2, DayPlace.NET, 45), (5, DayPlace.RANGE, 75)),
    ),
    "Ines Calderao": Story(
        aims=(
            Aim("Posture", Stage.SPEED, "effort-ladder", Measure.CLEAN, 70, 100, weeks=6),
            Aim("Speed, steady", measure=Measure.BALL_SPEED, value=152 * MPH, weeks=7),
            Aim("Wedges 40–80 m", measure=Measure.CARRY_ERROR, value=3, weeks=7),
        ),
        phases=PRE_SEASON,
        minutes=(("swing", 80, 90, 6), ("speed", 40, 40, 6), ("wedges", 60, 75, 6)),
        events=((Event.Kind.TEST.value, "Speed test", 14), SPRING),
        gym=((0, LEGS), (1, LIGHT), (2, REST), (3, LEGS), (4, REST), (5, UPPER), (6, REST)),
        days=(
            (0, DayPlace.RANGE, 60),
            (1, DayPlace.NET, 60),
            (2, DayPlace.RANGE, 90),
            (4, DayPlace.NET, 60),
            (5, DayPlace.RANGE, 90),
        ),
    ),
    "Callum Ferreby": Story(
        aims=(
            Aim("Rest and return", words="seven days without pain, then half of the hard swings"),
            Aim("Posture", Stage.FLOW, "wall-back-turn", words="both sides touched, 8 of 10"),
            Aim("Speed", Stage.SPEED, words="as many hard swings as the week asks, no more"),
        ),
        phases=PRE_SEASON,
        minutes=(("speed", 40, 40, 6), ("body", 60, 60, 6), ("wedges", 50, 50, 6)),
        events=((Event.Kind.TEST.value, "Speed test", 1), SPRING),
        gym=((0, LEGS), (1, REST), (2, LEGS), (3, REST), (4, UPPER), (5, REST), (6, REST)),
        days=(
            (0, DayPlace.NET, 60),
            (1, DayPlace.NET, 30),
            (2, DayPlace.NET, 60),
            (4, DayPlace.RANGE, 90),
        ),
    ),
    "Oskar Vennemo": Story(
        aims=(
            Aim("Wedges", Stage.KEEP, "same-swing-four-wedges", Measure.CARRY_ERROR, 2, weeks=4),
            Aim("Speed, kept", measure=Measure.BALL_SPEED, value=162 * MPH),
        ),
        phases=(("Build", -30, -19), ("Compete", -18, 4), ("After the season", 5, 7)),
        minutes=(("wedges", 75, 75, 4),),
        days=((1, DayPlace.COURSE, 45), (3, DayPlace.RANGE, 45), (6, DayPlace.COURSE, 60)),
    ),
}


def load_season(
    student: Recordable, this_week: date, today: date, shelf: dict[str, Drill], gym_coach: User
) -> None:
    """The season of one student, if there is one in the story."""
    story = STORIES.get(student.name)
    if story is None:
        return
    plan = services.save_plan(
        student=student,
        by=student.lead_coach,
        first=this_week + story.phases[0][1] * WEEK,
        last=this_week + (story.phases[-1][2] + 1) * WEEK - timedelta(days=1),
        phases=[
            {
                "name": name,
                "first": this_week + first * WEEK,
                "last": this_week + (last + 1) * WEEK - timedelta(days=1),
            }
            for name, first, last in story.phases
        ],
        priorities=[_priority(aim, this_week, shelf) for aim in story.aims],
    )
    since = this_week - cast.WEEKS_BACK // 2 * WEEK
    for area, start, target, weeks in story.minutes:
        wanted = WantedRamp(area, start, target, this_week + weeks * WEEK)
        AreaRamp.objects.create(
            plan=plan,
            area=wanted.area,
            opens=since,
            start_minutes=wanted.start,
            target_minutes=wanted.target,
            due=wanted.due,
            made_by=student.lead_coach,
        )
    _events(student, story, this_week, today)
    lines = {this_week + timedelta(days=day): line for day, line in story.gym}
    if story.gym:
        student.strength_coaches.add(gym_coach)
    services.mark_gym(student=student, by=gym_coach, lines=lines, times=4)
    weekday = this_week.weekday()
    times = [((weekday + day) % 7, place, minutes) for day, place, minutes in story.days]
    services.set_days(student=student, times=times)


def _priority(aim: Aim, this_week: date, shelf: dict[str, Drill]) -> dict[str, object]:
    return {
        "name": aim.name,
        "stage": aim.stage,
        "drill": shelf[aim.drill] if aim.drill else None,
        "measure": aim.measure,
        "value": aim.value,
        "effort": aim.effort,
        "words": aim.words,
        "by": this_week + aim.weeks * WEEK if aim.weeks is not None else None,
    }


def _events(student: Recordable, story: Story, this_week: date, today: date) -> None:
    """Events of the story, and the one that the student's own page names."""
    for kind, name, day in story.events:
        services.add_event(
            student=student, kind=kind, name=name, first=this_week + timedelta(days=day)
        )
    if student.next_event is not None and student.next_event >= today:
        services.take_over_next_event(student)
