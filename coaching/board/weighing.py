"""From what was read of a student to the facts that the rules judge."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from coaching.board.forecasting import decided_by
from coaching.board.read import BoardPerson, Raw, Tally, grouped_by_day
from coaching.board.rules import habits
from coaching.board.rules.drill import DrillCheck, drill_to_change
from coaching.board.rules.facts import (
    Counts,
    CrammingFacts,
    EventFacts,
    Facts,
    LoadBeside,
    PartFacts,
    PlanSizeFacts,
)
from coaching.board.rules.news import speed_down
from coaching.board.rules.no_word import NoWordSpell, Written, logs_later, silence
from coaching.board.rules.trend import WEEKS as TREND_WEEKS
from coaching.board.rules.trend import CreditTrend, drift, trend
from coaching.forecast.outlook import (
    WEEKS_COUNTED,
    OpenPart,
    Outlook,
    Pace,
    WeekOfDays,
    judge,
    minutes_to_step,
    out_of_days,
    out_of_days_since,
    pace_since,
    unlikely_by_arithmetic,
)
from practice.care.load import is_past_the_plan
from practice.numbers.now.values import Numbers

WEEK = timedelta(weeks=1)
COUNTS_WEEKS = 4
LOAD_WEEKS = 4
LEFT_ALONE_DAYS = 7


def facts_of(person: BoardPerson, raw: Raw) -> Facts:
    """Weigh one student's weeks on the student's own practice day."""
    week = this_week(person, raw)
    parts = parts_of(raw, person.opens)
    by_count = _outlook(person, raw, week, parts)
    outlook, since, to_step, decided = decided_by(person, raw, week, by_count)
    load = _load(person, raw, week)
    written = _written(raw)
    first_days, skipped = _first_part(person, raw)
    return Facts(
        today=person.today,
        opens=person.opens,
        silence=_silence(person, raw, written),
        outlook=outlook,
        outlook_since=since,
        to_step=to_step,
        decided=decided,
        has_week=bool(week and week.has_plan),
        is_sent_ahead=raw.is_sent_ahead,
        excused=all(day in raw.excused for day in _days(person.opens)),
        excused_since=_excused_end(person.today, raw, -1),
        excused_until=_excused_end(person.today, raw, 1),
        finished=bool(week and week.finished),
        done_on=_done_on(week),
        asked=week.asked_minutes if week else 0,
        credited=week.credited_minutes if week else 0,
        unasked=week.unplanned_minutes if week else 0,
        parts=parts,
        write_up_weekday=logs_later(written),
        stops=tuple(raw.stops),
        pains=tuple(raw.pains),
        first_part_days=first_days,
        first_part_skipped=skipped,
        load=load,
        cramming=_cramming(person, raw),
        favourite=habits.favourite(_minutes_by_part(person, raw)),
        size=_size(person, raw, week),
        counts=_counts(person, raw),
        event=_event(person),
        minor=person.may_be_at_most(17),
        past_plan=_past_plan(person, raw, week, jump=load.jump),
        drill=_drill(person, raw),
        trend=_trend(person, raw),
        drift=drift({entry.day for entry in written}, person.today, raw.excused),
        numbers=_numbers(person),
        speed_down=speed_down(person.numbers, person.today),
        borders=person.borders,
        asks_since=raw.asks_since,
    )


def _numbers(person: BoardPerson) -> Numbers:
    """Of somebody who grows, nothing is made of speed."""
    return replace(person.numbers, speed=None) if person.may_be_at_most(17) else person.numbers


def _drill(person: BoardPerson, raw: Raw) -> DrillCheck | None:
    """Priority 1 as a question, where it is the same drill as in the week before."""
    weeks = [raw.parts.get(person.opens - n * WEEK, []) for n in range(2)]
    if not all(weeks) or len({parts[0]["drill"] for parts in weeks}) > 1:
        return None
    counted = raw.counted.get(weeks[0][0]["drill"])
    if not counted:
        return None
    past = past_weeks(person, raw)
    shares = [t.priority_credit for t in past if t.priority_credit is not None]
    return drill_to_change(weeks[0][0]["name"], shares, counted, person.usual.reps)


def _trend(person: BoardPerson, raw: Raw) -> CreditTrend:
    """Credit of the eight weeks before this one, from the first of them that is known."""
    known = {tally.opens: tally for tally in raw.tallies if tally.has_plan}
    weeks = [person.opens - n * WEEK for n in range(TREND_WEEKS, 0, -1)]
    first = min(known, default=person.opens)
    rows = [known.get(week) for week in weeks if week >= first]
    shares = [row.credit if row and row.open_days else None for row in rows]
    found = trend(shares, [n for n, row in enumerate(rows) if row and not row.open_days])
    return replace(found, finished=sum(bool(r and r.open_days and r.finished) for r in rows))


def this_week(person: BoardPerson, raw: Raw) -> Tally | None:
    return next((tally for tally in raw.tallies if tally.opens == person.opens), None)


def past_weeks(person: BoardPerson, raw: Raw) -> list[Tally]:
    """Past weeks with a plan and at least one open day, oldest first."""
    return [t for t in raw.tallies if t.opens < person.opens and t.has_plan and t.open_days]


def parts_of(raw: Raw, opens: date) -> tuple[PartFacts, ...]:
    return tuple(_part(row) for row in raw.parts.get(opens, []))


def _part(row: dict[str, Any]) -> PartFacts:
    return PartFacts(
        name=row["name"],
        priority=row["priority"],
        credit=row["credit"],
        sessions_asked=row["asked_sessions"],
        sessions_done=row["sessions_done"],
        session_minutes=row["minutes"],
        minutes_left=row["left_minutes"],
        minutes_done=row["done_minutes"],
        by_total=row["by_total"],
        stopped=row["stopped"],
        by_day=tuple(row.get("by_day", ())),
    )


def _days(opens: date) -> list[date]:
    return [opens + timedelta(days=n) for n in range(7)]


# --- outlook -------------------------------------------------------------------


def _outlook(
    person: BoardPerson, raw: Raw, week: Tally | None, parts: tuple[PartFacts, ...]
) -> tuple[Outlook, date | None, float | None]:
    """The outlook, the day since when it is so, and the minutes today that would mend it."""
    open_parts = [part for part in parts if part.credit is not None and not part.stopped]
    left = sum(part.minutes_left for part in open_parts)
    today = (person.today - person.opens).days
    anything = bool(week and _at(week.minutes_by_day, today))
    past = [
        WeekOfDays(t.opens, tuple(t.credited_by_day), t.finished)
        for t in past_weeks(person, raw)[-WEEKS_COUNTED:]
    ]
    weeks = [w.from_now_on(today=today, anything_today=anything) for w in past]
    outlook = judge(left, weeks, person.borders)
    if week is None:
        return outlook, None, None
    lost, since = _out_of_days(person, raw, week, open_parts, anything_today=anything)
    if lost:
        return unlikely_by_arithmetic(outlook, lost), since, None
    began = pace_since(outlook, week.credited_by_day[: today + 1], past, person.borders)
    to_step = None
    if outlook.pace in {Pace.TIGHT, Pace.UNLIKELY}:
        to_step = minutes_to_step(left, past, today=today, borders=person.borders)
    since = person.today if began is None else person.opens + timedelta(days=began)
    return outlook, since, to_step


def _at(by_day: list[float] | None, offset: int) -> float:
    return by_day[offset] if by_day and offset < len(by_day) else 0


def _out_of_days(
    person: BoardPerson,
    raw: Raw,
    week: Tally,
    parts: list[PartFacts],
    *,
    anything_today: bool,
) -> tuple[tuple[str, ...], date]:
    """Parts with too many sessions left for the open days, and since when that is so."""
    today = (person.today - person.opens).days
    first = today + 1 if anything_today else today
    days = [n for n, day in enumerate(_days(person.opens)) if day not in raw.excused]
    left = [
        OpenPart(part.priority, part.sessions_left, part.session_minutes, part.by_total, part.name)
        for part in parts
    ]
    lost = out_of_days(left, days_left=sum(n >= first for n in days), asked=week.asked_minutes)
    since = today
    if lost:
        since = out_of_days_since(
            left,
            [part.by_day for part in parts],
            open_days=days,
            today=today,
            asked=week.asked_minutes,
        )
    return lost, person.opens + timedelta(days=since)


def _done_on(week: Tally | None) -> date | None:
    if week is None:
        return None
    days = [n for n, minutes in enumerate(week.credited_by_day) if minutes]
    return week.opens + timedelta(days=days[-1]) if days else None


# --- silence -------------------------------------------------------------------


def _written(raw: Raw) -> list[Written]:
    return [
        Written(tally.opens + timedelta(days=day), tally.opens + timedelta(days=on))
        for tally in raw.tallies
        for day, on in tally.entries
    ]


def _silence(person: BoardPerson, raw: Raw, written: list[Written]) -> NoWordSpell:
    """A week that is sent to a newcomer on its Sunday has asked nothing before that day."""
    asked = [tally.opens for tally in raw.tallies if tally.has_plan]
    return silence(
        {entry.on for entry in written},
        person.today,
        excused=raw.excused,
        start=max(person.joined_on, min(asked, default=person.today)),
        borders=person.borders,
    )


def _excused_end(today: date, raw: Raw, step: int) -> date | None:
    """The last (step 1) or first (-1) of the excused days in a row that today is one of."""
    if today not in raw.excused:
        return None
    day = today
    while day + timedelta(days=step) in raw.excused:
        day += timedelta(days=step)
    return day


# --- habits --------------------------------------------------------------------


def _load(person: BoardPerson, raw: Raw, week: Tally | None) -> LoadBeside:
    known = {tally.opens: tally.hard_swings for tally in raw.tallies}
    before = [known.get(person.opens - n * WEEK) for n in range(LOAD_WEEKS, 0, -1)]
    now = week.hard_swings if week else 0
    return habits.load(before, now, under_16=person.may_be_at_most(15), borders=person.borders)


def _cramming(person: BoardPerson, raw: Raw) -> CrammingFacts:
    """Before the lessons that were held. Where none is written down, one a week is taken
    for granted, on the weekday of the next one, else at the week's end."""
    weekday = person.next_lesson.weekday() if person.next_lesson else person.first_weekday
    last = person.today - timedelta(days=(person.today.weekday() - weekday) % 7)
    weekly = [last - n * WEEK for n in range(habits.LESSONS_LOOKED_AT)]
    return habits.cramming(
        grouped_by_day(raw.tallies, "minutes_by_day"),
        grouped_by_day(raw.tallies, "planned_by_day"),
        raw.lessons or weekly,
        weekly_assumed=not raw.lessons,
        borders=person.borders,
    )


def _minutes_by_part(person: BoardPerson, raw: Raw) -> list[list[habits.PartMinutes]]:
    """Parts of the newest weeks with anything done, this one first."""
    weeks = [raw.parts.get(person.opens - n * WEEK, []) for n in range(3)]
    return [
        [
            habits.PartMinutes(
                row["name"],
                row["priority"],
                row["done_minutes"],
                row["asked_minutes"],
                row["credit"],
            )
            for row in parts
            if row["credit"] is not None
        ]
        for parts in weeks
        if any(row["done_minutes"] for row in parts)
    ]


def _size(person: BoardPerson, raw: Raw, week: Tally | None) -> PlanSizeFacts:
    past = past_weeks(person, raw)
    return habits.plan_size(
        week.asked_minutes if week else 0,
        [tally.minutes for tally in past],
        [tally.credit for tally in past],
    )


def _counts(person: BoardPerson, raw: Raw) -> Counts:
    since = person.opens - (COUNTS_WEEKS - 1) * WEEK
    recent = [tally for tally in raw.tallies if tally.opens >= since]
    return habits.counts(
        sum(tally.counts_as_asked for tally in recent),
        sum(tally.counts_given for tally in recent),
        tapped=sum(tally.counts_tapped for tally in recent),
        checked=raw.is_checked,
        borders=person.borders,
    )


def _event(person: BoardPerson) -> EventFacts | None:
    return EventFacts(person.next_event_name, person.next_event) if person.next_event else None


# --- care ----------------------------------------------------------------------


def _first_part(person: BoardPerson, raw: Raw) -> tuple[tuple[date, ...], bool]:
    """The last two days on which part 1 was done, and whether it is left alone now."""
    plan = next((raw.parts[t.opens] for t in raw.tallies[::-1] if raw.parts[t.opens]), [])
    if not plan:
        return (), False
    days = raw.days_of_drill.get(plan[0]["drill"], set())
    last = tuple(sorted(days, reverse=True)[:2])
    alone = bool(last) and (person.today - last[0]).days >= LEFT_ALONE_DAYS
    return last, alone


def _past_plan(person: BoardPerson, raw: Raw, week: Tally | None, *, jump: bool) -> bool:
    """Far more than asked of a part, or in all, where that is worth the coach's eye."""
    if week is None:
        return False
    hurt = any(pain.day >= person.opens for pain in raw.pains)
    amounts = [_reps(row) for row in raw.parts.get(person.opens, [])]
    return any(
        is_past_the_plan(done, asked, jump=jump, pain=hurt, priority_credit=week.priority_credit)
        for done, asked in [*amounts, (week.minutes, week.asked_minutes)]
    )


def _reps(row: dict[str, Any]) -> tuple[float, float]:
    """Done and asked of a part in the week, in the units of its dose."""
    steps = row["steps"]
    return sum(step["done"] for step in steps), sum(step["asked"] for step in steps)
