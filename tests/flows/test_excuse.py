"""Excused days, templates, and one week for several students."""

from datetime import timedelta

import pytest

from practice.compliance.models import WeekTally
from practice.compliance.queries import usual_minutes_of, weeks_before
from practice.drills.dose import parse
from practice.flows import set_several, set_week
from practice.weeks import queries, templates
from practice.weeks.models import Excusal, Week, WeekTemplate
from practice.weeks.plan import PartSpec
from shared.kit.refused import Refused
from tests.factories import (
    MONDAY,
    make_coach,
    make_drill,
    make_part,
    make_student,
    make_week,
    studio_of,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
WEDNESDAY = MONDAY + timedelta(2)


def excuse(student, first=WEDNESDAY, last=WEDNESDAY + timedelta(2), **more):
    return set_week.excuse(student=student, first=first, last=last, told_by=student.user, **more)


def test_excused_days_are_known_at_once(student):
    make_part(make_week(student), make_drill(student.studio))
    excuse(student, kind=Excusal.Kind.UNWELL)
    assert queries.excused_days(student, MONDAY) == {WEDNESDAY + timedelta(n) for n in range(3)}
    assert WeekTally.objects.filter(student=student, opens=MONDAY).exists()


def test_the_same_words_twice_are_one_excusal(student):
    assert excuse(student) == excuse(student)
    assert Excusal.objects.count() == 1


def test_taking_it_back_opens_the_days_again(student):
    excusal = excuse(student)
    set_week.withdraw_excusal(excusal=excusal)
    set_week.withdraw_excusal(excusal=excusal)
    assert queries.excused_days(student, MONDAY) == set()


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (1, 0, "before the first"),
        (0, 92, "at most 92"),
        (-61, -60, "60 days back"),
        (360, 367, "a year ahead"),
    ],
)
def test_days_that_cannot_be_are_refused(student, first, last, words):
    with pytest.raises(Refused, match=words):
        excuse(student, WEDNESDAY + timedelta(first), WEDNESDAY + timedelta(last))
    assert not Excusal.objects.exists()


def test_an_unknown_kind_is_refused(student):
    with pytest.raises(Refused, match="away, unwell or other"):
        excuse(student, kind="lazy")


# --- templates -----------------------------------------------------------------------


def kept(coach, name="Wedges", dose="20 balls"):
    drill = make_drill(studio_of(coach))
    specs = [PartSpec(drill.pk, parse(dose), 2, 10, days=(1,), cue="long arms")]
    return templates.save_template(studio=studio_of(coach), name=name, specs=specs, by=coach)


def test_a_template_starts_a_week(coach, student):
    week = set_week.start_draft(
        student=student, opens=MONDAY, by=coach, source=kept(coach), percent=-50
    )
    (spec,) = queries.specs_of(week)
    assert (str(spec.dose), spec.sessions, spec.minutes, spec.days) == ("10 balls", 2, 5, (1,))


@pytest.mark.parametrize(
    ("name", "words"), [("  ", "a name"), ("wedges ", "already"), ("x" * 81, "80")]
)
def test_a_template_needs_a_name_of_its_own(coach, name, words):
    template = kept(coach)
    with pytest.raises(Refused, match=words):
        kept(coach, name)
    other = kept(coach, "Putting")
    with pytest.raises(Refused, match=words):
        templates.rename_template(template=other, name=name)
    templates.rename_template(template=template, name="WEDGES")
    templates.delete_template(template=template)
    assert list(WeekTemplate.objects.all()) == [other]


def test_an_empty_week_is_no_template(coach):
    with pytest.raises(Refused, match="nothing"):
        templates.save_template(studio=studio_of(coach), name="x", specs=[], by=coach)


# --- several students -------------------------------------------------------------------


def give(coach, students, source, send=True, **percents):
    by_name = {student.name: student for student in students}
    return set_several.assign_to_several(
        students=students,
        opens_for={student.pk: MONDAY for student in students},
        source=source,
        percents={by_name[name].pk: percent for name, percent in percents.items()},
        by=coach,
        send=send,
    )


def test_each_gets_the_week_with_their_own_percent(coach):
    anna, ben = make_student(coach, "Anna"), make_student(coach, "Ben")
    outcomes = give(coach, [anna, ben], kept(coach), Ben=-50)
    doses = [str(queries.specs_of(outcome.week)[0].dose) for outcome in outcomes]
    assert doses == ["20 balls", "10 balls"]
    assert Week.objects.filter(state=Week.State.SENT).count() == 2


def test_one_who_cannot_have_it_does_not_stop_the_others(coach):
    anna, cleo = make_student(coach, "Anna"), make_student(coach, "Cleo")
    make_part(make_week(cleo), make_drill(studio_of(coach)))
    outcomes = give(coach, [cleo, anna], kept(coach))
    assert [bool(outcome.error) for outcome in outcomes] == [True, False]
    assert "already" in outcomes[0].error


def test_drafts_only_if_asked(coach, student):
    (outcome,) = give(coach, [student], kept(coach), send=False)
    assert outcome.week.state == Week.State.DRAFT


def test_an_existing_draft_is_left_alone(coach, student):
    week = make_week(student, sent=False)
    (outcome,) = give(coach, [student], kept(coach))
    assert "draft" in outcome.error
    assert not week.parts.exists()


def test_another_studios_template_brings_no_drills(student):
    stranger = make_coach(name="Stranger")
    (outcome,) = give(stranger, [student], kept(stranger))
    assert "nothing in this week" in outcome.error


# --- usual amounts ------------------------------------------------------------------------


def test_usual_minutes_are_the_median_of_six_open_weeks(student):
    # By hand: 70 85 90 | 95 110 120, so (90 + 95) / 2.
    for n, minutes in enumerate((90, 70, 110, 95, 85, 120, 999), start=1):
        WeekTally.objects.create(
            student=student, opens=MONDAY - timedelta(7 * n), minutes=minutes, hard_swings=n
        )
    assert weeks_before(student, MONDAY).usual == 92.5
    assert weeks_before(student, MONDAY).hard == [1, 2, 3, 4]


def test_a_week_that_still_runs_is_no_usual_one(student):
    """Else this week's page says one usual and next week's page another."""
    for n in range(5):
        WeekTally.objects.create(
            student=student,
            opens=MONDAY - timedelta(7 * n),
            minutes=30 if n else 236,
            hard_swings=40 if n else 128,
        )
    for opens in (MONDAY, MONDAY + timedelta(7)):
        before = weeks_before(student, opens)
        assert (before.usual, before.hard) == (30, [40] * 4)
        assert usual_minutes_of([student], opens) == {student.pk: 30}


def test_a_week_excused_whole_is_left_out(student):
    WeekTally.objects.create(student=student, opens=MONDAY - timedelta(7), minutes=0, open_days=0)
    assert weeks_before(student, MONDAY).usual is None
