"""What the board keeps of a student is what it would say if it judged from scratch, always."""

import re
import subprocess
import sys
from contextlib import suppress
from datetime import timedelta
from uuid import UUID

import pytest
import time_machine
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coaching.board import kept, lines, watch
from coaching.board.kept import from_scratch, standings
from coaching.board.lines import from_json, line_of, to_json
from coaching.board.models import KeptLine
from coaching.lessons.models import Lesson
from coaching.lessons.services import cancel_lesson, close_without_week, open_lesson, plan_lesson
from coaching.track_record import services as track_record
from practice.care.models import PainNote, Stop
from practice.coach_counts.services import keep_count
from practice.drills import services as drills
from practice.numbers.now import reckoning, studio_reckoning
from shared.people.models import Student, Studio
from shared.site import triggers
from tests.board.make import history, present_week
from tests.board.test_as_of import START, Life
from tests.factories import MONDAY, WEDNESDAY_EVENING, make_coach, make_student, studio_of
from tests.numbers import speeds

pytestmark = pytest.mark.django_db


class Watched(Life):
    """The same life with what a coach, the worker and a hand in the shell do besides.

    After every act, and again after a while, what is kept is compared with what is so.
    """

    def __init__(self, coach, seed: int, clock) -> None:
        super().__init__(coach, seed, clock)
        self.stood = self.looked = 0
        self.test = speeds.speed_drill(self.students[0])

    def live(self, steps: int = 28) -> None:
        for _ in range(steps):
            self.move(timedelta(minutes=self.random.choice((1, 90, 400, 1500, 9000))))
            self.compare()
            self.weeks()
            self.act(self.random.choice(self.students))
            self.compare()

    def act(self, student) -> None:
        student.refresh_from_db()
        more = [self.count, self.plan, self.open, self.end, self.shoot, self.tick, self.reword]
        more += [self.tested_by, self.studio, self.hand, self.hand, self.hand]
        if self.random.random() < 0.5:
            super().act(student)
        else:
            student = Student.objects.select_related("studio").get(pk=student.pk)
            self.random.choice(more)(student)

    def compare(self) -> None:
        everyone = Student.objects.filter(studio=studio_of(self.coach))
        rows = everyone.values_list(*kept.KEPT)
        self.stood += sum(kept.is_standing(row, self.now) for row in rows)
        self.looked += len(everyone)
        said = {each.id: each.line for each in standings(everyone, self.now)}
        anew = from_scratch([each.pk for each in everyone], self.now)
        assert said == {each.person.id: line_of(each) for each in anew}

    def count(self, student) -> None:
        one = UUID(int=self.random.getrandbits(128), version=4)
        keep_count(
            student=student, by=self.coach, count_id=one, drill=self.drills[0], effort=50,
            reps=20, clean_reps=self.random.randint(0, 20), own_clean_reps=None,
            day=self.now.date() - timedelta(days=self.random.randint(0, 200)),
        )  # fmt: skip

    def plan(self, student) -> None:
        at = self.now + timedelta(minutes=self.random.choice((5, 70, 3000)))
        plan_lesson(student=student, coach=self.coach, at=at)

    def open(self, student) -> None:
        open_lesson(student=student, by=self.coach)

    def end(self, student) -> None:
        if lesson := Lesson.objects.filter(student=student).exclude(state="closed").first():
            (cancel_lesson if lesson.state == "planned" else close_without_week)(lesson=lesson)

    def shoot(self, student) -> None:
        speeds.one_day(student, self.test, self.random.choice(speeds.PIET))

    def tick(self, _student) -> None:
        studio_reckoning.sweep(self.now)
        reckoning.sweep(self.now)
        track_record.make_rhythms(self.now)

    def reword(self, _student) -> None:
        name = f"Ladder {self.random.randint(1, 9)}"
        drill = self.drills[0]
        wording = {"area": "swing", "purpose": "Speed.", "name": name, "dose": "10@50, 8@90"}
        drills.write_revision(drill=drill, wording=wording, by=self.coach)

    def tested_by(self, _student) -> None:
        drills.set_test(drill=self.drills[0], test=self.random.choice((None, self.test)))

    def studio(self, _student) -> None:
        day = self.random.randint(0, 6)
        Studio.objects.filter(pk=studio_of(self.coach).pk).update(first_weekday=day)

    def hand(self, _student) -> None:
        """Some row of what is watched is taken away, or all of one table are put elsewhere."""
        model = apps.get_model(self.random.choice(sorted(watch.WATCHED)))
        names = {field.name for field in model._meta.concrete_fields}
        if "counts" in names:
            some = list(model.objects.order_by("pk").values_list("pk", flat=True))[::3]
            model.objects.filter(pk__in=some).update(counts=False)
        elif "level" in names:
            model.objects.filter(level__gt=0).update(level=self.random.randint(1, 10))
        elif model._meta.label in {"compliance.WeekTally", "weeks.Excusal", "care.Stop"}:
            rows = list(model.objects.values_list("pk", flat=True))
            model.objects.filter(pk__in=rows[: self.random.randint(0, 1)]).delete()


def lived(coach, seed: int, steps: int) -> Watched:
    with time_machine.travel(START, tick=False) as clock:
        life = Watched(coach, seed, clock)
        life.live(steps)
        return life


def test_whatever_happens_what_is_kept_is_what_would_be_judged_now(coach):
    life = lived(coach, 1, steps=24)
    assert life.looked * 0.2 < life.stood < life.looked  # Of both there was enough to tell.


@pytest.mark.long
@pytest.mark.parametrize("seed", range(100, 200))
def test_and_in_a_hundred_more_lives(coach, seed):
    lived(coach, seed, steps=100)


def test_all_that_is_read_to_judge_is_watched(coach, wednesday_evening):
    """A rule that reads another table must be told of its changes: add it to WATCHED."""
    student = make_student(coach, "Sam")
    history(student, "10- 12- 40+ 9-")
    entry = student.entries.create(root=student.pk, day=MONDAY, at=WEDNESDAY_EVENING, document={})
    PainNote.objects.create(student=student, entry=entry, day=MONDAY, level=2)
    with CaptureQueriesContext(connection) as asked:
        from_scratch([student.pk], WEDNESDAY_EVENING)
    read = {
        table for query in asked for table in re.findall(r'(?:FROM|JOIN) "(\w+)"', query["sql"])
    }
    assert len(read) > 12
    assert read - set(watch.TRIGGERS.watched()) == set()


def test_every_trigger_is_there(db):
    """`migrate` put them up; without one of them lines would be kept for ever."""
    assert watch.TRIGGERS.is_up(connection)


def test_with_a_trigger_missing_all_are_made_anew_and_no_line_stands(coach, wednesday_evening):
    everyone = Student.objects.filter(pk=make_student(coach, "Sam").pk)
    standings(everyone, WEDNESDAY_EVENING)
    triggers.put_up(connection)
    assert all(kept.is_standing(row, WEDNESDAY_EVENING) for row in everyone.values_list(*kept.KEPT))
    with connection.cursor() as cursor:
        name = "kept_log_entry" + ("_insert" if connection.vendor == "sqlite" else " ON log_entry")
        cursor.execute(f"DROP TRIGGER {name}")
    assert not watch.TRIGGERS.is_up(connection)
    triggers.put_up(connection)
    assert watch.TRIGGERS.is_up(connection)
    rows = everyone.values_list(*kept.KEPT)
    assert not any(kept.is_standing(row, WEDNESDAY_EVENING) for row in rows)


def test_a_line_that_stands_is_one_query(coach, wednesday_evening, django_assert_num_queries):
    for name in ("Ann", "Bo"):
        present_week(make_student(coach, name), left=30)
    everyone = Student.objects.filter(studio=studio_of(coach))
    first = standings(everyone, WEDNESDAY_EVENING)
    with django_assert_num_queries(1):
        assert standings(everyone, WEDNESDAY_EVENING) == first


def test_only_whose_row_changed_is_judged_again(coach, wednesday_evening, monkeypatch):
    _, bo = (make_student(coach, name) for name in ("Ann", "Bo"))
    everyone = Student.objects.filter(studio=studio_of(coach))
    standings(everyone, WEDNESDAY_EVENING)
    asked = []
    monkeypatch.setattr(kept, "judge", lambda who, now: asked.extend(who) or {})
    Stop.objects.create(student=bo, since=MONDAY)
    with suppress(KeyError):
        standings(everyone, WEDNESDAY_EVENING)
    assert asked == [bo.pk]


def test_what_changes_while_it_is_judged_is_judged_again(coach, wednesday_evening, monkeypatch):
    student = make_student(coach, "Sam")
    everyone = Student.objects.filter(studio=studio_of(coach))
    judging = kept.from_scratch

    def meanwhile(who, now):
        judged = judging(who, now)
        Stop.objects.create(student=student, since=MONDAY)
        return judged

    monkeypatch.setattr(kept, "from_scratch", meanwhile)
    assert not standings(everyone, WEDNESDAY_EVENING)[0].line.because.of_pain
    monkeypatch.undo()
    assert standings(everyone, WEDNESDAY_EVENING)[0].line.because.of_pain


def test_another_release_s_rules_judge_again(coach, wednesday_evening, monkeypatch):
    student = make_student(coach, "Sam")
    everyone = Student.objects.filter(pk=student.pk)
    standings(everyone, WEDNESDAY_EVENING)
    monkeypatch.setattr(kept, "rules", lambda: "others")
    standings(everyone, WEDNESDAY_EVENING)
    assert KeptLine.objects.get().rules == "others"


def test_where_it_hurts_is_in_no_kept_line(coach, wednesday_evening):
    student = make_student(coach, "Sam")
    entry = student.entries.create(root=student.pk, day=MONDAY, at=WEDNESDAY_EVENING, document={})
    PainNote.objects.create(
        student=student, entry=entry, day=MONDAY, level=8, where="left wrist", signs=["sharp"]
    )
    standings(Student.objects.filter(pk=student.pk), WEDNESDAY_EVENING)
    kept_words = str(KeptLine.objects.get().line)
    assert "/10" in kept_words
    assert "wrist" not in kept_words
    assert "sharp" not in kept_words


def test_a_line_comes_back_as_it_was_kept(coach, wednesday_evening):
    student = make_student(coach, "Sam")
    history(student, "10- 12- 40+ 9-")
    present_week(student, left=30)
    line = line_of(from_scratch([student.pk], WEDNESDAY_EVENING)[0])
    assert from_json(to_json(line)) == line


def test_who_is_read_beside_changes_nothing(coach, wednesday_evening):
    """Weeks of others begin on other days, and their clocks are a day ahead or behind."""
    other = make_coach(name="Other")
    Studio.objects.filter(pk=studio_of(other).pk).update(first_weekday=3)
    zones = ("UTC", "Pacific/Auckland", "Pacific/Honolulu")
    students = [make_student(who, zone, time_zone=zone) for who in (coach, other) for zone in zones]
    for student in students:
        history(student, " ".join(["10-", "40+", "12-"] * 10))
    alone = [line_of(from_scratch([each.pk], WEDNESDAY_EVENING)[0]) for each in students]
    together = {
        each.person.id: line_of(each)
        for each in from_scratch([each.pk for each in students], WEDNESDAY_EVENING)
    }
    assert alone == [together[each.pk] for each in students]


def test_the_check_names_what_is_not_so_and_rebuilding_mends_it(coach, wednesday_evening, capsys):
    student = make_student(coach, "Sam")
    standings(Student.objects.filter(pk=student.pk), WEDNESDAY_EVENING)
    call_command("rebuild_lines", check=True)
    assert "Every kept line is as judged now." in capsys.readouterr().out
    row = KeptLine.objects.get()
    row.line[1] = 9
    row.save()
    with pytest.raises(CommandError, match="1 differences"):
        call_command("rebuild_lines", check=True)
    assert str(student.pk) in capsys.readouterr().out
    call_command("rebuild_lines")
    call_command("rebuild_lines", check=True)


def test_files_put_over_a_running_process_do_not_rename_its_rules():
    """Read at the first line, the name was the new release's, and its pages met lines of before."""
    code = (
        "import os, django; os.environ['DJANGO_SETTINGS_MODULE'] = 'tests.settings'\n"
        "django.setup()\n"
        "from pathlib import Path\n"
        "from coaching.board import lines\n"
        "Path.read_bytes = lambda self: b'the next release'\n"
        "print(lines.rules())"
    )
    said = subprocess.run(
        [sys.executable, "-c", code], cwd=lines.ROOT, capture_output=True, text=True, check=True
    )
    assert said.stdout.strip() == lines.rules()
