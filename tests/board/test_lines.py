"""The closed lines: short, with one thing to do, and marked where something is new."""

import re
from datetime import timedelta
from itertools import product

import pytest
from django.urls import reverse
from django.utils import timezone

from coaching.board.kept import standings
from coaching.board.line_rows import _row as line_rows
from coaching.board.looks import keep_look, last_look, news_since, take_back_look
from coaching.board.queries import BoardAsked, board, students_of
from coaching.board.rules.care import care_needed
from coaching.board.rules.order import need_of
from coaching.board.rules.short import MOST_WORDS, because, where_told
from coaching.board.rules.states import State
from practice.care.models import PainNote
from practice.log.models import Entry
from tests.board.make import history, past_week, present_week
from tests.board.rules.test_words import BANNED, VARIATIONS, by_arithmetic, facts, hopeless
from tests.conftest import messages_on
from tests.factories import make_coach, make_student, make_week, studio_of

WHO = "/who/"


def make_entry(student, **fields) -> Entry:
    at = timezone.now()
    kept = {"day": at.date(), "at": at, "document": {}, "fingerprint": "0" * 64}
    entry = Entry(student=student, **kept | fields)
    entry.root = entry.pk
    entry.save()
    return entry


# --- because ----------------------------------------------------------------------


def every_because() -> list[str]:
    said = []
    for changes, state in product(VARIATIONS, State):
        for varied in (facts(**changes), by_arithmetic(**changes), hopeless(**changes)):
            care = care_needed(varied)
            need = need_of(varied, state, care)
            why = because(varied, state, need, care)
            said += [why.said(where=where_told(care)), why.said()]
    return said


def test_every_reason_is_short_plain_and_has_one_figure():
    said = every_because()
    assert len(set(said)) > 25
    for words in said:
        assert words
        assert len(words.split()) <= MOST_WORDS, words
        assert len(re.findall(r"\d+(?:[./]\d+)*", words)) <= 1, words
        assert not set(re.findall(r"[a-z-]+", words.lower())) & set(BANNED), words
        assert not words.endswith("."), words


def test_without_leave_no_reason_quotes_the_pain():
    for changes in VARIATIONS:
        varied = facts(**changes)
        care = care_needed(varied)
        if care and care.pains:
            need = need_of(varied, State.IN_STEP, care)
            why = because(varied, State.IN_STEP, need, care)
            told, kept = why.said(where=where_told(care)), why.said()
            assert told != kept
            assert not any(pain.where and pain.where in kept for pain in care.pains)


# --- lines ------------------------------------------------------------------------


@pytest.fixture
def roster(coach):
    tight = make_student(coach, "Tess")
    history(tight, "10- 12- 40+ 9-")
    present_week(tight, left=30)
    fine = make_student(coach, "Fay")
    history(fine, "42+ 40+ 40+ 44+")
    present_week(fine, left=30)
    for name in ("New One", "New Two"):
        make_student(coach, name)
    return tight, fine


@pytest.mark.django_db
@pytest.mark.usefixtures("wednesday_evening")
class TestPage:
    def test_a_line_each_a_line_of_names_and_one_line_for_all_without_a_week(
        self, coach_client, roster
    ):
        page = coach_client.get(WHO).content.decode()
        assert page.count('class="board-line"') == 1  # Tess
        assert page.count('class="board-line board-weekless"') == 1
        assert "Set a week for these 2" in page
        assert "Fay" in page
        every = coach_client.get(WHO, {"all": "1"}).content.decode()
        assert every.count('class="board-line"') == 2

    @pytest.mark.parametrize(("days", "opens"), [(0, "2031-02-24"), (4, "2031-03-03")])
    def test_a_week_that_is_nearly_over_is_not_the_one_to_set(
        self, coach, coach_client, wednesday, days, opens
    ):
        make_student(coach, "New One")
        wednesday.shift(timedelta(days=days))  # Wednesday, Sunday.
        ((row,),) = (group.rows for group in board(coach, timezone.now()).groups if group.rows)
        assert coach_client.get(row.do_url).url.endswith(f"/week/{opens}/")

    def test_the_one_thing_to_do(self, coach, roster):
        rows = {
            row.name: row for group in board(coach, timezone.now()).groups for row in group.rows
        }
        tight, _ = roster
        assert rows["Tess"].do_words == "Shorter week"
        assert rows["Tess"].do_url.endswith("/shorter/")
        assert rows["Fay"].do_url == ""
        assert rows["New One"].do_words == "Set the week"
        helper = make_coach(studio_of(coach), role="assistant")
        theirs = board(helper, timezone.now()).groups
        shown = {row.name: row for group in theirs for row in group.rows}
        assert shown["Tess"].do_words == "Write a line"
        assert shown["Tess"].do_url == f"?open={tight.pk}&write=1#row-{tight.pk}"

    def test_what_changed_is_drawn_anew_and_each_reader_has_their_own(self, coach, roster):
        tight, _ = roster
        helper = make_coach(studio_of(coach), role="assistant")

        def row(user):
            groups = board(user, timezone.now()).groups
            return next(row for group in groups for row in group.rows if row.id == str(tight.pk))

        before, theirs = row(coach), row(helper)
        assert row(coach) is before
        assert row(helper) is theirs
        assert (before.do_words, theirs.do_words) == ("Shorter week", "Write a line")
        tight.name = "Tessa <b>"
        tight.save()
        assert row(coach).name == "Tessa <b>"
        past_week(tight, 5, 60, True)
        assert row(coach).finished == "2 of 5"

    def test_where_it_hurts_is_kept_in_no_drawn_line(self, coach, roster):
        _, fine = roster
        told = make_entry(fine)
        PainNote.objects.create(
            student=fine, entry=told, day=told.day, level=6, where="left elbow", told_at=told.at
        )

        def row():
            groups = board(coach, timezone.now()).groups
            return next(row for group in groups for row in group.rows if row.id == str(fine.pk))

        line_rows.cache_clear()
        first = row()
        assert "left elbow" in first.because
        assert row() is not first
        assert line_rows.cache_info().currsize == len(roster) + 1

    def test_a_line_opens_in_place_with_and_without_script(self, coach_client, roster):
        tight, _ = roster
        closed = coach_client.get(WHO).content.decode()
        assert "How was this worked out?" not in closed
        opened = coach_client.get(WHO, {"open": str(tight.pk), "write": "1"}).content.decode()
        assert opened.count("How was this worked out?") == 1
        assert '<details class="board-write" open>' in opened
        part = coach_client.get(reverse("board:row", args=[tight.pk])).content.decode()
        assert "<html" not in part
        assert "Send a shorter week" in part

    def test_the_several_page_comes_with_those_ticked(self, coach_client, roster):
        for student in roster:
            make_week(student)
        page = coach_client.get(reverse("plans:several"), {"tick": "no-week"}).content.decode()
        boxes = [box for box in re.findall(r"<input[^>]*>", page) if 'name="student"' in box]
        assert sum("checked" in box for box in boxes) == 2
        assert len(boxes) == 4


# --- what is new --------------------------------------------------------------------


@pytest.mark.django_db
@pytest.mark.usefixtures("wednesday_evening")
class TestLooks:
    def look(self, coach, at=None) -> None:
        now = timezone.now()
        keep_look(user=coach, at=at or now, standing=standings(students_of(coach), now))

    def news(self, coach) -> dict[str, tuple[str, ...]]:
        standing = standings(students_of(coach), timezone.now())
        found = news_since(last_look(coach), standing)
        names = {each.id: each.name for each in standing}
        return {names[who]: kinds for who, kinds in found.items() if kinds}

    def test_before_the_first_look_nothing_is_new(self, coach, roster):
        assert self.news(coach) == {}
        assert board(coach, timezone.now()).since == ""

    def test_a_changed_word_a_log_a_note_and_pain(self, coach, roster):
        tight, fine = roster
        self.look(coach)
        assert self.news(coach) == {}
        fine.tallies.all().delete()
        entry = make_entry(tight, note="My wrist felt odd", received_at=soon())
        PainNote.objects.create(student=tight, entry=entry, day=entry.day, level=2, told_at=soon())
        assert self.news(coach) == {"Fay": ("word",), "Tess": ("pain", "note", "log")}

    def test_looking_clears_and_is_taken_back(self, coach, roster):
        tight, _ = roster
        self.look(coach)
        make_entry(tight, received_at=soon())
        self.look(coach, at=soon() + timedelta(minutes=1))
        assert self.news(coach) == {}
        assert take_back_look(user=coach)
        assert self.news(coach) == {"Tess": ("log",)}
        assert not take_back_look(user=coach)

    def test_what_is_said_to_be_marked_again_is_marked(self, coach, coach_client, roster):
        for after in (1, 2):
            self.look(coach, at=soon() + timedelta(minutes=after))
        page = coach_client.post(reverse("board:seen"), {"do": "back"}, follow=True)
        assert "Nothing was new then either." in page.content.decode()
        assert "Nothing new since" in page.content.decode()

    def test_a_page_left_open_clears_nothing_that_came_later(self, coach, coach_client, roster):
        tight, _ = roster
        self.look(coach)
        early = timezone.now() + timedelta(seconds=1)
        make_entry(tight, received_at=soon())
        answer = coach_client.post(
            reverse("board:seen"), {"do": "quietly", "at": early.isoformat()}
        )
        assert answer.status_code == 204
        assert self.news(coach) == {"Tess": ("log",)}

    def test_the_heading_counts_and_a_button_clears(self, coach, coach_client, roster):
        tight, _ = roster
        self.look(coach, at=timezone.now() - timedelta(hours=2))
        make_entry(tight, received_at=timezone.now() - timedelta(hours=1))
        page = coach_client.get(WHO).content.decode()
        assert "1 new since 18:00" in page
        assert '<span class="board-new">new<span class="visually-hidden">: practice' in page
        answer = coach_client.post(reverse("board:seen"), {"do": "seen"}, follow=True)
        assert "Nothing is marked as new now." in messages_on(answer)
        assert "Nothing new since 20:00" in answer.content.decode()
        answer = coach_client.post(reverse("board:seen"), {"do": "back"}, follow=True)
        assert "1 new since 18:00" in answer.content.decode()

    def test_who_reads_no_pain_is_not_told_of_notes(self, coach, roster):
        tight, _ = roster
        helper = make_coach(studio_of(coach), role="assistant")
        self.look(helper, at=timezone.now() - timedelta(hours=2))
        told_at = timezone.now() - timedelta(hours=1)
        told = make_entry(tight, note="sore", received_at=told_at)
        PainNote.objects.create(student=tight, entry=told, day=told.day, level=1, told_at=told_at)
        rows = [row for group in board(helper, timezone.now()).groups for row in group.rows]
        assert {row.name: row.news for row in rows if row.news} == {"Tess": "practice"}

    def test_what_counts_no_more_no_pain_and_pain_long_ago_are_no_news(self, coach, roster):
        tight, fine = roster
        self.look(coach)
        make_entry(tight, note="Felt odd", received_at=soon(), counts=False)
        told = make_entry(fine, received_at=timezone.now() - timedelta(days=1))
        for level, days in ((0, 0), (3, 43)):
            PainNote.objects.create(
                student=fine, entry=told, day=told.day - timedelta(days=days), level=level,
                where=f"{level}", told_at=soon(),
            )  # fmt: skip
        assert self.news(coach) == {}
        PainNote.objects.filter(level=3).update(day=told.day - timedelta(days=42))
        assert self.news(coach) == {"Fay": ("pain",)}

    def test_a_page_that_is_older_than_the_last_look_changes_nothing(self, coach, roster):
        seen = timezone.now()
        self.look(coach, at=seen)
        for earlier in (0, 5):
            self.look(coach, at=seen - timedelta(minutes=earlier))
        assert last_look(coach).at == seen
        assert not take_back_look(user=coach)

    @pytest.mark.parametrize("at", ["2031-02-26T19:00:00", "2031-02-26T21:00:00Z", "soon", ""])
    def test_the_clock_decides_when_a_page_names_no_instant_that_was(
        self, coach, coach_client, roster, at
    ):
        coach_client.post(reverse("board:seen"), {"do": "quietly", "at": at})
        assert last_look(coach).at == timezone.now()

    @pytest.mark.parametrize(
        ("ago", "words"),
        [
            (timedelta(hours=20), "00:00"),
            (timedelta(hours=21), "Tue 23:00"),
            (timedelta(days=6), "Thu 20:00"),
            (timedelta(days=7), "Wed 19 Feb"),
        ],
    )
    def test_when_the_last_look_was_is_said_as_near_as_it_is(self, coach, roster, ago, words):
        self.look(coach, at=timezone.now() - ago)
        assert board(coach, timezone.now()).since == words

    def test_only_who_teaches_looks(self, student_client):
        assert student_client.post(reverse("board:seen")).status_code == 404

    def test_asked_for_shows_the_line_open(self, coach, roster):
        tight, _ = roster
        assert board(coach, timezone.now(), asked=BoardAsked(open=str(tight.pk))).open == str(
            tight.pk
        )


def soon():
    return timezone.now() + timedelta(minutes=5)


@pytest.mark.usefixtures("wednesday")
def test_the_bars_of_the_weeks_say_in_words_how_many_were_finished(coach, coach_client):
    """The fact of the reports: what each week's tally says, of the weeks that asked something."""
    student = make_student(coach, "Wanda Words")
    past_week(student, 1, 60, True)
    past_week(student, 2, 55, True)
    past_week(student, 3, 20, False)
    past_week(student, 4, 0, False, open_days=0, credit=None)
    present_week(student, 40)
    line = coach_client.get(WHO + "?all=1").content.decode()
    assert '<span class="quiet" aria-hidden="true">2/3</span>' in line
    assert '<span class="visually-hidden">2 of 3 finished</span>' in line
    opened = coach_client.get(reverse("board:row", args=[student.pk])).content.decode()
    assert "; 2 of 3 finished" in opened
