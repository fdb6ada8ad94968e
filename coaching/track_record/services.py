"""What the tick does here: make rhythms, note Wednesday's words, write down how they came out.

The database decides what is still to do, and a unique key says that it is done, so the
tick may come twice, late or from two machines.
"""

from collections.abc import Iterable, Iterator
from datetime import date, datetime, time, timedelta
from functools import cache, partial
from itertools import islice
from uuid import UUID
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce
from django.utils import timezone

from coaching.board.rows import judge_student
from coaching.board.weighing import facts_of
from coaching.forecast.deciding import Record, record_of
from coaching.forecast.models import StudioRhythm
from coaching.forecast.own_thresholds import thresholds_of
from coaching.forecast.studio_rhythms import histories_of
from coaching.track_record.as_of import Past, past_of
from coaching.track_record.models import WordKept
from practice.compliance.models import WeekTally
from practice.weeks.models import Week
from shared.jobs.sweep import hourly, sweep
from shared.kit.weeks import DAYS_IN_WEEK, day_starts_at, practice_day, utc_instant, week_start
from shared.people.access import of_recordable, recordable
from shared.people.models import Student, Studio

WEDNESDAY = 2
EVENING = time(21)  # The student's own; whoever practises after work has written by then.
FIRST_ZONE = "Etc/GMT-14"  # Where every day begins first: 14 hours ahead of UTC.
LAST_ZONE = "Etc/GMT+12"  # 12 hours behind.
SETTLES = timedelta(days=2)  # After the week: what is written late still counts.
A_TICK = 600  # Or as many as a sweep has time for.
CLOSED_AT_ONCE = 5_000
RECORD_WEEKS = 104


def tick() -> int:
    """Everything that is due. Returns how many rows were added or closed."""
    now = timezone.now()
    return note_words(now) + close_words(now) + make_rhythms(now)


# --- rhythms -----------------------------------------------------------------------


def make_rhythms(now: datetime) -> int:
    """For each studio without one this week: its rhythm from the weeks before."""
    made = sweep(
        "studio rhythms",
        lambda: _without_rhythm(now),
        lambda studio: make_rhythm(studio.pk, _opens(studio, now), now),
    )
    return sum(made)


def _without_rhythm(now: datetime) -> Iterator[Studio]:
    """Studios without a rhythm of the week that runs on their clock."""
    recent = StudioRhythm.objects.filter(opens__gte=now.date() - timedelta(days=DAYS_IN_WEEK + 1))
    made = set(recent.values_list("studio", "opens"))
    for studio in Studio.objects.order_by("pk").iterator():
        if (studio.pk, _opens(studio, now)) not in made:
            yield studio


def _opens(studio: Studio, now: datetime) -> date:
    return week_start(practice_day(now, studio.time_zone), studio.first_weekday)


def make_rhythm(studio: UUID, opens: date, now: datetime) -> int:
    """Make and keep one; nothing happens if there is one. Five queries."""
    from coaching.forecast.rhythm_fit import rhythm_from

    weeks, delays = histories_of(studio, opens)
    enough = thresholds_of(studio).finish_share
    row = StudioRhythm(
        studio_id=studio,
        opens=opens,
        made_at=now,
        figures=rhythm_from(weeks.values(), delays, enough).as_json(),
        record=record_at(studio, opens).as_json(),
    )
    StudioRhythm.objects.bulk_create([row], ignore_conflicts=True)
    return 1


def record_at(studio: UUID, before: date) -> Record:
    """How count and chance came out on the Wednesdays of two years, of the same line."""
    rows = (
        WordKept.objects.filter(
            Q(student__studio=studio) | Q(studio=studio),
            opens__gte=before - timedelta(weeks=RECORD_WEEKS),
            opens__lt=before,
            reached__isnull=False,
            chance__isnull=False,
            share_of_line__isnull=False,
        )
        .order_by("opens", "pk")
        .values_list("chance", "share_of_line", "reached", Coalesce("student", "was"))
    )
    chances, shares, came, who = zip(*rows, strict=True) if rows else ((), (), (), ())
    return record_of(chances, shares, came, who)


# --- Wednesday's words --------------------------------------------------------------


def wednesday_of(opens: date) -> date:
    return opens + timedelta(days=(WEDNESDAY - opens.weekday()) % DAYS_IN_WEEK)


def spoken_at(student: Student, opens: date) -> datetime:
    """Wednesday evening of that week, on the student's own clock."""
    return _spoken_at(opens, student.time_zone)


def _spoken_at(opens: date, zone: str) -> datetime:
    return utc_instant(wednesday_of(opens), EVENING, zone)


def note_words(now: datetime) -> int:
    """Note what was said of every week whose Wednesday evening has come; at most A_TICK."""

    def note(pk: UUID) -> None:
        week = Week.objects.select_related("student__studio").get(pk=pk)
        word = note_of(past_of(recordable(week.student)), week.opens, now)
        WordKept.objects.bulk_create([word], ignore_conflicts=True)

    due = partial(hourly, "every word noted", _unnoted, now, A_TICK)
    return len(sweep("words to note", due, note, most=A_TICK, key=str))


def _unnoted(now: datetime) -> Iterator[UUID]:
    """Sent weeks whose Wednesday evening has come and of which nothing is noted, oldest first."""
    days = _days(now.date() - timedelta(days=DAYS_IN_WEEK + 1), now.date() + timedelta(days=1))
    kept = WordKept.objects.filter(student=OuterRef("student"), opens=OuterRef("opens"))
    weeks = Week.objects.filter(
        ~Exists(kept),
        of_recordable(),
        state=Week.State.SENT,
        opens__in=[day for day in days if _spoken_at(day, FIRST_ZONE) <= now],
    ).order_by("opens", "pk")
    rows = weeks.values_list("pk", "opens", "sent_at", "student__time_zone")
    at = cache(_spoken_at)  # Thousands share a few zones.
    return (
        pk
        for pk, opens, sent_at, zone in rows.iterator()
        if (sent_at or now) <= at(opens, _known(zone)) <= now
    )


def _days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


@cache
def _known(zone: str) -> str:
    """The zone, or the one where every day ends last for one that has left the list of zones.

    So a row that nobody can reckon stops no look; what is done with it says what is wrong.
    """
    try:
        return ZoneInfo(zone).key
    except (ZoneInfoNotFoundError, ValueError):
        return LAST_ZONE


def note_of(past: Past, opens: date, now: datetime) -> WordKept:
    """What the board said of this week on its Wednesday evening, from what was known then."""
    at = spoken_at(past.student, opens)
    person, raw = past.at(at)
    facts = facts_of(person, raw)
    decided = facts.decided
    said = decided.forecast if decided else None
    return WordKept(
        student=past.student,
        opens=opens,
        at=at,
        said=str(judge_student(person, raw, facts).state),
        chance=said.chance if said else None,
        share=facts.outlook.share,
        share_of_line=decided.share_of_line if decided else None,
        by_forecast=bool(decided and decided.forecast_decides),
        enough=person.borders.finish_share,
        noted_at=now,
    )


# --- how they came out ----------------------------------------------------------------


def close_words(now: datetime) -> int:
    """Write down how the words of the weeks that are over came out.

    Each is looked at when its week is over and once more two days later: what was written late
    until then counts. Then it stands.
    """
    due = partial(hourly, "every word closed", _to_close, now, CLOSED_AT_ONCE)
    return len(sweep("words to close", due, lambda word: word.save(), most=CLOSED_AT_ONCE))


def _to_close(now: datetime) -> list[WordKept]:
    """Words of which it is time to say how they came out, filled in. Four queries.

    `closed_at` is when a word was looked at last. Two days after its first look the week is
    still among the nearest; two days after its second it is not.
    """
    words = WordKept.objects.filter(of_recordable())
    first = now.date() - timedelta(days=DAYS_IN_WEEK) - SETTLES
    settled = words.filter(
        closed_at__gt=now - 2 * SETTLES,
        closed_at__lte=now - SETTLES,
        # Day by day: so the index leads to those that are due, past all that came out for good.
        opens__in=_days(first, now.date() + timedelta(days=1)),
    ).order_by("closed_at", "opens")
    pks = [*_over(words, now), *settled.values_list("pk", flat=True)[:CLOSED_AT_ONCE]]
    due = list(WordKept.objects.filter(pk__in=pks).order_by("opens", "pk"))
    found = _tallies(due)
    for word in due:
        _close(word, found.get(_key(word)), now)
    return due


def _over(words: QuerySet[WordKept], now: datetime) -> Iterator[UUID]:
    """Words without an outcome whose week is over on the student's clock: so many at once."""
    last = practice_day(now, FIRST_ZONE) - timedelta(days=DAYS_IN_WEEK)
    opened = words.filter(closed_at=None, opens__lte=last).order_by("opens", "pk")
    rows = opened.values_list("pk", "opens", "student__time_zone")
    ends = cache(day_starts_at)  # Thousands share a few zones.
    week = timedelta(days=DAYS_IN_WEEK)
    over = (pk for pk, opens, zone in rows.iterator() if ends(opens + week, _known(zone)) <= now)
    return islice(over, CLOSED_AT_ONCE)


def _tallies(words: Iterable[WordKept]) -> dict[tuple[UUID | None, date], WeekTally]:
    words = list(words)
    rows = WeekTally.objects.filter(
        student__in={word.student_id for word in words}, opens__in={word.opens for word in words}
    )
    return {(row.student_id, row.opens): row for row in rows.only("student", "opens", "credit")}


def _key(word: WordKept) -> tuple[UUID | None, date]:
    return word.student_id, word.opens


def _close(word: WordKept, tally: WeekTally | None, now: datetime) -> None:
    """Fill in the outcome. An excused week came out neither way."""
    credit = tally.credit if tally else None
    word.credit, word.closed_at = credit, now
    word.reached = None if credit is None else credit >= word.enough - 1e-9
