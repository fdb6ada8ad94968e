"""A studio leaves and arrives whole: the same bytes, the same tallies, or nothing at all."""

import io
import json

import pytest
import time_machine
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import DEFAULT_DB_ALIAS, transaction

from coaching.portable import read
from coaching.portable.read import FileProblem, read_studio
from coaching.portable.tables import BY_KIND, LEFT_BEHIND, TABLES, VERSION
from coaching.portable.write import lines_of
from coaching.reminders.models import Notice
from coaching.standing.tried import write_tried
from practice.compliance.models import WeekTally
from practice.compliance.rebuild import differences, is_same
from practice.compliance.tally import FIELDS
from practice.log.commands import write_line
from practice.log.models import LogKey
from practice.shots.models import Club, Shot, Sitting
from practice.weeks.models import Part
from shared.people.models import Student, Studio, User
from tests.board.test_as_of import START, Life
from tests.factories import make_child, make_coach, make_user, studio_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def lived(coach):
    """A studio some weeks old, with a bit of everything."""
    with time_machine.travel(START, tick=False) as clock:
        life = Life(coach, 4, clock)
        life.live(steps=9)
        life.log(life.students[0])
        life.excuse(life.students[0])
        life.hurt(life.students[1])
        student = life.students[0]
        write_line(student=student, author=coach, text="Schön “gedreht” 👍\u2028 = 1")
        write_tried(student=student, by=coach, what="called", note="rings on Friday")
        make_child(coach, make_user("Morag"), name="Callum")
        club = Club.objects.create(student=student, name="58°", loft=58.0)
        sitting = Sitting.objects.create(student=student, day=START.date(), device="Box")
        for number in (2, 1):
            Shot.objects.create(
                sitting=sitting, student=student, number=number, club=club, carry=64.1 + number / 3
            )
        life.drills[0].swaps.add(life.other)
    return studio_of(coach)


def written(studio) -> str:
    return "".join(lines_of(studio))


def wipe() -> None:
    """Everything at once: whether references hold is asked at the end of a transaction."""
    with transaction.atomic():
        for model in (*(table.model for table in reversed(TABLES)), WeekTally, LogKey, Notice):
            model.objects.all()._raw_delete(DEFAULT_DB_ALIAS)


def sealed(lines: list[str]) -> str:
    """The file with a last line that fits: what is wrong must be found in the records."""
    import hashlib

    digest = hashlib.sha256("".join(lines).encode()).hexdigest()
    return "".join([*lines, json.dumps({"end": len(lines), "sha256": digest}) + "\n"])


def tallies():
    rows = WeekTally.objects.select_related("student").order_by("student", "opens")
    return {(row.student_id, row.opens): [getattr(row, name) for name in FIELDS] for row in rows}


def test_out_and_in_again_gives_the_same_bytes_and_tallies(lived):
    before, kept = written(lived), tallies()
    wipe()
    studio = read_studio(io.StringIO(before, newline="\n"))
    assert written(studio) == before
    after = tallies()
    # A week whose every entry was taken back has no row until somebody logs again.
    assert after.keys() <= kept.keys()
    assert all(is_same(kept[key], after[key]) for key in after)
    assert all(row[FIELDS.index("minutes")] == 0 for key, row in kept.items() if key not in after)
    assert all(not list(differences(student)) for student in Student.objects.all())


def test_no_password_key_or_link_is_in_the_file(lived, coach):
    coach.set_password("a very long secret")
    coach.save()
    User.objects.filter(pk=coach.pk).update(is_superuser=True)
    text = written(lived)
    assert coach.password not in text
    assert "password" not in text
    assert "digest" not in text
    wipe()
    read_studio(io.StringIO(text))
    arrived = User.objects.get(pk=coach.pk)
    assert not arrived.has_usable_password()
    assert not arrived.is_superuser


def test_nothing_of_another_studio_leaves(lived):
    other = make_coach(name="Somebody Else")
    make_child(other, make_user("Foreign Guardian"), name="Foreign Child")
    text = written(lived)
    for word in ("Somebody Else", "Foreign"):
        assert word not in text


def test_every_kind_of_record_is_in_the_file(lived):
    kinds = {json.loads(line).get("is") for line in written(lived).split("\n")[1:-2]}
    common = {"studio", "user", "student", "week", "part", "entry", "result", "line", "excusal"}
    assert common | {"shot", "sitting", "club", "guardianship", "drill_swap", "tried"} <= kinds


def test_every_table_of_a_studio_leaves_or_is_left_for_a_reason():
    """A table that is new has to be thought of here."""
    held = {table.model for table in TABLES}
    tied = {Student, Studio, *held}
    for model in apps.get_models():
        name = f"{model._meta.app_label}.{model.__name__}"
        reasons = {name, f"{model._meta.app_label}.*"}
        points = {f.related_model for f in model._meta.concrete_fields if f.is_relation}
        if model in held or model is User or not points & (tied - {User}):
            continue
        assert reasons & set(LEFT_BEHIND), name


def test_the_version_is_the_set_of_kinds_and_fields():
    """Whoever changes a field raises the version and reads the old one; then changes this."""
    shape = {table.kind: sorted(field.attname for field in table.fields) for table in TABLES}
    assert VERSION == 2
    assert "places" in shape["part"]
    assert len(shape) == len(TABLES) == len(BY_KIND)
    assert shape["student"] == [
        "born_year",
        "goal",
        "hand",
        "id",
        "joined_on",
        "lead_coach_id",
        "left_on",
        "name",
        "next_event",
        "next_event_name",
        "next_lesson",
        "plays_seated",
        "studio_id",
        "time_zone",
        "user_id",
    ]
    assert "key_id" not in shape["entry"]
    assert "id" not in shape["result"]


def test_a_file_of_the_version_before_is_read(lived):
    """Its parts know no places yet; everything else of it is the same."""
    head, *body = written(lived).split("\n")[:-2]
    heading = json.loads(head) | {"version": 1}
    records = [json.loads(line) for line in body]
    parts = [record for record in records if record["is"] == "part"]
    assert parts
    assert all(part.pop("places") == {} for part in parts)
    wipe()
    read_studio(io.StringIO(sealed([json.dumps(each) + "\n" for each in (heading, *records)])))
    assert Part.objects.count() == len(parts)
    assert set(Part.objects.values_list("dose", flat=True)) == {part["dose"] for part in parts}


# --- what cannot be taken -----------------------------------------------------------------


def broken(text: str, how: str) -> str:
    lines = [f"{line}\n" for line in text.split("\n")[:-1]]
    body = lines[:-1]
    student = next(n for n, line in enumerate(body) if '"is":"student"' in line)

    def with_changed(**changes) -> str:
        record = json.loads(body[student]) | changes
        return sealed([*body[:student], json.dumps(record) + "\n", *body[student + 1 :]])

    heading = json.loads(body[0])
    ways = {
        "cut off": lambda: "".join(lines[:-2]),
        "cut in a line": lambda: "".join(lines)[: len("".join(lines[:9])) + 20],
        "changed": lambda: text.replace("Ann", "Bob", 1),
        "more after": lambda: text + "{}\n",
        "no file of ours": lambda: "name,reps\nAnn,3\n",
        "other format": lambda: sealed([json.dumps(heading | {"format": "x"}) + "\n", *body[1:]]),
        "newer": lambda: sealed([json.dumps(heading | {"version": 3}) + "\n", *body[1:]]),
        "empty": lambda: "",
        "unknown kind": lambda: sealed([*body, '{"is":"secret"}\n']),
        "no kind": lambda: sealed([*body, '{"a":1}\n']),
        "list": lambda: sealed([*body, "[1]\n"]),
        "deep": lambda: sealed([*body, "[" * 100_000 + "\n"]),
        "field too many": lambda: with_changed(is_admin=True),
        "bad date": lambda: with_changed(joined_on="2031-02-31"),
        "bad hand": lambda: with_changed(hand="both"),
        "bad zone": lambda: with_changed(time_zone="Mars/Base"),
        "too long": lambda: with_changed(name="n" * 81),
        "nothing": lambda: with_changed(name=None),
        "of nobody": lambda: with_changed(lead_coach_id="00000000-0000-4000-8000-000000000000"),
        "twice": lambda: sealed([*body, body[student]]),
    }
    return ways[how]()


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ("cut off", "it is cut off"),
        ("cut in a line", "cannot be read: it is cut off"),
        ("changed", "changed after it was written"),
        ("more after", "after the last line"),
        ("no file of ours", "cannot be read"),
        ("other format", "no studio's file"),
        ("newer", "version 3; this release reads up to 2"),
        ("empty", "cut off"),
        ("unknown kind", "kind of record is not known"),
        ("no kind", "kind of record is not known"),
        ("list", "no JSON"),
        ("deep", "no JSON"),
        ("field too many", "other fields than these: is_admin"),
        ("bad date", "joined_on cannot be"),
        ("bad hand", "hand cannot be"),
        ("bad zone", "time_zone cannot be"),
        ("too long", "name cannot be"),
        ("nothing", "name is missing"),
        ("twice", "here already"),
    ],
)
def test_a_file_that_is_not_whole_is_refused_in_words_and_nothing_is_kept(lived, how, words):
    text = broken(written(lived), how)
    wipe()
    with pytest.raises(FileProblem, match=words):
        read_studio(io.StringIO(text))
    assert not Studio.objects.exists()
    assert not User.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_a_record_that_points_to_nobody_is_refused(lived):
    # Whether a reference holds is asked at the end of the transaction.
    text = broken(written(lived), "of nobody")
    wipe()
    with pytest.raises(FileProblem, match="points to what is not in it"):
        read_studio(io.StringIO(text))
    assert not Studio.objects.exists()


def test_a_studio_that_is_here_is_not_taken_twice(lived):
    with pytest.raises(FileProblem, match="here already"):
        read_studio(io.StringIO(written(lived)))


def test_somebody_else_with_the_same_address_is_said(lived, coach):
    text = written(lived)
    wipe()
    User.objects.create_user(coach.email, name="Another")
    with pytest.raises(FileProblem, match="has the address"):
        read_studio(io.StringIO(text))
    assert not Studio.objects.exists()


def test_who_is_here_already_stays_as_here(lived, coach):
    text = written(lived)
    wipe()
    User.objects.create(pk=coach.pk, email=coach.email, name="Known here")
    read_studio(io.StringIO(text))
    assert User.objects.get(pk=coach.pk).name == "Known here"


# --- streaming ----------------------------------------------------------------------------------


def test_the_first_line_is_there_before_anything_is_read(coach, django_assert_num_queries):
    studio = studio_of(coach)
    with django_assert_num_queries(0):
        assert '"version":2' in next(iter(lines_of(studio)))


def test_never_more_than_one_chunk_is_held(lived, monkeypatch):
    text = written(lived)
    wipe()
    monkeypatch.setattr(read, "CHUNK", 3)
    held = []
    keep = read._keep

    def watched(table, rows, lines):
        held.append(len(rows))
        keep(table, rows, lines)

    monkeypatch.setattr(read, "_keep", watched)
    read_studio(io.StringIO(text))
    assert sum(held) == text.count("\n") - 2
    assert max(held) == 3


# --- commands ---------------------------------------------------------------------------------


def test_by_the_commands(lived, tmp_path):
    path = tmp_path / "studio.jsonl"
    call_command("export_studio", str(path), stderr=io.StringIO())
    before = path.read_text(encoding="utf-8")
    assert list(tmp_path.iterdir()) == [path]
    wipe()
    out = io.StringIO()
    call_command("import_studio", str(path), stdout=out, stderr=io.StringIO())
    assert out.getvalue().strip().endswith("is here.")
    again = io.StringIO()
    call_command("export_studio", "-", stdout=again)
    assert again.getvalue() == before


def test_what_the_commands_cannot_do_is_said(db, coach, tmp_path):
    make_coach()
    with pytest.raises(CommandError, match="more than one studio"):
        call_command("export_studio", str(tmp_path / "x"))
    with pytest.raises(CommandError, match="no such studio"):
        call_command(
            "export_studio", str(tmp_path / "x"), studio="00000000-0000-4000-8000-000000000000"
        )
    with pytest.raises(CommandError, match="Nothing can be written"):
        call_command("export_studio", str(tmp_path / "no" / "x"), studio=str(studio_of(coach).pk))
    with pytest.raises(CommandError, match="cannot be opened"):
        call_command("import_studio", str(tmp_path / "no"))
    (tmp_path / "bytes").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(CommandError, match="UTF-8"):
        call_command("import_studio", str(tmp_path / "bytes"))
