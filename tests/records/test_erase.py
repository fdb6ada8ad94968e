"""Whoever is erased is nowhere any more, and what the studio knows of itself stays right."""

import pytest
import time_machine
from django.core.files.storage import storages
from django.db import connection

from coaching.records import erase, ledger
from coaching.records.kinds import KINDS, OF_STUDENT, OF_USER
from coaching.records.models import Erased
from coaching.reminders.models import Heard
from coaching.track_record.models import WordKept
from coaching.track_record.queries import score_of
from coaching.track_record.services import record_at
from practice.clips.models import Clip
from practice.log.services import write_line
from shared.people.models import Guardianship, SecurityEvent, Student, User
from tests import factories
from tests.factories import NOON
from tests.records.canaries import plant

pytestmark = pytest.mark.django_db


def everything_kept() -> str:
    """Every row of every table, as text."""
    said = []
    with connection.cursor() as cursor:
        for table in sorted(connection.introspection.table_names(cursor)):
            cursor.execute(f'SELECT * FROM "{table}"')
            said += [f"{table} {row!r}" for row in cursor.fetchall()]
    return "\n".join(said)


def test_of_the_planted_nothing_is_left():
    planted = plant()
    assert planted["kinds"] >= len(OF_STUDENT) + len(OF_USER)
    before = everything_kept()
    missing = [name for name, word in planted["fields"].items() if word not in before]
    # A clip's content lies in its file.
    assert missing == ["clips.Clip.file", "clips.Clip.still"]
    clip = Clip.objects.get()
    assert storages["clips"].exists(clip.file.name)
    erase.erase_student(Student.objects.get(pk=planted["student"]))
    connection.check_constraints()
    after = everything_kept()
    left = [name for name, word in planted["fields"].items() if word in after]
    assert left + [word for word in planted["words"] if word in after] == []
    assert not storages["clips"].exists(clip.file.name)
    assert not storages["clips"].exists(clip.still.name)
    assert not storages["clips"].exists(planted["student"])
    for kind in OF_STUDENT:
        assert kind.all().count() == (1 if kind.is_counted else 0), kind.name


def test_the_planting_reaches_every_field_of_text():
    """The test above has teeth: each text of each kind had a word of its own."""
    planted = plant()
    texts = [
        f"{kind.label}.{field.name}"
        for kind in (*OF_STUDENT, *OF_USER)
        for field in kind.model._meta.concrete_fields
        if field.get_internal_type() in {"TextField", "JSONField", "BinaryField", "FileField"}
    ]
    assert set(texts) <= set(planted["fields"])
    assert len(texts) >= 20


def test_others_lose_nothing(coach):
    kept = factories.make_student(coach, "Stays")
    gone = factories.make_student(coach, "Goes")
    for student in (kept, gone):
        factories.make_part(factories.make_week(student), factories.make_drill(kept.studio))
        write_line(student=student, author=coach, text="Well done.")
    before = {kind.name: kind.of(kept.pk).count() for kind in OF_STUDENT}
    erase.erase_student(gone)
    assert before == {kind.name: kind.of(kept.pk).count() for kind in OF_STUDENT}
    assert set(Student.objects.all()) == {kept}
    assert User.objects.filter(pk__in=[coach.pk, kept.user_id]).count() == 2
    assert not User.objects.filter(pk=gone.user_id).exists()


def test_a_guardian_of_two_stays_for_the_other(coach):
    guardian = factories.make_user("Guardian")
    first, second = (factories.make_child(coach, guardian, name=name) for name in "AB")
    erase.erase_student(first)
    assert Guardianship.objects.get().student == second
    assert User.objects.filter(pk=guardian.pk).exists()
    erase.erase_student(second)
    assert not User.objects.filter(pk=guardian.pk).exists()


def test_a_coach_who_practises_here_stays_as_a_coach(coach):
    pupil = factories.make_coach(factories.studio_of(coach), name="Both")
    erase.erase_student(factories.make_student(coach, "Both", user=pupil))
    assert User.objects.get(pk=pupil.pk).name == "Both"


def test_whoever_wrote_for_others_stays_without_a_name(coach, student):
    write_line(student=student, author=coach, text="Well done.")
    SecurityEvent.objects.create(kind="signed_in", by=coach.pk, device="Firefox")
    erase.erase_user(coach)
    coach.refresh_from_db()
    assert (coach.name, coach.is_active) == ("Somebody who is gone", False)
    assert coach.email.endswith("@gone.invalid")
    assert not coach.has_usable_password()
    assert student.lines.get().author == coach
    event = SecurityEvent.objects.get()
    assert event.by != coach.pk
    assert not event.device


def test_of_who_is_emptied_no_news_is_left(coach, student):
    """That the row is emptied is heard, too."""
    User.objects.filter(pk=coach.pk).update(time_zone="Asia/Tokyo")
    write_line(student=student, author=coach, text="Well done.")
    erase.erase_user(User.objects.get(pk=coach.pk))
    assert not Heard.objects.filter(who=coach.pk).exists()


def word(student, reached, **more) -> WordKept:
    return WordKept.objects.create(
        student=student, opens=more.pop("opens", factories.MONDAY), at=NOON, said="Tight",
        chance=0.4, share=0.5, share_of_line=0.5, reached=reached, closed_at=NOON, **more,
    )  # fmt: skip


def test_the_track_record_stays_as_it_was(coach):
    """How the words came out is the studio's; whose week it was is not kept."""
    studio = factories.studio_of(coach)
    one, two = (factories.make_student(coach, name) for name in "AB")
    for opens in (factories.MONDAY, factories.MONDAY.replace(day=17)):
        word(one, reached=True, opens=opens)
        word(two, reached=False, opens=opens)
    with time_machine.travel(NOON.replace(month=3, day=4), tick=False):
        then = NOON.replace(month=3, day=4)
        before = record_at(studio.pk, then.date()), score_of(coach, then)
        assert before[0].cases == 4
        assert before[0].students == 2
        erase.erase_student(one)
        assert (record_at(studio.pk, then.date()), score_of(coach, then)) == before
    other = factories.make_coach(name="Elsewhere")
    assert score_of(other, then).is_empty


def test_a_word_that_has_not_come_out_yet_is_no_number(coach, student):
    WordKept.objects.create(student=student, opens=factories.MONDAY, at=NOON, said="Tight")
    erase.erase_student(student)
    assert not WordKept.objects.exists()


# --- the ledger ---------------------------------------------------------------------------


def test_the_ledger_knows_who_went_and_says_nothing_of_them(coach, student):
    pk = student.pk
    erase.erase_student(student)
    line = Erased.objects.get(kind="student")
    other = factories.make_student(coach, "Other")
    assert ledger.among([other.pk, pk], "student") == [pk]
    assert ledger.among([pk], "user") == []
    said = f"{line.salt} {line.digest}"
    assert pk.hex not in said
    assert str(pk) not in said


def test_the_ledger_outlives_the_database(coach, student):
    pk = student.pk
    erase.erase_student(student)
    Erased.objects.all().delete()
    assert ledger.among([pk], "student") == [pk]
    ledger.copy_out()
    assert Erased.objects.filter(kind="student").exists()


def test_whoever_a_backup_brought_back_goes_again(coach, student):
    """As after a restore: the rows are here again, and the ledger outside knows better."""
    kept = factories.make_student(coach, "Stays")
    pk, user = student.pk, student.user
    erase.erase_student(student)
    Erased.objects.all().delete()
    back = User.objects.create_user("back@example.org", id=user.pk)
    Student.objects.create(
        pk=pk, studio=kept.studio, lead_coach=coach, name="Sam Sample", user=back
    )
    assert erase.erase_again() == 1
    assert list(Student.objects.all()) == [kept]
    assert not User.objects.filter(pk=user.pk).exists()
    assert erase.erase_again() == 0


def test_every_kind_says_how_it_ends():
    for kind in KINDS:
        assert kind.is_counted <= (kind in OF_STUDENT)
