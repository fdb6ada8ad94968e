"""How was this worked out? Every figure of a row with its arithmetic, as rows of text."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from math import floor

from coaching.board.read import Raw, Tally
from coaching.board.rows import JudgedStudent, Viewer, bar_of, figures_of, said
from coaching.board.rules.facts import Facts, PartFacts
from coaching.board.rules.habits import LESSONS_LOOKED_AT
from coaching.board.rules.states import state_words
from coaching.board.rules.text import Words
from coaching.board.rules.trend_text import worked_out
from coaching.forecast import deciding
from coaching.forecast.outlook import WEEKS_COUNTED, Counted
from practice.compliance.credit import DAY_LINE
from practice.compliance.note_text import sentences, spread_words
from shared.kit.drawing.work_bar import WorkBar
from shared.kit.text import capital, date_words, in_minutes, listed, many
from shared.kit.text import whole_percent as percent

COUNTED_AS = {True: "came through", False: "did not", None: "left out: less was left, all done"}


@dataclass(frozen=True, slots=True)
class FigureTable:
    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class FigureSection:
    title: str
    lines: tuple[str, ...]
    table: FigureTable | None = None


@dataclass(frozen=True, slots=True)
class WorkedOut:
    state: str
    words: Words
    bar: WorkBar
    figures: tuple[tuple[str, str], ...]
    sections: tuple[FigureSection, ...]


def worked_out_of(judged: JudgedStudent, raw: Raw, viewer: Viewer) -> WorkedOut:
    facts = judged.facts
    return WorkedOut(
        state=state_words(judged.state, reads_pain=viewer.reads_pain),
        words=said(judged, reads_pain=viewer.reads_pain, units=viewer.units),
        bar=bar_of(judged),
        figures=figures_of(judged),
        sections=(
            credit_section(facts, judged.week),
            notes_section(raw, facts.opens),
            spread_section(facts, judged.week),
            left_section(facts),
            outlook_section(facts),
            silence_section(facts),
            load_section(facts, raw),
            habits_section(facts),
            FigureSection("Weeks", worked_out(facts.trend, facts.drift)),
        ),
    )


# --- this week ----------------------------------------------------------------------


def credit_section(facts: Facts, week: Tally | None) -> FigureSection:
    if week is None or not facts.has_week:
        return FigureSection(
            "Week", ("No week is sent for these days, so there is nothing to credit.",)
        )
    counted = [part for part in facts.parts if part.credit is not None]
    asked = sum(part.sessions_asked * part.session_minutes for part in counted)
    lines = [
        f"A day counts at most {DAY_LINE:g} times the dose of a part, unless any day will do.",
    ]
    if week.credit is not None:
        lines.append(
            f"Week = {_one(week.credited_minutes)} of {_one(asked)} minutes credited "
            f"= {percent(week.credit)} %, rounded down."
        )
    if week.open_days < 7:
        lines.append(
            f"{capital(many(7 - week.open_days, 'day'))} excused: visits asked are "
            f"those of the plan × {week.open_days} / 7, a half rounded up."
        )
    head = ("Part", "Visits credited", "Credit", "Visits × minutes")
    return FigureSection(
        "Week",
        tuple(lines),
        FigureTable("Parts this week", head, tuple(map(_part_row, facts.parts))),
    )


def _part_row(part: PartFacts) -> tuple[str, ...]:
    name = f"{part.priority}. {part.name}{' (by total)' if part.by_total else ''}"
    if part.credit is None:
        return (name, "excused or stopped", "not counted", "0")
    minutes = part.sessions_done * part.session_minutes
    return (
        name,
        f"{_two(part.sessions_done)} of {_two(part.sessions_asked)}",
        f"{percent(part.credit)} %",
        f"{_two(part.sessions_done)} × {_two(part.session_minutes)} = {_one(minutes)}",
    )


def notes_section(raw: Raw, opens: date) -> FigureSection:
    """Why what was done counts as it does: a sentence each, part by part."""
    lines = [
        f"{part['name']}: {sentence}"
        for part in raw.parts.get(opens, [])
        for sentence in sentences(part, opens)
    ]
    return FigureSection(
        "How it counts", tuple(lines or ["Nothing more to say: done is what counts."])
    )


def spread_section(facts: Facts, week: Tally | None) -> FigureSection:
    """Days apart from volume, so that neither hides the other."""
    if week is None or not week.minutes_by_day:
        return FigureSection("Days", ("Nothing logged this week.",))
    words = spread_words(week.minutes_by_day, week.planned_by_day or [], week.opens, facts.today)
    return FigureSection("Days", (words or "Nothing logged this week.",))


def left_section(facts: Facts) -> FigureSection:
    open_parts = [p for p in facts.parts if p.credit is not None and not p.stopped]
    if not open_parts:
        return FigureSection("Minutes left", ("Nothing is asked now, so nothing is left.",))
    terms = " + ".join(f"{_one(part.minutes_left)} ({part.name})" for part in open_parts)
    return FigureSection("Minutes left", (f"{terms} = {_one(facts.left)} minutes.",))


# --- outlook ------------------------------------------------------------------------


def outlook_section(facts: Facts) -> FigureSection:
    look, borders = facts.outlook, facts.borders
    lines = [
        (
            f"Of the last {WEEKS_COUNTED} open weeks: those in which at least {_one(facts.left)} "
            "minutes were credited from this point of the week on came through. Weeks finished "
            "with less left tell nothing and are left out."
        ),
    ]
    if look.share is None:
        lines.append(
            f"{capital(many(look.counted, 'week'))} to count; at least {borders.weeks_needed} "
            "are needed, so it is too soon to say."
        )
    else:
        lines.append(
            f"({look.came_through} + 1) / ({look.counted} + 2) = {look.share:.2f}. "
            f"{borders.in_step_from:.2f} and more is In step, {borders.tight_from:.2f} and more "
            "Tight, less is Unlikely. Lines of the studio."
        )
    if look.by_arithmetic:
        lines.append(
            f"Whatever the weeks say: more of {listed(look.lost)} is left than "
            f"{DAY_LINE:g} a day can hold, unless the part is made shorter."
        )
    lines += chance_lines(facts)
    head = ("Week from", "Minutes from here on", "Finished", "Counts as")
    return FigureSection(
        "Outlook", tuple(lines), FigureTable("Past weeks", head, _weeks(look.weeks))
    )


def chance_lines(facts: Facts) -> list[str]:
    """The chance beside the count: what it stands on, and which of the two gives the word."""
    decided = facts.decided
    if decided is None or decided.forecast is None:
        return []
    said = decided.forecast
    today, last = facts.today.weekday(), (facts.opens + timedelta(days=6)).weekday()
    lines = [
        deciding.reason(said, today, last),
        deciding.chance_words(said),
        deciding.disagreement(decided),
        deciding.why(decided),
    ]
    return [line for line in lines if line]


def _weeks(weeks: Iterable[Counted]) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (
            date_words(counted.week.opens),
            _one(counted.week.late),
            "yes" if counted.week.finished else "no",
            COUNTED_AS[counted.came_through],
        )
        for counted in weeks
    )


# --- silence, load, habits ------------------------------------------------------------


def silence_section(facts: Facts) -> FigureSection:
    quiet = facts.silence
    usual = (
        f"The longest gap between days of writing in six weeks was {quiet.longest_gap}, "
        if quiet.longest_gap is not None
        else "There is no gap to go by yet, "
    )
    lines = [
        (
            f"{capital(many(quiet.days, 'day'))} since {date_words(quiet.since)}, "
            "excused days left out."
        ),
        (
            f"{usual}so No word begins on day {quiet.quiet_from}: the larger of "
            f"{facts.borders.quiet_days} and {facts.borders.quiet_times:g} times that gap, "
            "rounded up."
        ),
    ]
    if facts.write_up_weekday is not None:
        lines.append(
            "Half or more of the last entries were written two days or more after the practice, "
            "and three quarters or more on one weekday: Logs later."
        )
    return FigureSection("Last word", tuple(lines))


def load_section(facts: Facts, raw: Raw) -> FigureSection:
    load = facts.load
    weeks = [facts.opens - timedelta(weeks=n) for n in range(4, 0, -1)]
    known = {tally.opens: tally.hard_swings for tally in raw.tallies}
    before = ", ".join(str(known.get(week, "not known")) for week in weeks)
    base = (
        f"usual {round(load.usual)} (the mean)"
        if load.usual is not None
        else "no usual yet: three known weeks are needed"
    )
    borders = facts.borders
    under = f" ({borders.jump_rise_under_16} under 16)" if facts.minor else ""
    return FigureSection(
        "Hard swings",
        (
            f"{load.now} this week; the four weeks before: {before}; {base}.",
            (
                f"A jump is {borders.jump_times:g} times the usual and at least "
                f"{borders.jump_rise}{under} more. "
                "A reason to ask, nothing else."
            ),
        ),
    )


def habits_section(facts: Facts) -> FigureSection:
    cram, size, counts, borders = facts.cramming, facts.size, facts.counts, facts.borders
    lines = [
        (
            f"{percent(borders.cram_share)} % of the minutes or more in the two days before the "
            f"lesson, and {percent(borders.cram_above_plan)} points more than planned: "
            f"{cram.times} of the last {cram.lessons or LESSONS_LOOKED_AT} lessons"
            f"{'; none is written down, so one a week is assumed' if cram.weekly_assumed else ''}."
        ),
        (
            f"Counts exactly as asked in four weeks: {counts.as_asked} of {counts.given}. "
            f"{percent(borders.as_asked_share)} % of twelve or more is a question."
            + (
                f" {counts.tapped} taps of Done as asked on the day itself are set aside: counts "
                "were measured or checked in these weeks."
                if counts.tapped
                else ""
            )
        ),
    ]
    if size.usual:
        lines.append(
            f"Plan {in_minutes(size.asked)} minutes, usual {in_minutes(size.usual)} (the median of "
            f"the last six open weeks): {size.asked / size.usual:.2f} times. Above 1.5 is more "
            "than the usual."
        )
    if size.half_twice:
        lines.append("Less than half was credited two weeks running.")
    if facts.favourite:
        lines.append(
            f"{facts.favourite.part}: {percent(facts.favourite.share)} % of the minutes, more than "
            "twice its planned share, with part 1 under half, two weeks running."
        )
    return FigureSection("Habits", tuple(lines))


def _one(amount: float | None) -> str:
    """At most one decimal, rounded down so that a figure never says more than there is."""
    return f"{floor((amount or 0) * 10 + 1e-6) / 10:g}"


def _two(amount: float) -> str:
    """A factor with its hundredths, so that a product can be checked."""
    return f"{round(amount, 2):g}"
