"""Erasing one person: rows, files, and what names them elsewhere. It cannot be taken back.

What goes and what is kept as a number is said in `kinds`. Rows go in one transaction; a file
that is left when a worker dies between the two is swept by practice.clips.
"""

from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from uuid import UUID, uuid4

from django.conf import settings
from django.core.cache import caches
from django.core.cache.backends.db import DatabaseCache
from django.db import DEFAULT_DB_ALIAS, connection, transaction
from django.db.models import CASCADE, ProtectedError, Q

from coaching.forecast.models import BoardLook
from coaching.records import ledger
from coaching.records.kinds import OF_STUDENT
from coaching.records.models import Erased, Erasure
from coaching.reminders.models import Heard
from coaching.track_record.models import WordKept
from practice.clips.models import Clip, clip_storage
from shared.jobs.models import Retry, Sweep
from shared.people.models import (
    AccountMail,
    Guardianship,
    Invitation,
    MailedCode,
    Membership,
    SecurityEvent,
    Student,
    Undelivered,
    User,
    UserSession,
)

GONE = "gone.invalid"  # RFC 2606: a name that no mail can ever be delivered to.


def erase_student(student: Student, asked: Erasure | None = None) -> None:
    """Everything of one student, and whoever was here for this student alone.

    Nothing, if what was `asked` has been taken back meanwhile.
    """
    files = _files_of(student)
    with transaction.atomic():
        Student.objects.select_for_update().get(pk=student.pk)
        if asked is not None and not _stands(asked):
            return
        people = _people_of(student)
        gone = _ids_of(student)
        _keep_as_numbers(student)
        Invitation.objects.filter(student=student).delete()  # With the mails and lists it is in.
        for kind in reversed(OF_STUDENT):
            if not kind.is_counted:
                # One statement a kind: the list's order does what a cascade would, row by row.
                rows = kind.of(student.pk).order_by()
                rows._raw_delete(DEFAULT_DB_ALIAS)  # noqa: SLF001 (private; Django deletes with it)
        _forget_id(student.pk)
        _forget_looks(student)
        ledger.note(student.pk, Erased.Kind.STUDENT)
        for user in people:
            gone.add(str(user.pk))
            if not has_a_place(user):
                _erase_user(user)
        _forget_jobs(gone)
    _delete_files(student, files)
    _after()


def _stands(asked: Erasure) -> bool:
    """Held until the transaction ends, so that it is taken back before, or no more."""
    still = Erasure.objects.select_for_update().filter(pk=asked.pk, taken_back_at=None)
    return still.first() is not None


def erase_user(user: User) -> None:
    """Somebody who can sign in. Who wrote what stays here, stays as *somebody who is gone*."""
    with transaction.atomic():
        _erase_user(user)
        _forget_jobs({str(user.pk)})
    _after()


def _after() -> None:
    ledger.copy_out()
    if connection.vendor == "sqlite" and not connection.in_atomic_block:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # The log holds what was overwritten.


def has_a_place(user: User) -> bool:
    """Whether the user works or worked here, practises here, or answers for somebody who does."""
    ties = (
        Membership.objects.filter(user=user),
        Student.objects.filter(Q(user=user) | Q(lead_coach=user)),
        Guardianship.objects.filter(user=user),
    )
    return any(tie.exists() for tie in ties)


def erase_again() -> int:
    """Whoever the ledger names and a backup has brought back. Returns how many."""
    students = Student.objects.in_bulk(
        ledger.among(Student.objects.values_list("pk", flat=True), Erased.Kind.STUDENT)
    )
    for student in students.values():
        erase_student(student)
    users = User.objects.in_bulk(
        ledger.among(User.objects.values_list("pk", flat=True), Erased.Kind.USER)
    )
    for user in users.values():
        if not user.email.endswith(f"@{GONE}"):
            erase_user(user)
    return len(students) + len(users)


def _people_of(student: Student) -> list[User]:
    """The student's own sign-in, and the guardians'."""
    ties = Guardianship.objects.filter(student=student).values("user")
    return list(User.objects.filter(Q(pk=student.user_id) | Q(pk__in=ties)))


def _keep_as_numbers(student: Student) -> None:
    """How the studio's words came out, without whose week it was."""
    words = WordKept.objects.filter(student=student)
    words.filter(closed_at=None).delete()
    words.update(student=None, studio=student.studio_id, was=uuid4())


def _erase_user(user: User) -> None:
    address = user.email
    AccountMail.objects.filter(address__iexact=address).delete()
    Undelivered.objects.filter(address__iexact=address).delete()
    MailedCode.objects.filter(Q(email__iexact=address) | Q(purpose__contains=user.pk)).delete()
    Invitation.objects.filter(Q(email__iexact=address) | Q(accepted_by=user)).delete()
    _forget_sessions(address)
    _forget_mail_files(address)
    ledger.note(user.pk, Erased.Kind.USER)
    ident = user.pk
    try:
        with transaction.atomic():
            user.delete()
    except ProtectedError:
        _empty(user)
    _forget_id(ident)  # At last: what is emptied is heard as well.


def _empty(user: User) -> None:
    """A row that others' records name: nothing of the person is left in it."""
    # Whatever is the user's alone goes.
    for relation in user._meta.related_objects:  # noqa: SLF001 (documented)
        if relation.on_delete is CASCADE:
            name = relation.field.name
            relation.related_model._default_manager.filter(**{name: user}).delete()  # noqa: SLF001 (documented)
    fresh = User(pk=user.pk, email=f"{uuid4().hex}@{GONE}", name="Somebody who is gone")
    fresh.is_active, fresh.joined_at = False, user.joined_at
    fresh.set_unusable_password()
    fresh.save(force_update=True)


def _forget_id(ident: UUID) -> None:
    """Security events stay, of somebody of whom no more can be said."""
    other = uuid4()
    SecurityEvent.objects.filter(by=ident).update(by=other, network="", device="", request="")
    SecurityEvent.objects.filter(whom=ident).update(whom=other)
    Heard.objects.filter(who=ident).delete()
    _forget_limits(ident)


def _forget_limits(ident: UUID) -> None:
    """How often somebody tried what, which the cache keeps by the id."""
    if isinstance(caches["default"], DatabaseCache):
        table = connection.ops.quote_name(str(settings.CACHES["default"]["LOCATION"]))
        with connection.cursor() as cursor:
            cursor.execute(
                f"DELETE FROM {table} WHERE cache_key LIKE %s",  # noqa: S608 (our own name)
                [f"%{ident}%"],
            )


def _forget_looks(student: Student) -> None:
    """What each coach saw of this student on the board."""
    staff = Membership.objects.filter(studio=student.studio_id).values("user")
    name = str(student.pk)
    for look in BoardLook.objects.filter(user__in=staff):
        if name in look.places or name in look.before_places:
            look.places.pop(name, None)
            look.before_places.pop(name, None)
            look.save(update_fields=["places", "before_places"])


def _forget_sessions(address: str) -> None:
    """Of visitors who have proved this address and never went on; the user's own go with them."""
    for row in UserSession.objects.filter(user=None).iterator():
        if address in str(row.get_decoded()):
            row.delete()


def _forget_jobs(gone: set[str]) -> None:
    """What a job wrote down of a row that it could not do: its id, and perhaps its words."""
    for retry in Retry.objects.all():
        if any(ident in retry.row or ident in retry.why for ident in gone):
            retry.delete()
    Sweep.objects.filter(row__in=gone).update(row="")


def _ids_of(student: Student) -> set[str]:
    """The ids of all rows, by which jobs name them."""
    return {
        str(pk)
        for kind in OF_STUDENT
        if kind.model._meta.pk.get_internal_type() == "UUIDField"  # noqa: SLF001 (documented)
        for pk in kind.of(student.pk).values_list("pk", flat=True)
    }


def _files_of(student: Student) -> list[str]:
    clips = Clip.objects.filter(student=student).values_list("file", "still")
    return [name for names in clips for name in names if name]


def _delete_files(student: Student, files: Iterable[str]) -> None:
    for name in files:
        clip_storage().delete(name)
    with suppress(OSError):  # Not empty: a stray file is swept later.
        clip_storage().delete(str(student.pk))


def _forget_mail_files(address: str) -> None:
    """Where mails are files, as on a machine without a mail server."""
    folder = getattr(settings, "EMAIL_FILE_PATH", None)
    for path in Path(folder).glob("*") if folder else ():
        if address.encode() in path.read_bytes():
            path.unlink()
