"""From the roster to a written lesson and a sent week; who may, and what is refused."""

import json
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError
from django.urls import reverse
from django.utils import timezone

from coaching.lesson_day.brief import done_words
from coaching.lesson_day.door import door_note, first_in_short
from coaching.lesson_day.proposal import proposal_for
from coaching.lessons import services
from coaching.lessons.models import Finding, Lesson
from practice.care import screening
from practice.clips.models import Clip
from practice.coach_counts.models import CheckedCount
from practice.compliance.models import WeekTally
from practice.compliance.tally import recompute
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.values import MovedNow, Numbers, to_json
from practice.phone.bundle import bundle
from practice.tryouts.services import draw_turns
from practice.weeks.models import Excusal, Week
from shared.people import access
from shared.people.models import Membership
from tests import factories
from tests.clips.makers import picture
from tests.conftest import signed_in
from tests.factories import MONDAY, NOON
from tests.log.entries import Phone, entry

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
NEXT_MONDAY = MONDAY + timedelta(weeks=1)


def typed(client, lesson, **fields):
    names = {name.replace("__", "."): pair for name, pair in fields.items()}
    body = {"fields": {name: {"was": was, "is": is_now} for name, (was, is_now) in names.items()}}
    return client.post(
        reverse("lessons:typed", args=[lesson.pk]), json.dumps(body), "application/json"
    )


# --- planned and opened ------------------------------------------------------------------


def test_a_planned_lesson_stands_on_next_up_and_tells_the_students_next_day(
    coach, coach_client, student
):
    coach_client.post(
        reverse("lessons:plan"), {"student": student.pk, "at": "2031-02-26T16:30", "place": "Bay 2"}
    )
    page = coach_client.get(reverse("lessons:next_up")).content.decode()
    assert "16:30" in page
    assert "Bay 2" in page
    student.refresh_from_db()
    assert str(student.next_lesson) == "2031-02-26"


def test_a_cancelled_lesson_is_announced_no_more(coach, coach_client, student):
    at = NOON + timedelta(days=1)
    services.plan_lesson(student=student, coach=coach, at=at)
    later = services.plan_lesson(student=student, coach=coach, at=at + timedelta(days=7))
    coach_client.post(reverse("lessons:cancel", args=[Lesson.objects.get(at=at).pk]))
    student.refresh_from_db()
    assert student.next_lesson == later.at.date()
    coach_client.post(reverse("lessons:cancel", args=[later.pk]))
    student.refresh_from_db()
    assert student.next_lesson is None


def test_a_day_somebody_typed_stays_when_another_lesson_is_cancelled(coach, student):
    lesson = services.plan_lesson(student=student, coach=coach, at=NOON + timedelta(days=1))
    student.next_lesson = NOON.date() + timedelta(days=3)
    student.save()
    services.cancel_lesson(lesson=Lesson.objects.get(pk=lesson.pk))
    student.refresh_from_db()
    assert student.next_lesson == NOON.date() + timedelta(days=3)


def test_the_same_lesson_noted_twice_is_one(coach, student):
    at = NOON + timedelta(hours=3)
    services.plan_lesson(student=student, coach=coach, at=at)
    services.plan_lesson(student=student, coach=coach, at=at)
    assert Lesson.objects.count() == 1


@pytest.mark.parametrize("at", ["", "yesterday", "2020-01-01T10:00", "2050-01-01T10:00"])
def test_a_day_that_cannot_be_is_refused_in_words(coach_client, student, at):
    typed = {"student": student.pk, "at": at, "place": "Bay 2"}
    answer = coach_client.post(reverse("lessons:plan"), typed)
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "lesson" in answer.context["fault"].lower()
    assert answer.context["fault"] in page
    assert f'<option value="{student.pk}" selected>' in page
    assert 'value="Bay 2"' in page
    assert not Lesson.objects.exists()


def test_whose_lesson_it_is_has_to_be_chosen(coach_client, student):
    assert "selected" not in coach_client.get(reverse("lessons:next_up")).content.decode()
    at = (NOON + timedelta(days=1)).strftime("%Y-%m-%dT%H:%M")
    answer = coach_client.post(reverse("lessons:plan"), {"student": "", "at": at})
    assert answer.context["fault"] == "Choose whose lesson it is."
    assert at in answer.content.decode()
    assert not Lesson.objects.exists()


def test_beginning_takes_the_lesson_that_is_near_and_the_open_one_again(coach, student):
    near = services.plan_lesson(student=student, coach=coach, at=NOON + timedelta(minutes=20))
    services.plan_lesson(student=student, coach=coach, at=NOON + timedelta(days=7))
    first = services.open_lesson(student=student, by=coach)
    assert first.pk == near.pk
    assert services.open_lesson(student=student, by=coach).pk == near.pk
    with pytest.raises(IntegrityError):
        Lesson.objects.filter(state="planned").update(state="open")


def test_nothing_is_written_about_a_child_without_consent(coach, coach_client):
    child = factories.make_child(coach)
    child.guardianships.update(withdrawn_at=NOON)
    assert coach_client.post(reverse("lessons:open", args=[child.pk])).status_code == 404
    assert not Lesson.objects.exists()


# --- written -----------------------------------------------------------------------------


def test_what_is_typed_is_kept_field_by_field(coach_client, lesson, ladder):
    answer = typed(
        coach_client, lesson, **{"0__fault": ("", "early release"), "private": ("", "knee")}
    )
    assert answer.json() == {"kept": ["0.fault", "private"], "elsewhere": {}, "refused": {}}
    typed(coach_client, lesson, **{"0__drills": ("", str(ladder.pk))})
    found = Finding.objects.get()
    assert (found.fault, [*found.drills.all()]) == ("early release", [ladder])
    lesson.refresh_from_db()
    assert lesson.private == "knee"


def test_a_field_changed_elsewhere_is_given_back_and_not_overwritten(coach_client, lesson):
    typed(coach_client, lesson, **{"0__cue": ("", "slow hands")})
    answer = typed(coach_client, lesson, **{"0__cue": ("", "quiet hands")})
    assert answer.json()["elsewhere"] == {"0.cue": "slow hands"}
    assert Finding.objects.get().cue == "slow hands"
    again = typed(coach_client, lesson, **{"0__cue": ("slow hands", "quiet hands")})
    assert again.json()["kept"] == ["0.cue"]


def test_too_long_or_unknown_is_refused_and_the_rest_is_kept(coach_client, lesson):
    answer = typed(
        coach_client,
        lesson,
        **{"0__cue": ("", "x" * 161), "0__real": ("", "yes"), "7__cue": ("", "x"), "pk": ("", "1")},
    ).json()
    assert answer["kept"] == ["0.real"]
    assert answer["refused"]["0.cue"] == "At most 160 characters; this has 161."
    assert set(answer["refused"]) == {"0.cue", "7.cue", "pk"}


@pytest.mark.parametrize(
    "body", ["", "[]", "{}", '{"fields": 1}', '{"fields": {"0.cue": {"is": 5}}}', "[" * 5000]
)
def test_what_cannot_be_read_is_refused(coach_client, lesson, body):
    answer = coach_client.post(reverse("lessons:typed", args=[lesson.pk]), body, "application/json")
    assert answer.status_code == 400


def test_a_drill_of_another_studio_is_left_out(coach_client, lesson):
    other = factories.make_drill(factories.make_studio("Other"))
    typed(coach_client, lesson, **{"0__drills": ("", f"{other.pk},nonsense")})
    assert not Finding.objects.get().drills.exists()


def test_the_plain_form_keeps_the_whole_note(coach_client, lesson, ladder):
    answer = coach_client.post(
        reverse("lessons:note", args=[lesson.pk]),
        {"0.fault": "sway", "0.drills": [str(ladder.pk)], "1.fault": "", "do": "close"},
    )
    assert answer["Location"] == reverse("lessons:close", args=[lesson.pk])
    found = Finding.objects.get()
    assert (found.fault, found.drills.get()) == ("sway", ladder)


def test_drills_that_went_with_a_fault_before_are_offered_again(coach, student, lesson, ladder):
    services.keep_typed(
        lesson=lesson, fields={"0.fault": (None, "Sway"), "0.drills": (None, str(ladder.pk))}
    )
    other = factories.make_student(coach, "Other")
    second = services.open_lesson(student=other, by=coach)
    services.keep_typed(lesson=second, fields={"0.fault": (None, "sway")})
    page = signed_in(coach).get(reverse("lessons:note", args=[second.pk])).context["page"]
    assert [(box.name, box.is_ticked) for box in page.findings[0].near] == [("Ladder", False)]


# --- closed ------------------------------------------------------------------------------


def found_and_last_week(coach, student, lesson, ladder, putting):
    week = factories.make_week(student, MONDAY)
    factories.make_part(week, putting, sessions=3, minutes=10)
    recompute(student, MONDAY)
    services.keep_typed(
        lesson=lesson,
        fields={
            "0.fault": (None, "early release"),
            "0.cue": (None, "quiet hands"),
            "0.rehearsal": (None, "three slow ones"),
            "0.feel": (None, "heavy club"),
            "0.drills": (None, str(ladder.pk)),
        },
    )


def test_the_week_that_follows_has_the_lessons_drill_first_with_cue_and_rehearsal(
    coach, coach_client, student, lesson, ladder, putting
):
    found_and_last_week(coach, student, lesson, ladder, putting)
    address = reverse("lessons:close", args=[lesson.pk])
    page = coach_client.get(address).context["page"]
    assert [row.name for row in page.rows] == ["Ladder", "Putting"]
    assert page.rows[1].reason == "It was done 0 of 3 times so far. Few clean counts yet."
    answer = coach_client.post(
        address, {"opens": page.opens, "do": "send", "next": "2031-03-05T16:30"}
    )
    assert answer["Location"] == reverse("lessons:next_up")
    week = Week.objects.get(student=student, opens=NEXT_MONDAY)
    parts = list(week.parts.order_by("priority"))
    assert (week.state, [part.sessions for part in parts]) == ("sent", [3, 3])
    assert parts[0].cue == "quiet hands"
    assert parts[0].note == "Rehearsal: three slow ones. Feels like: heavy club"
    lesson.refresh_from_db()
    assert (lesson.state, lesson.ending, lesson.week) == ("closed", "sent", week)
    student.refresh_from_db()
    assert str(student.next_lesson) == "2031-03-05"


def test_the_coachs_choice_decides_and_not_the_suggestion(
    coach, coach_client, student, lesson, ladder, putting
):
    found_and_last_week(coach, student, lesson, ladder, putting)
    coach_client.post(
        reverse("lessons:close", args=[lesson.pk]),
        {"do": "send", f"do-{ladder.pk}": "leave out", f"do-{putting.pk}": "raise"},
    )
    part = Week.objects.get(student=student, opens=NEXT_MONDAY).parts.get()
    assert (part.drill, part.dose, part.sessions) == (putting, "22 balls", 3)


def test_where_tests_cannot_tell_one_line_offers_drawn_turns(
    coach, coach_client, student, lesson, ladder, putting
):
    from practice.measures.verdicts import Practice

    found_and_last_week(coach, student, lesson, ladder, putting)
    test = factories.make_drill(student.studio, "Check", is_test=True)
    said = (
        MovedNow(str(ladder.pk), str(Practice.CANNOT_TELL)),
        MovedNow(str(putting.pk), "Keep going"),
    )
    NumbersNow.objects.create(
        student=student, figures=to_json(Numbers(moved=said)), sittings=0, reckoned_at=NOON
    )
    address = reverse("lessons:close", args=[lesson.pk])
    line = f"The tests of “{ladder}” cannot tell yet."
    assert line in coach_client.get(address).content.decode()
    stop = student.stops.create(drill=ladder, since=MONDAY)
    assert "cannot tell yet" not in coach_client.get(address).content.decode()
    stop.delete()
    draw_turns(
        student=access.recordable(student), drill=ladder, other=None, test=test,
        first=NEXT_MONDAY, pairs=3, by=coach,
    )  # fmt: skip
    assert "cannot tell yet" not in coach_client.get(address).content.decode()


def test_taking_this_week_changes_what_was_sent_and_keeps_its_parts(
    coach, coach_client, student, lesson, ladder, putting
):
    found_and_last_week(coach, student, lesson, ladder, putting)
    old = Week.objects.get(student=student).parts.get()
    coach_client.post(
        reverse("lessons:close", args=[lesson.pk]),
        {"opens": MONDAY, "do": "send", f"do-{putting.pk}": "keep"},
    )
    week = Week.objects.get(student=student)
    parts = list(week.parts.filter(removed_at=None).order_by("priority"))
    assert week.revision == 2
    assert [part.drill for part in parts] == [ladder, putting]
    assert parts[1].pk == old.pk


def test_later_keeps_a_draft_and_stands_first_until_the_week_is_sent(
    coach, coach_client, student, lesson, ladder, putting, wednesday
):
    found_and_last_week(coach, student, lesson, ladder, putting)
    coach_client.post(reverse("lessons:close", args=[lesson.pk]), {"do": "later"})
    draft = Week.objects.get(student=student, opens=NEXT_MONDAY)
    assert draft.state == "draft"
    assert draft.parts.count() == 2
    wednesday.move_to(NOON + timedelta(hours=5))
    unsent = coach_client.get(reverse("lessons:next_up")).context["page"].unsent
    assert [row.name for row in unsent] == [student.name]
    from practice.flows.set_week import send_week

    send_week(week=draft, by=coach)
    assert not coach_client.get(reverse("lessons:next_up")).context["page"].unsent


def test_a_lesson_left_open_stands_there_the_next_day(coach_client, lesson, wednesday):
    assert not coach_client.get(reverse("lessons:next_up")).context["page"].unsent
    wednesday.move_to(NOON + timedelta(days=1))
    row = coach_client.get(reverse("lessons:next_up")).context["page"].unsent[0]
    assert row.is_open


def test_no_practice_this_week_closes_and_sends_nothing(coach_client, lesson):
    coach_client.post(reverse("lessons:close", args=[lesson.pk]), {"do": "none"})
    lesson.refresh_from_db()
    assert (lesson.state, lesson.ending) == ("closed", "none")
    assert not Week.objects.exists()


def test_it_does_not_close_without_saying_what_becomes_of_the_week(coach_client, lesson):
    answer = coach_client.post(reverse("lessons:close", args=[lesson.pk]), {"do": "whatever"})
    assert answer.status_code == 400
    lesson.refresh_from_db()
    assert lesson.state == "open"
    with pytest.raises(IntegrityError):
        Lesson.objects.update(state="closed")


def test_nothing_to_send_is_said_and_leaves_the_lesson_open(coach_client, lesson):
    answer = coach_client.post(reverse("lessons:close", args=[lesson.pk]), {"do": "send"})
    assert answer.status_code == 400
    assert "There is nothing in this week yet" in answer.content.decode()
    lesson.refresh_from_db()
    assert lesson.state == "open"


def test_a_stopped_drill_is_left_out_until_it_is_cleared(
    coach, coach_client, student, lesson, ladder, putting
):
    from practice.care.models import Stop

    found_and_last_week(coach, student, lesson, ladder, putting)
    Stop.objects.create(student=student, drill=putting, since=MONDAY)
    page = coach_client.get(reverse("lessons:close", args=[lesson.pk])).context["page"]
    chosen = [choice.value for choice in page.rows[1].choices if choice.is_chosen]
    assert chosen == ["leave out"]


@pytest.mark.parametrize("text", ["\ud800", "a\x00b"])
def test_what_no_database_keeps_is_refused_in_words(coach_client, lesson, text):
    answer = typed(coach_client, lesson, **{"0__cue": ("", text), "0__fault": ("", "sways")})
    assert answer.status_code == 200
    assert answer.json()["kept"] == ["0.fault"]
    assert "cannot be kept" in answer.json()["refused"]["0.cue"]


def test_lines_of_a_plain_form_are_no_change_made_elsewhere(coach_client, lesson):
    note = reverse("lessons:note", args=[lesson.pk])
    coach_client.post(note, {"0.cue": "one\r\ntwo", "do": "keep"})
    answer = typed(coach_client, lesson, **{"0__cue": ("one\ntwo", "one\ntwo\nthree")})
    assert answer.json()["kept"] == ["0.cue"]


FAR = ["9999-12-31T23:59:59-14:00", "0001-01-01T00:00:00+14:00", "2031-02-26", "then"]


@pytest.mark.parametrize("moment", FAR)
@pytest.mark.parametrize("name", ["lessons:notes", "words:of_student"])
def test_a_moment_that_no_calendar_has_is_read_as_now(coach_client, student, lesson, name, moment):
    address = reverse(name, args=[student.pk])
    assert coach_client.get(address, {"until": moment}).status_code == 200


# --- read --------------------------------------------------------------------------------


def test_the_student_reads_what_was_found_but_not_the_coaches_line(coach, student, lesson, ladder):
    services.keep_typed(
        lesson=lesson,
        fields={"0.feel": (None, "heavy club"), "private": (None, "only for us")},
    )
    own = reverse("lessons:own", args=[student.pk])
    assert "heavy club" not in signed_in(student.user).get(own).content.decode()
    services.close_without_week(lesson=lesson)
    page = signed_in(student.user).get(own)
    assert "heavy club" in page.content.decode()
    assert "only for us" not in page.content.decode()


def test_the_door_note_is_one_page_of_what_happened(
    coach, coach_client, student, lesson, ladder, putting
):
    found_and_last_week(coach, student, lesson, ladder, putting)
    services.close_without_week(lesson=lesson)
    page = coach_client.get(reverse("lessons:door", args=[student.pk])).content.decode()
    for words in (
        "quiet hands",
        "heavy club",
        "0 of 3 times so far",
        "the first 5 at 50 percent",
    ):
        assert words in page


def test_the_door_note_of_a_lesson_that_is_on_tells_of_the_one_before(
    coach, coach_client, student, lesson, ladder, putting
):
    found_and_last_week(coach, student, lesson, ladder, putting)
    services.close_without_week(lesson=lesson)
    on = services.open_lesson(student=student, by=coach)
    assert on.pk != lesson.pk
    page = coach_client.get(reverse("lessons:door", args=[student.pk])).content.decode()
    assert "quiet hands" in page
    assert "heavy club" in page


def test_the_door_note_has_one_cue(coach, student, lesson, ladder, putting):
    """A lesson that is on has said another: at the top and below stands the same."""
    found_and_last_week(coach, student, lesson, ladder, putting)
    services.close_without_week(lesson=lesson)
    on = services.open_lesson(student=student, by=coach)
    services.keep_typed(lesson=on, fields={"0.cue": (None, "tall at the top")})
    note = door_note(coach, student, timezone.now())
    (top,) = (line.words for line in note.brief if line.label == "Cue")
    assert note.cue is not None
    assert (top, note.cue.cue) == ("“tall at the top”", "tall at the top")


def test_a_lesson_does_not_begin_with_hard_swings(coach, coach_client, student, lesson, ladder):
    ladder.current.dose = "3x4@max"
    ladder.current.save(update_fields=["dose"])
    services.keep_typed(lesson=lesson, fields={"0.fault": (None, "slides")})
    lesson.findings.get().drills.add(ladder)
    services.close_without_week(lesson=lesson)
    page = coach_client.get(reverse("lessons:door", args=[student.pk])).content.decode()
    assert ladder.current.name in page
    assert "before anything is said" not in page


def test_a_lesson_begins_with_no_drill_that_a_screening_cautions(
    coach, student, lesson, ladder, putting
):
    def first_balls():
        return door_note(coach, student, timezone.now()).first_balls

    services.keep_typed(lesson=lesson, fields={"0.fault": (None, "slides")})
    lesson.findings.get().drills.add(ladder, putting)
    services.close_without_week(lesson=lesson)
    assert ladder.current.name in first_balls()
    screening.note(
        student=student, by=coach, movement="trunk", can=screening.Can.CANNOT, drills=[ladder]
    )
    assert putting.current.name in first_balls()
    screening.note(
        student=student, by=coach, movement="wrists", can=screening.Can.CANNOT, drills=[putting]
    )
    assert first_balls() == ""


def test_an_assistant_reads_and_does_not_write(coach, student, lesson):
    studio = factories.studio_of(coach)
    helper = signed_in(factories.make_coach(studio, Membership.Role.ASSISTANT))
    assert helper.get(reverse("lessons:note", args=[lesson.pk])).status_code == 200
    assert helper.get(reverse("lessons:door", args=[student.pk])).status_code == 200
    assert typed(helper, lesson, **{"0__cue": ("", "x")}).status_code == 404
    assert helper.get(reverse("lessons:close", args=[lesson.pk])).status_code == 404
    assert helper.post(reverse("lessons:open", args=[student.pk])).status_code == 404


def test_a_stranger_and_the_student_find_no_coachs_page(coach, student, lesson):
    for client in (signed_in(factories.make_coach()), signed_in(student.user)):
        for name, of in [
            ("note", lesson.pk),
            ("close", lesson.pk),
            ("notes", student.pk),
            ("door", student.pk),
        ]:
            assert client.get(reverse(f"lessons:{name}", args=[of])).status_code == 404
        assert client.post(reverse("lessons:write_on", args=[lesson.pk])).status_code == 404
        assert client.post(reverse("lessons:cancel", args=[lesson.pk])).status_code == 404
    stranger = signed_in(factories.make_coach())
    assert stranger.get(reverse("lessons:own", args=[student.pk])).status_code == 404


# --- bounded -----------------------------------------------------------------------------


def many_lessons(coach, student, ladder, count):
    for n in range(count):
        lesson = Lesson.objects.create(
            student=student,
            coach=coach,
            at=NOON - timedelta(weeks=n + 1),
            opened_at=NOON - timedelta(weeks=n + 1),
            state="closed",
            ending="none",
        )
        finding = Finding.objects.create(lesson=lesson, fault=f"fault {n}")
        finding.drills.add(ladder)


@pytest.mark.parametrize("name", ["notes", "door"])
def test_ten_years_of_lessons_cost_no_more_questions(
    coach, coach_client, student, ladder, name, django_assert_max_num_queries
):
    address = reverse(f"lessons:{name}", args=[student.pk])
    many_lessons(coach, student, ladder, 1)
    coach_client.get(address)
    with django_assert_max_num_queries(42) as few:
        coach_client.get(address)
    most = len(few)  # Now: the next request forgets them.
    many = factories.make_student(coach, "Many")
    many_lessons(coach, many, ladder, 500)
    address = reverse(f"lessons:{name}", args=[many.pk])
    coach_client.get(address)  # The board's line is judged once, and kept.
    with django_assert_max_num_queries(most):
        coach_client.get(address)


def test_a_full_day_on_next_up_costs_no_more_questions(
    coach, coach_client, student, django_assert_max_num_queries
):
    services.plan_lesson(student=student, coach=coach, at=NOON + timedelta(hours=1))
    coach_client.get(reverse("lessons:next_up"))
    with django_assert_max_num_queries(18) as few:
        coach_client.get(reverse("lessons:next_up"))
    most = len(few)  # Now: the next request forgets them.
    for n in range(12):
        other = factories.make_student(coach, f"Other {n}")
        services.plan_lesson(student=other, coach=coach, at=NOON + timedelta(hours=n))
    coach_client.get(reverse("lessons:next_up"))  # Judged once, and kept.
    with django_assert_max_num_queries(most):
        coach_client.get(reverse("lessons:next_up"))


# --- evidence ----------------------------------------------------------------------------


def test_a_picture_taken_in_the_lesson_stands_with_it(coach_client, lesson, ladder):
    services.keep_typed(lesson=lesson, fields={"0.drills": (None, str(ladder.pk))})
    address = reverse("lessons:clip", args=[lesson.pk])
    for _ in range(2):  # Sent again with the same id, it is one.
        coach_client.post(
            address,
            {
                "file": SimpleUploadedFile("a.png", picture("PNG")),
                "id": "0190f3d4-0000-7000-8000-000000000001",
            },
        )
    taken = lesson.taken.select_related("clip").get().clip
    assert (taken.drill, taken.kind) == (ladder, "image/jpeg")
    page = coach_client.get(reverse("lessons:note", args=[lesson.pk])).content.decode()
    assert reverse("clips:watch", args=[taken.pk]) in page


def test_a_file_that_is_no_clip_is_said_so(coach_client, lesson):
    answer = coach_client.post(
        reverse("lessons:clip", args=[lesson.pk]),
        {"file": SimpleUploadedFile("a.mp4", b"<html>")},
        follow=True,
    )
    assert "This is no picture" in answer.content.decode()
    assert not lesson.taken.exists()


# --- balls counted, and the one to copy ------------------------------------------------------


def test_24_balls_tapped_one_by_one_are_exact_and_are_the_coachs_own_count(
    coach_client, student, lesson, ladder
):
    """At 50 percent 7 of 10 clean, at 70 percent 9 of 14: counted by hand from the taps."""
    was, taps = "", [(50, ball) for ball in "1101101011"] + [(70, b) for b in "11011010110110"]
    balls = {50: "", 70: ""}
    for effort, ball in taps:
        balls[effort] += ball
        steps = ",".join(f"{at}:{tapped}" for at, tapped in balls.items() if tapped)
        now = f"{ladder.pk}={steps}"
        assert typed(coach_client, lesson, **{"0__balls": (was, now)}).json()["kept"] == ["0.balls"]
        was = now
    rows = CheckedCount.objects.filter(student=student, counts=True).order_by("effort")
    found = [(row.effort, row.clean_reps, row.reps, str(row.day)) for row in rows]
    assert found == [(50, 7, 10, "2031-02-26"), (70, 9, 14, "2031-02-26")]
    page = coach_client.get(reverse("progress:ladder", args=[student.pk])).content.decode()
    assert "9 of 14" in page


def test_a_new_ladder_is_brought_down_to_where_it_was_counted_to_break(
    coach, coach_client, student, lesson, ladder
):
    """At 90 percent 3 of 10 on two days before, and 4 of 10 in the lesson: it breaks there."""
    for days in (7, 5):
        for effort, clean in ((70, 10), (90, 3)):
            CheckedCount.objects.create(
                student=student,
                drill=ladder,
                effort=effort,
                reps=10,
                clean_reps=clean,
                day=NOON.date() - timedelta(days),
                by=coach,
            )
    counted = f"{ladder.pk}=70:1111111111,90:1111000000"
    typed(coach_client, lesson, **{"0__balls": ("", counted), "0__drills": ("", str(ladder.pk))})
    (row,) = proposal_for(Lesson.objects.get(pk=lesson.pk)).rows
    assert row.reason.startswith("From this lesson. Holds at 70, breaks at 90. Work at 80.")
    asked = row.choice("keep").spec.dose
    assert ladder.current.dose == "10@50, 8@70, 6@90"
    assert [step.effort for step in asked.steps][:2] == [50, 70]
    assert max(step.effort for step in asked.steps) < 90


def test_the_last_ball_taken_back_takes_its_count_back(coach_client, student, lesson, ladder):
    one = f"{ladder.pk}=50:1"
    typed(coach_client, lesson, **{"0__balls": ("", one)})
    typed(coach_client, lesson, **{"0__balls": (one, "")})
    assert [row.counts for row in CheckedCount.objects.all()] == [False]
    typed(coach_client, lesson, **{"0__balls": ("", f"{ladder.pk}=50:0")})
    assert [(row.counts, row.clean_reps) for row in CheckedCount.objects.all()] == [(True, 0)]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("no-drill=50:1", "The drill of a count is not known."),
        ("{other}=50:1", "The drill of a count is not on your shelf."),
        ("{own}=5:1", "from 10 to 100 percent 1 to 100 balls"),
        ("{own}=50:", "from 10 to 100 percent 1 to 100 balls"),
        ("{own}=50:12", "from 10 to 100 percent 1 to 100 balls"),
        ("{own}=50:" + "1" * 101, "from 10 to 100 percent 1 to 100 balls"),
        ("{own}=50:1,50:0", "counted twice"),
        ("{own}=" + ",".join(f"{n}:1" for n in range(10, 23)), "At most 12 steps"),
    ],
)
def test_a_count_that_cannot_be_is_refused_in_words(coach_client, lesson, ladder, text, words):
    other = factories.make_drill(factories.studio_of(factories.make_coach()))
    said = text.format(own=ladder.pk, other=other.pk)
    answer = typed(coach_client, lesson, **{"0__balls": ("", said)}).json()
    assert words in answer["refused"]["0.balls"]
    assert not CheckedCount.objects.exists()


def test_this_one_in_the_lesson_ties_the_clip_to_the_drill_and_the_phone_shows_it(
    coach, coach_client, student, lesson, ladder
):
    coach_client.post(
        reverse("lessons:clip", args=[lesson.pk]), {"file": SimpleUploadedFile("a.jpg", picture())}
    )
    taken = lesson.taken.get().clip
    assert taken.drill is None
    typed(coach_client, lesson, **{"0__drills": ("", str(ladder.pk))})
    address = reverse("lessons:this_one", args=[lesson.pk, taken.pk])
    assert coach_client.post(address).status_code == 302
    factories.make_part(factories.make_week(student), ladder)
    (part,) = bundle(student, student.user)["weeks"][0]["parts"]
    assert part["clip"]["page"] == reverse("clips:watch", args=[taken.pk])
    page = coach_client.get(reverse("lessons:note", args=[lesson.pk])).content.decode()
    assert "The one to copy" in page


def test_a_clip_that_is_not_of_the_lesson_is_not_to_be_chosen_there(
    coach, coach_client, student, lesson
):
    other = services.plan_lesson(student=student, coach=coach, at=NOON + timedelta(days=7))
    coach_client.post(
        reverse("lessons:clip", args=[lesson.pk]), {"file": SimpleUploadedFile("a.jpg", picture())}
    )
    taken = lesson.taken.get().clip
    address = reverse("lessons:this_one", args=[other.pk, taken.pk])
    assert coach_client.post(address).status_code == 404
    taken.refresh_from_db()
    assert not taken.is_model


# --- the door note in twenty seconds ---------------------------------------------------------


def everything_at_once(coach, student, ladder):
    """A lesson 22 days ago in long words, a week half done, pain, a question, an event, a clip."""
    lesson = Lesson.objects.create(
        student=student,
        coach=coach,
        at=NOON - timedelta(days=22),
        opened_at=NOON - timedelta(days=22),
        state="closed",
        ending="none",
    )
    finding = Finding.objects.create(
        lesson=lesson,
        fault="sways",
        cue="tail stays on the wall",
        feel="swinging a heavy bucket of water without spilling",
    )
    finding.drills.add(ladder)
    week = factories.make_week(student)
    soft = [factories.make_drill(student.studio, f"Drill {n}", "12@40, 9@60") for n in range(5)]
    for drill in (ladder, *soft):
        factories.make_part(week, drill)
    recompute(student, MONDAY)
    Clip.objects.create(
        student=student,
        author=coach,
        drill=ladder,
        kind="video/mp4",
        size=9,
        digest="d",
        expires_on=NEXT_MONDAY,
        is_model=True,
    )
    told = entry(student, note="Is my grip too strong now?", pain={"lvl": 5, "where": "hip"})
    Phone(student).receipt(told)
    student.next_event, student.next_event_name = MONDAY + timedelta(20), "Spring medal"
    student.save(update_fields=["next_event", "next_event_name"])
    return lesson


def test_the_brief_says_it_all_in_short_lines(coach, coach_client, student, ladder):
    everything_at_once(coach, student, ladder)
    note = door_note(coach, student, NOON)
    said = {line.label: line.words for line in note.brief}
    assert list(said) == [
        "Cue", "Feel", "Done", "Hurts", "Asks", "Ahead", "Begin", "To copy",
    ]  # fmt: skip
    assert max(len(words.split()) for words in said.values()) <= 7
    assert said["Feel"] == "“swinging a heavy bucket” (ask again)"
    # The ladder has a hard step, and hard work is stopped: not one ball of it.
    assert said["Begin"] == "Drill 0: the first 5 at 40"
    assert said["Asks"].startswith("Is my grip too strong now?")
    # Read aloud at 180 words a minute, twenty seconds are sixty words; the limits above are
    # up to fifteen of them, and labels are not read.
    assert sum(len(words.split()) for words in said.values()) <= 45
    page = coach_client.get(reverse("lessons:door", args=[student.pk])).content.decode()
    top = page[page.index("<h1>") : page.index("</dl>")]
    assert "…" not in top
    assert "watch the clip" in top
    assert (
        page.index("No hard swings") < page.index("Begin the lesson") < page.index("The last words")
    )


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        # The verdict, not what it is about.
        ([("Wedge card", "40 m lies in the gap from 38.5 to 49.")], "40 m lies in the gap"),
        (
            [("Ball speed, Driver", "Down 6.7 mph, held. Three test days were 162.6 mph.")],
            "Ball speed, Driver: Down 6.7 mph, held",
        ),
        (
            [("Wedge card", "Check 43° chest-high at 73 m: a typing error, or a fuller swing?")],
            "Check 43° chest-high at 73 m",
        ),
        ([("Ladder", "Holds at felt 40. Not settled at 60.")], "Ladder: Holds at felt 40"),
        ([], ""),
    ],
)
def test_a_number_at_the_door_says_its_verdict(said, shown):
    assert first_in_short(said) == shown


def part_done(name, done, asked=4.0):
    return {"name": name, "sessions_done": done, "asked_sessions": asked, "credit": 0.5,
            "removed": False}  # fmt: skip


@pytest.mark.parametrize(
    ("parts", "back", "words"),
    [
        # As many as fit, each with its figure; never a name alone.
        (["Sway gate", "Same swing, four wedges"], 0, "Sway gate 2 of 4"),
        (["Feet together"], 1, "Last week, Feet together 2 of 4"),
        (["One name of far too many words to fit"], 1, "Last week, priority 1 2 of 4"),
        (["Sway gate"], 2, "Nothing this week or last"),
    ],
)
def test_what_was_done_is_never_cut_to_a_name(parts, back, words):
    week = WeekTally(opens=MONDAY, parts=[part_done(name, 2.0) for name in parts])
    assert done_words([week], MONDAY + timedelta(weeks=back, days=2)) == words


def test_at_the_door_a_week_sent_ahead_is_not_judged(coach, coach_client, student, ladder):
    """The drills of now stand there, with what was done of them."""
    factories.make_part(factories.make_week(student), ladder)
    recompute(student, MONDAY)
    ahead = factories.make_drill(student.studio, "Only next week")
    factories.make_part(factories.make_week(student, NEXT_MONDAY), ahead)
    recompute(student, NEXT_MONDAY)
    note = door_note(coach, student, NOON)
    assert [row.name for row in note.proposed] == ["Ladder"]
    lesson = services.open_lesson(student=student, by=coach)
    (row,) = proposal_for(lesson, NEXT_MONDAY).rows
    assert (row.name, row.reason, row.went) == ("Only next week", "As it was.", "")


def test_who_does_not_read_pain_is_not_told_it_in_the_brief(coach, student, ladder):
    everything_at_once(coach, student, ladder)
    helper = factories.make_coach(factories.studio_of(coach), Membership.Role.ASSISTANT)
    labels = {line.label for line in door_note(helper, student, NOON).brief}
    assert not labels & {"Hurts", "Asks"}
    assert "Cue" in labels


# --- what is known beside the week that follows ---------------------------------------------


def test_hard_swings_events_and_days_away_stand_beside_the_week_that_follows(
    coach, coach_client, student, lesson, ladder
):
    hard = factories.make_drill(student.studio, "Speed set", "3x4@max")
    typed(coach_client, lesson, **{"0__drills": ("", f"{hard.pk}")})
    Excusal.objects.create(student=student, first=NEXT_MONDAY, last=NEXT_MONDAY)
    student.next_event, student.next_event_name = NEXT_MONDAY + timedelta(4), "Spring medal"
    student.save(update_fields=["next_event", "next_event_name"])
    address = reverse("lessons:close", args=[lesson.pk]) + f"?opens={NEXT_MONDAY}"
    page = " ".join(coach_client.get(address).content.decode().split())
    # 3 sessions of 3 times 4 as hard as they can are 36; half of the first 60 leaves two of them.
    assert '<span id="hard">24</span> hard swings' in page
    assert "Event week: at most 30 hard swings. Less of it for now." in page
    assert "Excused: Mon 3. 6 open days" in page
    assert "Spring medal on Fri 7." in page
