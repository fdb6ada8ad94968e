"""From a file to shots: once, whatever is sent again or breaks off."""

import csv
import io
from datetime import date

import pytest
from django.db import connection

from practice.importing import columns, services, work
from practice.importing.columns import Column, Plan
from practice.importing.days import DateOrder
from practice.importing.models import Brought, KeptColumns, Piece, RefusedRow, ShotFile
from practice.importing.rows import as_sent, content_keys, inert, shot_fingerprints, turned
from practice.shots.models import Club, Shot, Sitting
from shared.kit.refused import Refused
from shared.kit.units import DISTANCE, SPEED
from tests import factories
from tests.importing.files import CSV, HEADER, ROWS, many, workbook

pytestmark = pytest.mark.django_db
State = ShotFile.State


@pytest.fixture
def student(coach):
    return factories.make_student(coach, "Sam Sample", time_zone="UTC")


def send(student, content=CSV, *, by=None, name="shots.csv"):
    return services.take(
        student=student, by=by or student.lead_coach, name=name, size=len(content), chunks=[content]
    )


def bring(student, content=CSV, *, plan=None, by=None, **given):
    """Send a file, take the first plan as it is but for what is given, and read it."""
    file = send(student, content, by=by)
    kept = plan or Plan.from_json(file.plan)
    said = {"device": "radar A"} | given
    named = Plan(**{name: said.get(name, getattr(kept, name)) for name in kept.__slots__})
    services.name_columns(file=file, by=by or student.lead_coach, plan=named)
    while work.read_waiting():
        continue
    file.refresh_from_db()
    return file


def counted(file):
    return file.state, file.shots_new, file.shots_known, file.rows_refused


def test_a_file_is_kept_with_what_can_be_seen_of_it(student):
    file = send(student)
    assert file.state == State.COLUMNS
    assert file.header == HEADER.split(",")
    assert (file.header_row, file.rows_total) == (1, 5)
    plan = Plan.from_json(file.plan)
    assert plan.columns[2] == Column("carry", "yd")
    assert plan.columns[5] == Column("ball_speed", "mph")
    assert Shot.objects.count() == 0
    assert b"".join(bytes(piece.content) for piece in file.pieces.order_by("number")) == CSV


def test_shots_come_in_as_si_by_day_device_and_club(student):
    file = bring(student)
    assert counted(file) == (State.DONE, 3, 0, 0)
    assert (file.rows_done, file.rows_total) == (3, 3)
    sitting = Sitting.objects.get()
    assert (sitting.day, sitting.device, sitting.evidence) == (
        date(2026, 2, 20),
        "radar A",
        "measured",
    )
    assert sitting.written_by == student.lead_coach
    assert not sitting.from_memory
    shots = list(Shot.objects.order_by("number").select_related("club"))
    assert [shot.number for shot in shots] == [1, 2, 3]
    assert [shot.club.name for shot in shots] == ["54", "54", "50"]
    assert shots[0].carry == DISTANCE["yd"].to_si(80.5)
    assert shots[0].side == DISTANCE["yd"].to_si(-3.2)
    assert shots[0].ball_speed == SPEED["mph"].to_si(72.4)
    assert shots[0].spin == 8200
    assert shots[0].club_speed is None
    assert Club.objects.count() == 2
    assert not Piece.objects.exists()


def test_the_same_file_again_adds_nothing(student):
    bring(student)
    again = bring(student)
    assert counted(again) == (State.DONE, 0, 3, 0)
    assert Shot.objects.count() == 3
    assert Sitting.objects.count() == 1


def test_the_same_rows_in_a_workbook_add_nothing(student):
    bring(student)
    typed = [
        [
            float(cell) if cell.replace(".", "").replace("-", "").isdigit() and i else cell
            for i, cell in enumerate(row.split(","))
        ]
        for row in ROWS
    ]
    again = bring(student, workbook([HEADER.split(","), *typed]))
    assert counted(again) == (State.DONE, 0, 3, 0)


def test_a_longer_file_adds_what_is_new(student):
    bring(student)
    more = CSV + b"2026-02-21,50,96.0,99.5,0.0,80.3,7500\n"
    assert counted(bring(student, more)) == (State.DONE, 1, 3, 0)
    assert Sitting.objects.count() == 2


def test_two_equal_rows_are_two_shots_and_stay_two(student):
    twice = CSV + ROWS[0].encode() + b"\n"
    assert counted(bring(student, twice)) == (State.DONE, 4, 0, 0)
    assert counted(bring(student, twice)) == (State.DONE, 0, 4, 0)
    assert counted(bring(student, twice + ROWS[0].encode())) == (State.DONE, 1, 4, 0)


def test_another_student_may_have_the_same_file(student, coach):
    bring(student)
    other = factories.make_student(coach, "Other")
    assert counted(bring(other)) == (State.DONE, 3, 0, 0)


BAD = (
    b"Date,Club,Carry (m),Ball Speed (m/s)\n"
    b"2026-02-20,54,60.5,30\n"
    b"2026-02-20,54,sixty,30\n"
    b"someday,54,61,30\n"
    b"2026-02-20,54,6100,30\n"
    b"2026-02-20,54,,\n"
    b"2026-02-20,=cmd|' /C calc'!A0,61,-30\n"
    b"2026-02-20,a club with a very long name,61,30\n"
    b'2026-02-20,"54,61,30\n'
    b"2026-02-20,54,62.5,31\n"
)


def test_a_bad_row_stops_no_good_one_and_says_why(student):
    file = bring(student, BAD)
    assert counted(file) == (State.DONE, 2, 0, 7)
    reasons = dict(file.refused.values_list("number", "reason"))
    assert sorted(reasons) == [3, 4, 5, 6, 7, 8, 9]
    assert "“sixty” is not a number" in reasons[3]
    assert "“someday” is not a day" in reasons[4]
    assert "6100 is not between 0 and 400 m" in reasons[5]
    assert "no carry, total, speed" in reasons[6]
    assert "-30 is not between" in reasons[7]
    assert "longer than 20 letters" in reasons[8]
    assert "quotation mark" in reasons[9]


def refused_file(client, file):
    answer = client.get(f"/students/{file.student_id}/files/{file.pk}/refused.csv")
    assert answer.status_code == 200
    return b"".join(answer.streaming_content)


def test_refused_rows_come_back_as_a_file_without_formulas(student, coach_client):
    file = bring(student, BAD)
    content = refused_file(coach_client, file).decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(content)))
    assert rows[0][-2:] == ["why it was refused", "row in the file"]
    assert rows[1][:3] == ["2026-02-20", "54", "sixty"]
    assert rows[5][1] == "'=cmd|' /C calc'!A0"
    assert rows[5][3] == "-30"
    assert [int(row[-1]) for row in rows[1:]] == [3, 4, 5, 6, 7, 8, 9]


def test_the_mended_file_of_refused_rows_adds_the_mended_and_nothing_twice(student, coach_client):
    first = bring(student, BAD)
    mended = refused_file(coach_client, first).replace(b"sixty", b"60")
    second = bring(student, mended)
    assert (second.shots_new, second.rows_refused) == (1, 6)
    # The whole first file, mended in place, then knows that shot.
    assert counted(bring(student, BAD.replace(b"sixty", b"60")))[1:3] == (0, 3)


def test_inert_text_is_what_it_was_when_read_again():
    for text in ("=1+1", "+x", "-x", "@a", "\tb", "＝1", "plain", "-5", "+3.5", "'quoted"):
        assert as_sent(inert(text)) == text
    assert inert("-5") == "-5"
    assert inert("-5,5") == "-5,5"
    assert inert("=5") == "'=5"


def test_days_sessions_and_devices_make_sittings_of_their_own(student):
    content = (
        b"Date,Session,Device,Carry (m)\n"
        b"2026-02-20,a,one,60\n2026-02-20,b,one,61\n2026-02-20,a,two,62\n2026-02-21,a,one,63\n"
        b"2026-02-20,a,one,64\n"
    )
    bring(student, content, device="")
    assert Sitting.objects.count() == 4
    first = Sitting.objects.get(day="2026-02-20", device="one", note__endswith="session a")
    assert list(first.shots.order_by("number").values_list("number", "carry")) == [
        (1, 60.0),
        (2, 64.0),
    ]


def test_what_no_column_says_is_said_for_all(student):
    content = b"Carry;Ball speed\n60,5;30\n61,5;31\n"
    file = bring(student, content, day="2026-02-25", ball="range", place="Bay 3", indoors=True)
    assert counted(file) == (State.DONE, 2, 0, 0)
    sitting = Sitting.objects.get()
    assert (sitting.day, sitting.ball, sitting.place, sitting.indoors) == (
        date(2026, 2, 25), "range", "Bay 3", True,
    )  # fmt: skip
    assert sorted(Shot.objects.values_list("carry", flat=True)) == [60.5, 61.5]


def test_a_day_to_come_and_one_long_ago_are_refused(student):
    content = b"Date,Carry\n2999-01-01,60\n1999-01-01,60\n2026-02-20,60\n"
    assert counted(bring(student, content)) == (State.DONE, 1, 0, 2)


def test_named_columns_are_kept_for_the_next_file_of_that_header(student):
    content = b"Wann,Wie\n20.02.2026,60\n"
    file = send(student, content)
    assert Plan.from_json(file.plan).columns == {0: Column("day")}
    plan = Plan(
        columns={0: Column("day"), 1: Column("carry", "yd")}, order=DateOrder.DMY, device="radar A",
        day="2026-02-20",
    )  # fmt: skip
    services.name_columns(file=file, by=student.lead_coach, plan=plan)
    next_one = send(student, b"WANN,Wie\n21.02.2026,61\n")
    kept = Plan.from_json(next_one.plan)
    assert kept.columns == plan.columns
    assert (kept.order, kept.device, kept.day) == (DateOrder.DMY, "radar A", "")
    assert KeptColumns.objects.count() == 1


def test_kept_columns_of_a_colleague_serve_and_those_of_another_studio_do_not(student):
    colleague = factories.make_coach(student.studio)
    file = send(student, b"Tag,Weite\n2026-02-20,60\n")
    plan = Plan(columns={0: Column("day"), 1: Column("carry", "m")}, device="radar A")
    services.name_columns(file=file, by=student.lead_coach, plan=plan)
    assert Plan.from_json(send(student, b"Tag,Weite\n1,2\n", by=colleague).plan).columns
    stranger = factories.make_student(factories.make_coach(), "Stranger")
    assert not Plan.from_json(send(stranger, b"Tag,Weite\n1,2\n").plan).columns


def test_a_file_taken_back_leaves_nothing_and_may_come_again(student):
    file = bring(student)
    other = bring(student, CSV + b"2026-02-21,50,96.0,99.5,0.0,80.3,7500\n")
    services.take_back(file=file)
    services.take_back(file=file)
    assert Shot.objects.count() == 1
    assert Brought.objects.filter(file=file).count() == 0
    assert counted(bring(student))[1:3] == (3, 0)
    other.refresh_from_db()
    assert other.state == State.DONE


def test_a_dropped_file_is_forgotten_and_one_being_read_is_not(student):
    file = send(student)
    services.drop(file=file)
    assert not ShotFile.objects.exists()
    read = bring(student)
    services.drop(file=read)
    services.name_columns(file=read, by=student.lead_coach, plan=Plan())
    read.refresh_from_db()
    assert read.state == State.DONE


@pytest.mark.parametrize(
    ("content", "word"),
    [(b"", "empty"), (b"only one line\n", "no table"), (b"%PDF-1.7", "PDF")],
)
def test_what_cannot_be_taken_is_said_and_not_kept(student, content, word):
    with pytest.raises(Refused, match=word):
        send(student, content)
    assert not ShotFile.objects.exists()


def test_too_big_and_too_many_are_said(student):
    with pytest.raises(Refused, match="30 MB"):
        services.take(
            student=student, by=student.lead_coach, name="x", size=31 * 1024 * 1024, chunks=[]
        )
    for _ in range(services.MOST_OPEN):
        send(student)
    with pytest.raises(Refused, match="Ten files"):
        send(student)


def test_a_column_named_session_by_mistake_ends_in_a_sentence(student, monkeypatch):
    monkeypatch.setattr(work, "MOST_SITTINGS", 3)
    content = b"Date,Session,Carry\n" + b"".join(b"2026-02-20,%d,60\n" % i for i in range(9))
    file = bring(student, content)
    assert file.state == State.FAILED
    assert "which column is named session" in file.why
    assert Shot.objects.count() == 0


# --- killed, resumed, fenced ---


class Killed(BaseException):
    """What no handler of ours catches."""


def waiting(student, content):
    file = send(student, content)
    kept = Plan.from_json(file.plan)
    plan = Plan(columns=kept.columns, device="radar A")
    services.name_columns(file=file, by=student.lead_coach, plan=plan)
    return file


def lapse(file):
    """As if the lease were over."""
    ShotFile.objects.filter(pk=file.pk).update(lease_until=None)


@pytest.mark.parametrize("at", [0, 1, 2, 3, 4])
@pytest.mark.parametrize("moment", ["insert_shots", "_refusal", "before_write"])
def test_a_worker_killed_at_any_batch_is_followed_by_one_that_ends_with_the_same(
    student, monkeypatch, at, moment
):
    monkeypatch.setattr(work, "BATCH", 50)
    content = many(230) + b"2026-02-20,0,54,bad,0,30\n" + many(230).split(b"\n", 1)[1]
    file = waiting(student, content)
    calls = iter(range(100))

    def killing(real):
        def wrapped(*args, **kwargs):
            if next(calls) == at:
                raise Killed
            return real(*args, **kwargs)

        return wrapped

    with monkeypatch.context() as patch:
        if moment == "insert_shots":
            patch.setattr(work, "insert_shots", killing(work.insert_shots))
        elif moment == "before_write":
            patch.setattr(work.FileReader, "_write", killing(work.FileReader._write))
        else:
            at = 0
            patch.setattr(work.FileReader, "_refusal", killing(work.FileReader._refusal))
        with pytest.raises(Killed):
            work.read_waiting()
    lapse(file)
    assert work.read_waiting() == 1
    file.refresh_from_db()
    assert counted(file) == (State.DONE, 460, 0, 1)
    assert Shot.objects.count() == 460
    assert RefusedRow.objects.count() == 1
    for sitting in Sitting.objects.all():
        numbers = sorted(sitting.shots.values_list("number", flat=True))
        assert numbers == list(range(1, len(numbers) + 1))


def test_a_sweep_whose_time_is_up_leaves_the_rest_to_the_next(student, monkeypatch):
    monkeypatch.setattr(work, "BATCH", 50)
    file = waiting(student, many(220))
    assert work.read_waiting(budget=1e9) == 1
    file.refresh_from_db()
    assert file.shots_new == 220
    other = waiting(student, many(220, start=1000))
    ticks = iter([0.0, *[10.0**9] * 50])
    monkeypatch.setattr(work.time, "monotonic", lambda: next(ticks))
    # The first look at the clock sets the end, the second lets it begin.
    ticks = iter([0.0, 1.0, *[10.0**9] * 50])
    assert work.read_waiting() == 0
    other.refresh_from_db()
    assert (other.state, other.rows_done) == (State.READING, 50)
    monkeypatch.undo()
    assert work.read_waiting() == 1
    other.refresh_from_db()
    assert counted(other) == (State.DONE, 220, 0, 0)


def test_a_worker_that_lost_the_file_writes_nothing(student, monkeypatch):
    file = waiting(student, many(60))
    slow = work.claim()
    lapse(file)
    quick = work.claim()
    assert (slow.pk, quick.pk) == (file.pk, file.pk)
    assert work._one(slow, 1e18) is False
    assert Shot.objects.count() == 0
    assert work._one(quick, 1e18) is True
    assert Shot.objects.count() == 60


def test_a_file_under_a_lease_is_not_taken_by_another(student):
    waiting(student, many(10))
    assert work.claim() is not None
    assert work.claim() is None


def test_a_file_that_never_comes_further_is_given_up(student, monkeypatch):
    file = waiting(student, many(10))
    monkeypatch.setattr(work, "insert_shots", lambda rows: (_ for _ in ()).throw(Killed))
    for _ in range(work.MOST_TRIES):
        with pytest.raises(Killed):
            work.read_waiting()
        lapse(file)
    assert work.read_waiting() == 1
    file.refresh_from_db()
    assert file.state == State.FAILED
    assert not file.pieces.exists()


def test_the_statements_of_a_batch_do_not_grow_with_its_rows(student, monkeypatch):
    from django.test.utils import CaptureQueriesContext

    def statements(rows, start):
        waiting(student, many(rows, start))
        with CaptureQueriesContext(
            connection,
        ) as seen:
            work.read_waiting()
        return len(seen)

    few = statements(20, 0)
    # The first file makes the clubs too.
    assert statements(90, 5000) <= few


def test_unnamed_files_are_forgotten_after_a_week(student):
    from datetime import timedelta

    from django.utils import timezone

    old, new = send(student), send(student)
    ShotFile.objects.filter(pk=old.pk).update(sent_at=timezone.now() - timedelta(days=8))
    work.read_waiting()
    assert list(ShotFile.objects.values_list("pk", flat=True)) == [new.pk]
    assert Piece.objects.filter(file=old.pk).count() == 0


def content_key(row, skip=frozenset()):
    return content_keys(turned([row]), 1, skip)[0]


def test_rows_are_the_same_by_content():
    assert content_key(["60.50", "54"]) == content_key([60.5, "54", ""])
    assert content_key(["60.5", "a"]) == content_key(["60.5", "A"])
    assert content_key(["1", "23"]) != content_key(["12", "3"])
    assert content_key(["1", "x", "2"], frozenset({1})) == content_key(
        ["1", "y", "2"], frozenset({1})
    )


def test_a_row_below_others_is_the_same_as_alone():
    rows = [["60.50", "54"], ["x", "", ""], [" 1e2 ", "'=1", "7"], ["", "", "-0"], [60.5, "A\x1fb"]]
    alone = [content_key(row) for row in rows]
    assert content_keys(turned(rows), len(rows)) == alone
    assert content_keys([], 2) == [content_key([""])] * 2


def test_a_row_keeps_its_mark_from_one_release_to_the_next():
    """As the first release that took files made them: else a file sent again would double."""
    rows = [["2026-02-20", "54", "80.50", "-3.2 L", " Range "], ["20.02.2026", "SW", "1e5", "", ""]]
    keys = content_keys(turned(rows), len(rows))
    header = columns.fingerprint(["Date", "Club"])
    student = "6b1d1f4e-0000-4000-8000-000000000001"
    assert shot_fingerprints(student, header, keys, [2, 2]) == [
        "fa51d6c0d6ae4196c85427abb15f07d57b7c46aa63442c4a0f485a9c0bff5d16",
        "335d30740aa0eea4bb342ca3c48a19864e576e429c0ac5ac6a11d1df82e1890b",
    ]


def test_one_familys_place_is_no_other_students_to_read(student, coach):
    """The columns are kept for the studio; the words that were typed are this student's own."""
    mine = bring(student, CSV, place="garage, 12 Elm Road", device="Sam's radar")
    other = factories.make_student(coach, "Other")
    for by in (coach, other.user):
        plan = services.kept_plan(other, by, mine.header)
        assert (plan.place, plan.device, plan.columns) == (
            "",
            "",
            Plan.from_json(mine.plan).columns,
        )
    KeptColumns.objects.update(plan=mine.plan)  # As an older release kept them.
    assert services.kept_plan(other, coach, mine.header).place == ""
    assert services.kept_plan(student, coach, mine.header).place == "garage, 12 Elm Road"
