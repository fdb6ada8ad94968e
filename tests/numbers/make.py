"""Clubs and balls as a test needs them."""

import uuid
from datetime import timedelta

from practice.shots.models import Club, Shot, Sitting
from shared.people.today import today_of

OSKAR = {
    "58°": {"hip": 36, "chest": 46, "full": 80},
    "54°": {"hip": 48, "chest": 57, "full": 94},
    "50°": {"hip": 60, "chest": 71, "full": 107},
    "46°": {"hip": 72, "chest": 84, "full": 119},
}
SPREAD = (-2, -1, -0.5, 0, 0.5, 1, 2)
AT_65 = (70, 68.5, 71, 66.5, 69.5, 70.5, 67, 69, 71.5, 68)
AT_40 = (34, 41, 37, 45, 36, 39, 33, 44, 38, 40)


def sitting(student, *, days_ago=0, **fields):
    day = today_of(student) - timedelta(days=days_ago)
    given = {"device": "box", "place": "bay 1", "indoors": True}
    return Sitting.objects.create(student=student, day=day, **given | fields)


def balls(kept, club, carries, **fields):
    first = kept.shots.count() + 1
    sides = fields.pop("sides", [None] * len(carries))
    Shot.objects.bulk_create(
        Shot(
            sitting=kept,
            student=kept.student,
            number=number,
            club=club,
            carry=carry,
            side=side,
            **fields,
        )
        for number, (carry, side) in enumerate(zip(carries, sides, strict=True), start=first)
    )


def club(student, name="54°", loft=54.0, **fields):
    return Club.objects.create(student=student, name=name, loft=loft, **fields)


def card(student, means=None, *, spread=SPREAD, days=1, **fields):
    """A whole card about these means, hit on so many days; returns the clubs by name."""
    kept = [sitting(student, **{"days_ago": 7 * back} | fields) for back in range(days)]
    clubs = {}
    for name, lengths in (means or OSKAR).items():
        clubs[name] = club(student, name, float(name.rstrip("°")))
        for length, mean in lengths.items():
            for each in kept:
                balls(each, clubs[name], [mean + off for off in spread], length=length)
    return clubs


def typed(club_id, **fields):
    """What the form for a line of balls sends."""
    return {
        "id": str(uuid.uuid4()),
        "club": str(club_id),
        "length": "hip",
        "carries": "58 61 60,5 59.5; 60",
        "day": str(fields.pop("day", "")),
        "evidence": "measured",
    } | fields
