"""Who needs me at any instant, as rows of plain values: now, or as it was known then."""

from collections.abc import Collection, Iterable
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Q
from django.utils import timezone

from coaching.board.forecasting import past_of
from coaching.board.read import BoardPerson, Raw
from coaching.board.read_as_of import people_as_of, raw_as_of, with_numbers
from coaching.board.rows import JudgedStudent, bar_of, group_of, judge_student, said
from coaching.board.rules.order import in_order, marks_of
from coaching.board.rules.states import state_words
from coaching.board.weighing import facts_of
from coaching.forecast.forecast import EVENING
from coaching.forecast.rhythm_fit import rhythm_from
from coaching.forecast.studio_rhythms import UNKNOWN, Known
from shared.people.models import Student, Studio

FORMAT = 1
RAN_BY = timedelta(days=1)  # Since then at the latest the tick has made what it makes.


def standing_at(
    at: datetime, studio: Studio | None = None, *, reads_pain: bool = True
) -> list[dict[str, Any]]:
    """One row per student, in the order of the board, from what was known at `at`.

    Nothing logged, changed, excused, accepted, cleared or set later has any part in it.
    Not undone are a studio's first weekday, a drill's name, a student's clubs and who
    leads a student; students erased since are gone.
    """
    students = Student.objects.filter(Q(left_on=None) | Q(left_on__gt=at.date()))
    if studio is not None:
        students = students.filter(studio=studio)
    persons = with_numbers(people_as_of(students.order_by("name", "pk"), at), at)
    raw = raw_as_of(persons, at)
    return rows_of(judged_of(as_made_then(persons, raw, at), raw), reads_pain=reads_pain)


def as_made_then(
    persons: Iterable[BoardPerson], raw: dict[Any, Raw], at: datetime
) -> list[BoardPerson]:
    """Where the app did not run at that time (the past came with an import), each studio's
    rhythm is made from what was known then, as the app would have made it that week."""
    persons = list(persons)
    if timezone.now() - at < RAN_BY:
        return persons
    missing = {person.studio for person in persons if person.known is UNKNOWN}
    made = {studio: _rhythm([p for p in persons if p.studio == studio], raw) for studio in missing}
    return [
        person._replace(known=made[person.studio]) if person.known is UNKNOWN else person
        for person in persons
    ]


def _rhythm(persons: Iterable[BoardPerson], raw: dict[Any, Raw]) -> Known:
    persons = list(persons)
    delays = [
        max(0, on - day)
        for person in persons
        for tally in raw[person.id].tallies
        if tally.opens < person.opens
        for day, on in tally.entries
    ]
    enough = persons[0].borders.finish_share
    return Known(rhythm_from([past_of(p, raw[p.id]) for p in persons], delays, enough))


def judged_of(persons: Collection[BoardPerson], raw: dict[Any, Raw]) -> list[JudgedStudent]:
    return [judge_student(p, raw[p.id], facts_of(p, raw[p.id])) for p in persons]


def rows_of(judged: Iterable[JudgedStudent], *, reads_pain: bool = True) -> list[dict[str, Any]]:
    by_id = {str(each.person.id): each for each in judged}
    ordered = in_order(each.place for each in by_id.values())
    return [
        _row(by_id[place.who], number, reads_pain=reads_pain)
        for number, place in enumerate(ordered, start=1)
    ]


def _row(judged: JudgedStudent, number: int, *, reads_pain: bool) -> dict[str, Any]:
    words, facts, week = said(judged, reads_pain=reads_pain), judged.facts, judged.week
    bar = bar_of(judged)
    look, decided = facts.outlook, facts.decided
    chance = decided.forecast if decided else None
    return {
        "place": number,
        "student": str(judged.person.id),
        "name": judged.person.name,
        "studio": str(judged.person.studio),
        "today": str(facts.today),
        "is_evening": judged.person.hour >= EVENING,
        "week_opens": str(facts.opens),
        "group": group_of(judged).value,
        "state": state_words(judged.state, reads_pain=reads_pain),
        "marks": [mark.value for mark in marks_of(facts, judged.care)],
        "reason": words.reason,
        "since": words.since,
        "action": words.action,
        "back": words.back,
        "minutes_assigned": round(bar.asked, 6),
        "minutes_logged": round(week.minutes, 6) if week else 0,
        "minutes_credited": round(bar.done, 6),
        "minutes_expected_by_now": None if bar.pin is None else round(bar.pin, 6),
        "minutes_left": round(facts.left, 6),
        "credit": None if week is None or week.credit is None else round(week.credit, 9),
        "forecast": {
            "chance": None if chance is None else round(chance.chance, 6),
            "of_credit": facts.borders.finish_share,
            "stands_on_weeks": None if chance is None else chance.weeks,
            "own_share": None if chance is None else round(chance.own_share, 4),
            "decides": "chance" if decided and decided.forecast_decides else "count",
            "share": look.share,
            "came_through": look.came_through,
            "weeks_counted": look.counted,
            "word": look.pace.value,
        },
    }
