"""A backup made beside a running writer, brought back into an empty installation, row by row."""

import io
import json
import subprocess
import tarfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from shared.backups import findings, services
from shared.backups.services import to_drop
from tests.factories import NOON
from tests.running.processes import installation, manage

SEED = """
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from django.utils import timezone
from coaching.reminders import plan
from coaching.reminders.due import ReminderKind
from tests import factories
coach = factories.make_coach(name="Canary Coach")
factories.make_student(coach, "Canary Student")
factories.make_child(coach, name="Canary Child")
today, now = timezone.localdate(), timezone.now()
plan.make(coach, ReminderKind.COACH_MONDAY, today, now).save(force_insert=True)
storages["clips"].save("ab/clip.jpg", ContentFile(b"canary clip"))
"""
BACKUP = """
from django.core.management import call_command
call_command("backup")
"""
WITHDRAW = """
from coaching.records import ends
from shared.people import guardians
from shared.people.models import Guardianship
guardians.answer(Guardianship.objects.get(), {"record": False, "messages": False, "clips": False})
ends.bring_outside()
"""
LOOK = """
from django.core.files.storage import storages
from coaching.reminders.models import Notice
from shared.people.access import recordable_students
(student,) = recordable_students()  # The child's record is closed: its guardian withdrew since.
print(student.name, Notice.objects.get().state,
      storages["clips"].open("ab/clip.jpg").read().decode())
"""


# As a release before had it: a table less.
BEFORE = """
from django.db import connection
connection.cursor().execute("DROP TABLE account_emailconfirmation")
"""
ELSE = """
from django.core.management import CommandError, call_command
from django.db import connection
with connection.cursor() as cursor:
    cursor.execute("CREATE TABLE its_own AS SELECT 7 AS it")
    try:
        call_command("restore")
    except CommandError as error:
        print(error)
    cursor.execute("SELECT it FROM its_own")
    print(cursor.fetchone())
    cursor.execute("DROP TABLE its_own")
"""


@pytest.fixture(params=["sqlite", "postgresql"])
def two(request, tmp_path):
    """Two installations, each with a data folder and a database of its own; one store. On
    PostgreSQL the second has its tables, one more than the first, as it migrates before."""
    more = {"BACKUPS_URL": str(tmp_path / "store"), "BACKUP_PASSPHRASE": "heel toe heel toe"}
    has_tables = request.param == "postgresql"
    with (
        installation(tmp_path / "1", request.param, **more) as first,
        installation(tmp_path / "2", request.param, empty=not has_tables, **more) as second,
    ):
        yield first, second


def test_it_comes_back_row_by_row_with_clips_and_key_and_mails_nobody_twice(two, tmp_path):
    first, second = two
    # One process for what needs none of its own: to begin one costs more than what is done in it.
    before = BEFORE if "DATABASE_URL" in first else ""
    done = manage("shell", "--verbosity=0", "-c", SEED + before + BACKUP + WITHDRAW, env=first)
    assert done.stdout.startswith("Made database-")
    for file in (tmp_path / "store").rglob("*"):
        assert not file.is_file() or b"anary" not in file.read_bytes()
    if before:
        said = manage("shell", "--verbosity=0", "-c", ELSE, env=second).stdout
        assert said.startswith("Something else lies in this database: its_own. Restore into")
        assert said.endswith("(7,)\n")
    said = manage("restore", env=second).stdout
    assert "rows, each as it was." in said
    found = manage("shell", "--verbosity=0", "-c", LOOK, env=second).stdout
    assert found.strip() == "Canary Student unknown canary clip"
    keys = [(Path(env["DATA_DIR"]) / "secret_key").read_text() for env in two]
    assert keys[0] == keys[1]
    with pytest.raises(subprocess.CalledProcessError) as refused:
        manage("restore", env=first)
    assert "This installation is not empty." in refused.value.stderr
    assert not [p for p in Path(first["DATA_DIR"]).iterdir() if p.name.startswith("backup-")]


def test_a_day_a_week_and_a_month_are_kept_of_each():
    first = datetime(2031, 1, 1, 3, tzinfo=UTC)
    names = [
        f"database-{first + timedelta(hours=12 * n):%Y%m%dT%H%M%SZ}.backup" for n in range(2 * 365)
    ]
    dropped = set(to_drop(names))
    kept = [name for name in names if name not in dropped]
    assert 7 + 3 + 4 <= len(kept) <= 7 + 4 + 6
    assert kept[-1] == names[-1]
    assert to_drop(kept) == []


def archive(**held: bytes | str) -> bytes:
    """A tar of these files; of no content, of a folder; of a name, of a link to it."""
    made = io.BytesIO()
    with tarfile.open(fileobj=made, mode="w") as tar:
        for name, content in held.items():
            entry = tarfile.TarInfo(name.replace("_json", ".json"))
            if isinstance(content, str):
                entry.type, entry.linkname = tarfile.SYMTYPE, content
                tar.addfile(entry)
                continue
            entry.type = tarfile.REGTYPE if content else tarfile.DIRTYPE
            entry.size = len(content)
            tar.addfile(entry, io.BytesIO(content))
    return made.getvalue()


def said(**more: object) -> bytes:
    """A manifest, and what is otherwise in it."""
    whole = {"version": 1, "engine": "sqlite", "made_at": "2026-12-01T00:00:00+00:00"}
    return json.dumps(whole | {"says": {}, "clips": []} | more).encode()


@pytest.mark.parametrize(
    "held",
    [b"", b"no archive at all", archive(manifest_json=b"{}"),
     archive(manifest_json=b"{}", database=b""),
     archive(manifest_json=b"{}", database="database"),
     archive(manifest_json=b"no JSON", database=b"x"),
     archive(manifest_json=b"\xff", database=b"x"),
     archive(manifest_json=b"[]", database=b"x"),
     archive(manifest_json=b"[" * 100_000, database=b"x"),
     archive(manifest_json=b'{"engine": "sqlite"}', database=b"x"),
     archive(manifest_json=said(version="1"), database=b"x"),
     archive(manifest_json=said(made_at=7), database=b"x"),
     archive(manifest_json=said(made_at="soon"), database=b"x"),
     archive(manifest_json=said(made_at="2026-12-01T00:00:00"), database=b"x")],
    ids=["nothing", "another file", "no database", "a folder for it", "a link to itself",
         "no JSON", "no text", "a list", "no end", "half of what it says", "a version in words",
         "a number for a time", "no time", "a time of nowhere"],
)  # fmt: skip
def test_what_is_no_whole_backup_is_not_brought_back(monkeypatch, settings, tmp_path, held):
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr(services.databases, "is_empty", lambda: True)
    monkeypatch.setattr(services.databases, "bring_back", lambda _: pytest.fail("brought back"))
    monkeypatch.setattr(services, "fetch", lambda _, file: file.write_bytes(held))
    with pytest.raises(services.BackupError, match=r"This is no whole backup.* Choose another one"):
        services.restore("database-x.backup")


@pytest.mark.django_db
def test_one_a_day_and_again_after_a_failure(wednesday, monkeypatch):
    made = []

    def make():
        made.append(1)
        if len(made) == 1:
            raise services.BackupError("the disk is full")
        services.ran(services.GOOD)

    monkeypatch.setattr(services, "make", make)
    services.make_if_due()
    services.make_if_due()
    assert len(made) == 1
    wednesday.shift(timedelta(minutes=3))
    services.make_if_due()
    services.make_if_due()
    assert len(made) == 2
    wednesday.move_to(NOON + timedelta(days=1, minutes=4))
    services.make_if_due()
    assert len(made) == 3


@pytest.mark.django_db
def test_the_owner_reads_how_old_the_last_good_one_is(wednesday):
    def said():
        (found,) = findings.age()
        return found.words, found.is_well

    assert said() == ("No backup was made yet.", False)
    services.ran(services.GOOD)
    wednesday.shift(timedelta(hours=5))
    assert said() == ("The last good backup is 5 hours old.", True)
    wednesday.shift(timedelta(days=3))
    assert said() == ("The last good backup is 3 days old.", False)
