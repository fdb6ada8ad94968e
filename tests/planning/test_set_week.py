"""The page Set the week: its buttons, what it keeps, who may use it."""

from datetime import timedelta
from uuid import UUID

import pytest
import time_machine
from django.urls import reverse

from coaching.planning.pages import visits_of
from practice.compliance.models import WeekTally
from practice.drills.dose import parse
from practice.weeks import queries
from practice.weeks.models import Week, WeekTemplate
from practice.weeks.plan import PartSpec
from shared.people.models import Membership
from tests.conftest import signed_in
from tests.factories import (
    MONDAY,
    NOON,
    make_child,
    make_coach,
    make_drill,
    make_part,
    make_student,
    make_week,
    studio_of,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
NEXT = MONDAY + timedelta(7)


@pytest.fixture
def drill(coach):
    return make_drill(studio_of(coach), cue="tall at the top")


def address(student, opens=MONDAY, name="set_week"):
    return reverse(f"plans:{name}", args=[student.pk, opens])


def form(*rows, do="send", **more):
    """The fields of a form with these rows, as a browser sends them."""
    fields = {"rows": len(rows), "note": "", "do": do}
    for n, row in enumerate(rows):
        for name, value in row.items():
            fields[f"p{n}-{name}"] = value
    return fields | more


def row(drill, dose="10@50, 8@70, 6@90", sessions="3", **more):
    return {"drill": str(drill.pk), "dose": dose, "sessions": sessions} | more


def live(student, opens=MONDAY):
    return list(queries.live_parts().filter(week__student=student, week__opens=opens))


# --- the main road ------------------------------------------------------------------


def test_an_empty_page_writes_nothing(coach_client, student, drill):
    page = coach_client.get(address(student))
    assert page.status_code == 200
    assert drill.current.name in page.content.decode()
    assert not Week.objects.exists()


def test_a_week_is_sent(coach_client, student, drill):
    page = coach_client.post(address(student), form(row(drill, days=["0", "2"], cue="slow")))
    assert page.status_code == 302
    (part,) = live(student)
    assert (part.sessions, part.days, part.cue, part.minutes) == (3, [0, 2], "slow", 12)
    assert part.week.state == Week.State.SENT


def test_a_draft_is_kept(coach_client, student, drill):
    coach_client.post(address(student), form(row(drill), do="keep", note="Slowly."))
    week = Week.objects.get()
    assert (week.state, week.note) == (Week.State.DRAFT, "Slowly.")
    assert "Slowly." in coach_client.get(address(student)).content.decode()


def test_what_no_database_keeps_is_taken_out(coach_client, student, drill):
    """NUL: PostgreSQL refuses it in text and in JSON, SQLite takes it."""
    forms = form(row(drill, cue="tall\x00 at the top"), note="Slow\x00ly."), {"n\x00": "\x00"}
    assert coach_client.post(address(student), forms[0] | {"do": "up:0"}).status_code == 302
    assert Week.objects.get().typed["rows"][0]["cue"] == "tall at the top"
    assert coach_client.post(address(student), forms[0] | forms[1]).status_code == 302
    assert (Week.objects.get().note, live(student)[0].cue) == ("Slowly.", "tall at the top")


def test_last_week_with_ten_percent_more(coach_client, student, drill):
    make_part(make_week(student), drill, dose="20 balls", minutes=10)
    coach_client.post(address(student, NEXT, "start"), {"from": "last", "percent": "10"})
    assert [part.dose for part in live(student, NEXT)] == ["22 balls"]
    page = coach_client.get(address(student, NEXT)).content.decode()
    assert 'value="22 balls"' in page


def test_a_template_starts_it(coach_client, coach, student, drill):
    coach_client.post(
        address(student), form(row(drill), do="template", **{"template-name": "Ladder week"})
    )
    template = WeekTemplate.objects.get()
    coach_client.post(address(student, NEXT, "start"), {"from": template.pk, "percent": "-50"})
    assert [part.dose for part in live(student, NEXT)] == ["5@50, 4@70, 3@90"]


@pytest.mark.parametrize("percent", ["ten", "101", "-91", "1e9", "9" * 50])
def test_a_percent_that_cannot_be_is_refused_in_words(coach_client, student, drill, percent):
    make_part(make_week(student), drill)
    page = coach_client.post(
        address(student, NEXT, "start"), {"from": "last", "percent": percent}, follow=True
    )
    assert "percent" in str(next(iter(page.context["messages"])))
    assert not live(student, NEXT)


def test_nothing_to_start_from_is_said(coach_client, student):
    for source in ("last", "nonsense"):
        page = coach_client.post(address(student, NEXT, "start"), {"from": source}, follow=True)
        assert "no such week" in str(next(iter(page.context["messages"])))


def test_the_page_says_how_big_it_is(coach_client, student, drill):
    for n in (1, 2, 3, 4):
        WeekTally.objects.create(
            student=student, opens=MONDAY - timedelta(7 * n), minutes=24, hard_swings=2
        )
    coach_client.post(address(student), form(row(drill, sessions="9"), do="keep"))
    page = coach_client.get(address(student)).content.decode()
    # By hand: 9 x 12 = 108 minutes against 24 is 450 %; 9 x 6 = 54 hard swings against 2.
    for words in ("more than the usual", "(450 % of it)", "That is many more hard swings. Ask"):
        assert words in page


def test_last_weeks_result_stands_beside_the_part(coach_client, student, drill):
    make_part(make_week(student), drill)
    WeekTally.objects.create(
        student=student,
        opens=MONDAY,
        parts=[
            {
                "drill": str(drill.pk),
                "credit": 0.5,
                "sessions_done": 24 / 7,
                "asked_sessions": 4,
                "steps": [{"asked": 84, "credited": 72.0, "unit": "reps"}],
            }
        ],
    )
    coach_client.post(address(student, NEXT), form(row(drill), do="keep"))
    page = coach_client.get(address(student, NEXT)).content.decode()
    assert "Last week: 3.4 of 4 visits, 72 of 84 reps credited." in page


def test_event_lesson_and_days_away_are_known(coach_client, student):
    student.next_event, student.next_event_name = MONDAY + timedelta(5), "Spring cup"
    student.next_lesson = MONDAY + timedelta(6)
    student.save()
    student.excusals.create(first=MONDAY, last=MONDAY + timedelta(1))
    page = coach_client.get(address(student)).content.decode()
    for words in ("Spring cup on Sat 1", "Next lesson on Sun 2", "Excused: Mon 24, Tue 25. 5 open"):
        assert words in page


# --- buttons without a script ----------------------------------------------------------


def typed_doses(student):
    return [row["dose"] for row in Week.objects.get(student=student).typed["rows"]]


def test_a_part_is_added_with_its_own_dose(coach_client, student, drill):
    page = coach_client.post(
        address(student), form(do="add", **{"add-drill": str(drill.pk)}), follow=True
    )
    assert 'value="10@50, 8@70, 6@90"' in page.content.decode()


@pytest.mark.parametrize(
    ("do", "left"),
    [
        ("up:1", ["8", "9"]),
        ("down:0", ["8", "9"]),
        ("up:0", ["9", "8"]),
        ("down:1", ["9", "8"]),
        ("remove:0", ["8"]),
        ("remove:7", ["9", "8"]),
        ("up:x", ["9", "8"]),
    ],
)
def test_parts_move_and_go(coach_client, student, drill, do, left):
    coach_client.post(address(student), form(row(drill, "9"), row(drill, "8"), do=do))
    assert typed_doses(student) == left


def test_an_unknown_drill_is_not_added(coach_client, student, drill):
    theirs = make_drill(studio_of(make_coach()))
    coach_client.post(address(student), form(row(drill), do="add", **{"add-drill": str(theirs.pk)}))
    assert len(typed_doses(student)) == 1


# --- what was typed is never lost ----------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"dose": "10@50, 8@7o"}, "<mark>8@7o</mark>"),
        ({"dose": "10@5"}, "from 10 to 100 percent"),
        ({"sessions": "0"}, "between 1 and 14"),
        ({"sessions": "-3"}, "between 1 and 14"),
        ({"sessions": "many"}, "between 1 and 14"),
        ({"minutes": "9999"}, "600 minutes"),
        ({"minutes": "nan"}, "600 minutes"),
        ({"dose": "999", "sessions": "1", "minutes": "601"}, "600 minutes"),
        ({"dose": "20 rounds: 999 min"}, "minutes a visit"),
        ({"sessions": "1", "days": ["0", "1"]}, "More days are fixed"),
        ({"drill": ""}, "Choose a drill"),
        ({"drill": "not-an-id"}, "Choose a drill"),
    ],
)
def test_bad_input_is_shown_beside_its_field_and_kept(coach_client, student, drill, change, words):
    page = coach_client.post(address(student), form(row(drill) | {"cue": "slow"} | change))
    body = page.content.decode()
    assert page.status_code == 400
    assert words in body
    assert "look at part 1" in body
    for name in change.keys() - {"drill", "days"}:
        assert f'value="{change[name]}"' in body
    assert 'value="slow"' in coach_client.get(address(student)).content.decode()
    assert not live(student)


def test_another_studios_drill_is_refused(coach_client, student):
    theirs = make_drill(studio_of(make_coach()))
    page = coach_client.post(address(student), form(row(theirs)))
    assert page.status_code == 400
    assert "not on your shelf" in page.content.decode()


def test_a_thirteenth_part_is_refused_and_kept(coach_client, student, drill):
    page = coach_client.post(address(student), form(*[row(drill)] * 13))
    assert page.status_code == 400
    assert "At most 12 parts" in page.content.decode()
    assert len(typed_doses(student)) == 13


@pytest.mark.parametrize("rows", ["-1", "x", "", "9" * 400, "1.5"])
def test_a_forged_count_of_rows_does_no_harm(coach_client, student, rows):
    page = coach_client.post(address(student), {"rows": rows, "do": "keep"})
    assert page.status_code == 302


def test_what_is_typed_is_kept_readable_or_not(coach_client, student, drill):
    page = coach_client.post(
        address(student),
        form(row(drill, "10@50, 8@7o"), do="live"),
        headers={"X-Fragment": "1"},
    )
    body = page.content.decode()
    assert "<mark>8@7o</mark>" in body
    assert "Kept as a draft" in body
    assert "<html" not in body
    assert 'value="10@50, 8@7o"' in coach_client.get(address(student)).content.decode()


def test_words_too_long_are_refused_and_kept(coach_client, student, drill):
    page = coach_client.post(address(student), form(row(drill), note="x" * 601))
    assert page.status_code == 400
    assert "longer than 600" in page.content.decode()


def test_a_draft_can_be_dropped(coach_client, student, drill):
    coach_client.post(address(student), form(row(drill), do="keep"))
    coach_client.post(address(student, name="discard"))
    assert not Week.objects.exists()


# --- a week that was sent --------------------------------------------------------------------


def sent_row(part, **changes):
    return (
        row(part.drill, part.dose, str(part.sessions))
        | {
            "id": str(part.pk),
            "cue": part.cue,
            "minutes": f"{part.minutes:g}",
        }
        | changes
    )


def test_a_change_keeps_the_part(coach_client, student, drill):
    part = make_part(make_week(student), drill)
    coach_client.post(address(student), form(sent_row(part, sessions="2")))
    (now,) = live(student)
    assert (now.pk, now.sessions, now.sessions_asked, now.week.revision) == (part.pk, 2, 2, 2)


def test_a_change_not_sent_is_seen_by_nobody_and_can_be_dropped(coach_client, student, drill):
    part = make_part(make_week(student), drill)
    coach_client.post(address(student), form(sent_row(part, sessions="2"), do="live"))
    assert live(student)[0].sessions == 3
    assert "kept here and not sent yet" in coach_client.get(address(student)).content.decode()
    coach_client.post(address(student, name="discard"))
    assert Week.objects.get().typed is None


def test_typing_it_back_is_no_change(coach_client, student, drill):
    part = make_part(make_week(student), drill)
    coach_client.post(address(student), form(sent_row(part, sessions="2"), do="live"))
    coach_client.post(address(student), form(sent_row(part), do="live"))
    # Also without the id, as when a late save of the draft comes after it was sent.
    coach_client.post(address(student), form(sent_row(part, id=""), do="live"))
    assert Week.objects.get().typed is None


def test_a_page_left_open_does_not_undo_a_later_change(coach_client, student, drill):
    part = make_part(make_week(student, revision=2), drill)
    page = coach_client.post(address(student), form(sent_row(part, sessions="5"), revision="1"))
    assert page.status_code == 400
    assert "changed on another page" in page.content.decode()
    assert live(student)[0].sessions == 3


def test_a_shorter_week_in_two_taps(coach_client, coach, student, drill):
    week = make_week(student)
    make_part(week, drill, sessions=4)
    page = coach_client.get(address(student, name="shorten"))
    assert "60 minutes become 30" in page.content.decode()
    assert coach_client.post(address(student, name="shorten")).status_code == 302
    assert live(student)[0].sessions == 2


def test_what_cannot_be_shorter_says_so(coach_client, student, drill):
    make_part(make_week(student), drill, sessions=1)
    page = coach_client.post(address(student, name="shorten"), {"any": "thing"})
    assert page.status_code == 409
    assert "cannot be made shorter" in page.content.decode()


# --- who, and which week ---------------------------------------------------------------------


def test_without_consent_that_stands_no_week_is_kept(coach_client, coach, drill):
    child = make_child(coach)
    child.guardianships.update(withdrawn_at=NOON)
    assert coach_client.post(address(child), form(row(drill))).status_code == 404
    assert not Week.objects.filter(student=child).exists()


@pytest.mark.parametrize("role", [Membership.Role.ASSISTANT, Membership.Role.HELPER])
def test_an_assistant_does_not_set_weeks(student, drill, role):
    helper = signed_in(make_coach(student.studio, role))
    assert helper.get(address(student)).status_code == 404
    assert helper.post(address(student), form(row(drill))).status_code == 404
    assert not Week.objects.exists()


@pytest.mark.parametrize("name", ["set_week", "start", "discard", "shorten"])
def test_somebody_elses_student_does_not_exist(student, drill, name):
    make_part(make_week(student), drill)
    stranger = signed_in(make_coach())
    assert stranger.post(address(student, name=name), form(row(drill))).status_code == 404


def test_a_student_does_not_set_their_own_week(student_client, student):
    assert student_client.get(address(student)).status_code == 404


def test_nobody_at_all_is_asked_to_sign_in(client, student):
    assert client.get(address(student)).status_code == 302


@pytest.mark.parametrize("days", [-7, 1, 7 * 9])
def test_only_weeks_that_can_be_set_have_a_page(coach_client, student, days):
    assert coach_client.get(address(student, MONDAY + timedelta(days))).status_code == 404


def test_a_date_that_is_none_is_not_found(coach_client, student):
    page = coach_client.get(f"/students/{student.pk}/week/2031-02-30/")
    assert page.status_code == 404


@pytest.mark.parametrize(
    ("sent", "later", "opens"), [(False, 0, MONDAY), (True, 0, NEXT), (False, 3, NEXT)]
)
def test_the_link_leads_to_the_week_that_wants_setting(coach_client, student, sent, later, opens):
    if sent:
        make_week(student)
    with time_machine.travel(NOON + timedelta(days=later), tick=False):
        page = coach_client.get(reverse("plans:choose_week", args=[student.pk]))
    assert page.url == address(student, opens)


def test_a_draft_is_gone_back_to(coach_client, student):
    make_week(student, NEXT, sent=False)
    page = coach_client.get(reverse("plans:choose_week", args=[student.pk]))
    assert page.url == address(student, NEXT)


@pytest.mark.parametrize("many", [1, 10])
def test_the_page_costs_the_same_however_much_there_is(
    coach_client, coach, student, many, django_assert_num_queries
):
    for n in range(many):
        drill = make_drill(studio_of(coach), f"Drill {n}")
        for opens in (MONDAY - timedelta(7), MONDAY):
            week = Week.objects.filter(student=student, opens=opens).first()
            make_part(week or make_week(student, opens), drill)
        WeekTemplate.objects.create(studio=studio_of(coach), name=f"T{n}", author=coach)
        make_student(coach)
    # 1-2 session and user; 3 the student; 4-5 last week and its parts; 6-7 this week and its
    # parts; 8 the shelf; 9 last week's tally; 10 usual minutes; 11 hard swings; 12 excused
    # days; 13 events of the season; 14 gym days; 15 cautions; 16 templates (not on a sent
    # week); 16 whether the frame offers the coach's pages; 17 how much days here differ;
    # 18 drills of the last lesson; 19 what was drawn for it.
    with django_assert_num_queries(9):
        coach_client.get(address(student))


@pytest.mark.parametrize(
    ("parts", "visits"),
    [([], 0), ([(3, ()), (2, ())], 3), ([(2, (0, 2)), (2, (1, 4))], 4), ([(5, (0,))], 5)],
)
def test_visits_are_times_at_practice_and_not_parts_added_up(parts, visits):
    # By hand: two parts of three and two sessions fit into three visits.
    specs = [
        PartSpec(UUID(int=n), parse("20 balls"), sessions, 10, days=days)
        for n, (sessions, days) in enumerate(parts)
    ]
    assert visits_of(specs) == visits
