"""The page that closes a lesson, as the template prints it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from coaching.lesson_day.proposal import Proposal, ProposalRow
from coaching.lessons.carry import Carry
from coaching.lessons.models import Lesson
from coaching.planning.pages import near_facts
from coaching.planning.weigh import Fit, Hard, fit, hard_swings
from coaching.season.near import Near
from coaching.season.season_context import beside, facts_of
from practice.measures.usual import HOUSE
from practice.numbers.kit.sees import what_it_sees
from practice.numbers.now.beside import drills_untold
from practice.shots.studio_days import usual_days
from practice.tryouts.queries import tried_now
from practice.weeks import queries as week_queries
from shared.kit.text import date_words, in_minutes
from shared.people.models import Student, User


@dataclass(frozen=True, slots=True)
class PartChoiceView:
    value: str
    label: str
    words: str
    minutes: str
    hard_swings: int
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class ProposalRowView:
    n: int
    key: str
    name: str
    is_new: bool
    went: str
    reason: str
    cue: str
    choices: tuple[PartChoiceView, ...]
    # What its test can see, where a block of it begins.
    sees: str


@dataclass(frozen=True, slots=True)
class ClosePage:
    id: str
    student_id: UUID
    student: str
    opens: date
    days: str
    changes_a_sent_week: bool
    other_opens: date
    other_words: str
    rows: tuple[ProposalRowView, ...]
    minutes: str
    usual: str
    fit: Fit
    hard: Hard
    facts: tuple[str, ...]
    # The first drill of the week whose tests cannot tell yet, and that nothing tries out.
    untold: str
    next_lesson: str


def close_page(
    user: User, lesson: Lesson, proposal: Proposal, chosen: Mapping[str, str], near: Near
) -> ClosePage:
    """Three queries beyond the proposal's: tests, try-outs, and how days differ here, where a
    drill with a test begins."""
    opens, student = proposal.opens, lesson.student
    now = week_queries.this_opening(student)
    other = now if opens != now else now + timedelta(weeks=1)
    totals = proposal.totals(chosen)
    before = proposal.before
    excused = near.excused
    season = facts_of(
        beside(student, near),
        (),
        planned_hard=totals.hard_swings,
        most=proposal.limits.ceiling,
    )
    begins = {row.key: row.test for row in proposal.rows if row.test}
    days = usual_days(student) if begins else HOUSE
    sees = {key: what_it_sees(test, user.speed_unit, days) for key, test in begins.items()}
    again = lesson.at.astimezone(ZoneInfo(user.time_zone)) + timedelta(weeks=1)
    return ClosePage(
        id=str(lesson.pk),
        student_id=student.pk,
        student=student.name,
        opens=opens,
        days=f"{date_words(opens)} to {date_words(opens + timedelta(days=6))}",
        changes_a_sent_week=proposal.changes_a_sent_week,
        other_opens=other,
        other_words="this week" if other == now else "next week",
        rows=tuple(
            _row(n, row, chosen, sees.get(row.key, ""))
            for n, row in enumerate(proposal.rows, start=1)
        ),
        minutes=str(in_minutes(totals.minutes)),
        usual=str(in_minutes(before.usual)) if before.usual is not None else "",
        fit=fit(totals.minutes, before.usual),
        hard=hard_swings(totals, before.hard, under_16=student.is_under_16),
        facts=(*near_facts(student, opens, excused), *season),
        untold=_untold(student, proposal),
        next_lesson=f"{again:%Y-%m-%dT%H:%M}",
    )


def _untold(student: Student, proposal: Proposal) -> str:
    """Not what is stopped, nor what stands in a try-out already."""
    untold = {str(drill) for drill in drills_untold(student) - tried_now(student)}
    return next((e.name for e in proposal.rows if e.key in untold and not e.stopped), "")


def _row(n: int, row: ProposalRow, chosen: Mapping[str, str], sees: str) -> ProposalRowView:
    picked = row.choice(chosen.get(row.key, ""))
    return ProposalRowView(
        n=n,
        key=row.key,
        name=row.name,
        is_new=row.is_new,
        went=row.went,
        reason=row.reason,
        cue=row.cue,
        choices=tuple(
            PartChoiceView(
                value=each.carry.value,
                label=_label(each.carry, is_new=row.is_new and not row.went),
                words=each.words,
                minutes=f"{each.minutes:g}",
                hard_swings=each.hard_swings,
                is_chosen=each is picked,
            )
            for each in row.choices
        ),
        sees=sees,
    )


def _label(carry: Carry, *, is_new: bool) -> str:
    if is_new and carry is Carry.KEEP:
        return "Ask it"
    return carry.value.capitalize()
