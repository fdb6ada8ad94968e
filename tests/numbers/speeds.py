"""Speed tests as a test needs them."""

from datetime import timedelta

from coaching.demo.measured import SPEEDS
from practice.drills.models import Area
from practice.shots.models import Club, Shot, Sitting
from shared.kit.units import SPEED
from tests.factories import make_drill
from tests.numbers.make import today_of

INES = SPEEDS["Ines Calderao"]
PIET = SPEEDS["Piet Slagveld"]
CALLUM = SPEEDS["Callum Ferreby"]
OFF = (-3, -1, -0.4, 0.4, 1, 3)  # Six swings about their median.


def speed_drill(student, name="Speed test", **fields):
    return make_drill(student.studio, name, dose="6@max", area=Area.SPEED, is_test=True, **fields)


def one_day(student, drill, figure, *, days_ago=0, off=OFF, quantity="ball_speed", **fields):
    """One test of one day: swings about `figure`, in mph."""
    club, _ = Club.objects.get_or_create(student=student, name="Driver", defaults={"loft": 10})
    given = {"device": "box", "ball": "bay ball", "place": "bay 1", "indoors": True}
    sitting = Sitting.objects.create(
        student=student,
        drill=drill,
        day=today_of(student) - timedelta(days=days_ago),
        **given | fields,
    )
    Shot.objects.bulk_create(
        Shot(
            sitting=sitting,
            student=student,
            number=number,
            club=club,
            effort=100,
            **{quantity: SPEED["mph"].to_si(figure + each)},
        )
        for number, each in enumerate(off, start=1)
    )
    return sitting


def many_days(student, figures, *, apart=6, drill=None, **fields):
    """A test every `apart` days, the last one today."""
    drill = drill or speed_drill(student)
    for ago, figure in enumerate(reversed(figures)):
        one_day(student, drill, figure, days_ago=apart * ago, **fields)
    return drill
