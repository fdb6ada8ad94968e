"""A studio leaves and arrives whole: the same bytes, the same tallies, or nothing at all."""

import io
import json

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.db import DEFAULT_DB_ALIAS, transaction
from django.utils import timezone

from coaching.forecast.interventions import write_tried
from coaching.records.erase import erase_student
from coaching.records.kinds import MOVING
from coaching.reminders.models import Notice
from coaching.transfer import read
from coaching.transfer.read import FileProblem, read_studio
from coaching.transfer.tables import BY_KIND, VERSION
from coaching.transfer.write import lines_of
from practice.compliance.models import WeekTally
from practice.compliance.rebuild import differences, is_same
from practice.compliance.tally import FIELDS
from practice.log.models import LogKey
from practice.log.services import write_line
from practice.shots.models import Club, Shot, Sitting
from practice.weeks.models import Part
from shared.people import access, consent
from shared.people.models import Student, Studio, User
from tests.board.test_as_of import START, Life
from tests.factories import make_child, make_coach, make_drill, make_student, make_user, studio_of
from tests.test_routes import put_back

pytestmark = pytest.mark.django_db


@pytest.fixture
def lived(coach):
    return lived_with(coach)


@pytest.fixture(scope="module")
def file(django_db_setup, django_db_blocker) -> str:
    """Such a studio as it left another house; nothing of it is here."""
    with django_db_blocker.unblock(), put_back():
        return written(lived_with(make_coach(name="Coach One")))


def lived_with(coach):
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
        for model in (*(kind.model for kind in reversed(MOVING)), WeekTally, LogKey, Notice):
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
    with time_machine.travel(timezone.now(), tick=False):
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


def test_an_old_file_brings_back_nobody_and_opens_nothing(lived, settings, tmp_path):
    settings.DATA_DIR = tmp_path
    old = written(lived)
    child = Student.objects.get(name="Callum")
    gone = Student.objects.exclude(pk=child.pk).first()
    erase_student(gone)
    consent.change(child.guardianships.get(), record=False, messages=False, clips=False)
    kept = set(Student.objects.values_list("pk", flat=True))
    wipe()
    read_studio(io.StringIO(old))
    assert set(Student.objects.values_list("pk", flat=True)) == kept
    assert not access.may_be_recorded(Student.objects.get(name="Callum"))


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


def test_the_version_is_the_set_of_kinds_and_fields():
    """Whoever changes a field raises the version and reads the old one; then changes this."""
    shape = {kind.name: sorted(field.attname for field in kind.fields) for kind in MOVING}
    assert VERSION == 16
    assert {"moment", "by_chance", "calls_since"} <= set(shape["reminder_rule"])
    assert "places" in shape["part"]
    assert {"timed_minutes", "guessed_minutes"} <= set(shape["result"])
    assert "own_reps" in shape["checked_count"]
    assert len(shape) == len(MOVING) == len(BY_KIND)
    assert shape["student"] == [
        "awaits_second_adult",
        "born_year",
        "confirmed_at",
        "confirmed_by_id",
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
        "phone",
        "plays_seated",
        "studio_id",
        "time_zone",
        "turns_18_on",
        "user_id",
    ]
    assert "key_id" not in shape["entry"]
    assert "id" not in shape["result"]


def test_a_file_from_before_ties_could_end_is_read(file):
    """Its children stand by their guardians' consent as they did."""
    head, *body = file.split("\n")[:-2]
    records = [json.loads(head) | {"version": 2}, *(json.loads(line) for line in body)]
    for record in records:
        for name in ("awaits_second_adult", "confirmed_at", "confirmed_by_id", "ended_at"):
            if record.get("is") in {"student", "guardianship"}:
                record.pop(name, None)
    read_studio(io.StringIO(sealed([json.dumps(each) + "\n" for each in records])))
    assert not Student.objects.filter(awaits_second_adult=True).exists()


def test_a_file_of_the_first_version_is_read(file):
    """Its parts know no places yet; everything else of it is the same."""
    head, *body = file.split("\n")[:-2]
    heading = json.loads(head) | {"version": 1}
    records = [json.loads(line) for line in body]
    parts = [record for record in records if record["is"] == "part"]
    assert parts
    assert all(part.pop("places") == {} for part in parts)
    read_studio(io.StringIO(sealed([json.dumps(each) + "\n" for each in (heading, *records)])))
    assert Part.objects.count() == len(parts)
    assert set(Part.objects.values_list("dose", flat=True)) == {part["dose"] for part in parts}


# --- what cannot be taken -----------------------------------------------------------------

OLD = "2019-02-26T12:00:00+00:00"


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
        "newer": lambda: sealed([json.dumps(heading | {"version": VERSION + 1}) + "\n", *body[1:]]),
        "too old": lambda: sealed([json.dumps(heading | {"made_at": OLD}) + "\n", *body[1:]]),
        "undated": lambda: sealed([json.dumps(heading | {"made_at": "today"}) + "\n", *body[1:]]),
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
        ("other format", "no studio’s file"),
        ("newer", f"version {VERSION + 1}; this release reads up to {VERSION}"),
        ("too old", "It would open what was ended since"),
        ("undated", "does not say when"),
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
def test_a_file_that_is_not_whole_is_refused_in_words_and_nothing_is_kept(file, how, words):
    with pytest.raises(FileProblem, match=words):
        read_studio(io.StringIO(broken(file, how)))
    assert not Studio.objects.exists()
    assert not User.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_a_record_that_points_to_nobody_is_refused(file):
    # Whether a reference holds is asked at the end of the transaction.
    with pytest.raises(FileProblem, match="points to what is not in it"):
        read_studio(io.StringIO(broken(file, "of nobody")))
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


def crafted(text: str, kind: str, **fields) -> str:
    """The file with the first record of this kind changed, and a last line that fits."""
    lines = [line + "\n" for line in text.split("\n")[:-2]]
    for place, line in enumerate(lines):
        record = json.loads(line)
        if record.get("is") == kind:
            lines[place] = json.dumps(record | fields) + "\n"
            return sealed(lines)
    raise AssertionError(kind)


@pytest.mark.parametrize(
    ("kind", "field", "of"),
    [
        ("membership", "studio_id", "studio"),
        ("student", "studio_id", "studio"),
        ("drill", "studio_id", "studio"),
        ("part", "drill_id", "drill"),
        ("shot", "club_id", "club"),
        ("entry", "student_id", "student"),
        ("line", "student_id", "student"),
    ],
)
def test_a_crafted_file_makes_nobody_anything_elsewhere(file, kind, field, of):
    """As in making its author owner of a studio that is here."""
    other = make_coach(name="Other")
    student = make_student(other, "Theirs")
    club = Club.objects.create(student=student, name="7")
    here = {"studio": studio_of(other), "student": student, "club": club}
    here["drill"] = make_drill(studio_of(other))
    before = other.memberships.count(), User.objects.count()
    with pytest.raises(FileProblem, match="The file holds a"):
        read_studio(io.StringIO(crafted(file, kind, **{field: str(here[of].pk)})))
    assert (other.memberships.count(), User.objects.count()) == before
    assert Studio.objects.count() == 1


def test_a_file_claims_nobody_who_is_here_under_another_address(file):
    here = make_user("Here")
    with pytest.raises(FileProblem, match="somebody else here"):
        read_studio(io.StringIO(crafted(file, "user", id=str(here.pk))))


def test_the_first_line_is_there_before_anything_is_read(coach, django_assert_num_queries):
    studio = studio_of(coach)
    with django_assert_num_queries(0):
        assert f'"version":{VERSION}' in next(iter(lines_of(studio)))


def test_never_more_than_one_chunk_is_held(file, monkeypatch):
    monkeypatch.setattr(read, "CHUNK", 3)
    held = []
    keep = read._keep

    def watched(table, rows, lines):
        held.append(len(rows))
        return keep(table, rows, lines)

    monkeypatch.setattr(read, "_keep", watched)
    read_studio(io.StringIO(file))
    assert sum(held) == file.count("\n") - 2
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
    headings, rest = zip(*(each.split("\n", 1) for each in (before, again.getvalue())), strict=True)
    first, second = (json.loads(each) for each in headings)
    # When it was made is another moment; the rest, and so its sum, differs by that alone.
    assert first.pop("made_at") < second.pop("made_at")
    assert first == second
    assert rest[0].splitlines()[:-1] == rest[1].splitlines()[:-1]


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
