"""Everything that writes a clip. No file is touched inside a transaction."""

import hashlib
import json
from collections.abc import Collection, Iterable, Iterator
from datetime import timedelta
from io import BytesIO
from tempfile import TemporaryFile
from typing import BinaryIO
from uuid import UUID

from django.core.files.base import File
from django.core.files.uploadedfile import UploadedFile
from django.db import IntegrityError, transaction
from django.db.models import Exists, OuterRef, Q, Sum
from django.utils import timezone

from practice.clips.containers import looks_like
from practice.clips.models import Clip, clip_storage, expiry
from practice.clips.pictures import LONGEST_SIDE, STILL_SIDE, drawn_anew
from practice.drills.models import Drill
from practice.log.models import Entry
from shared.jobs.sweep import sweep as run
from shared.kit.refused import Refused
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.people.today import today_of
from shared.site import jail
from shared.site.jail import NotTaken

JAIL = "practice.clips.opened"
MOST_BYTES = 60 * 1024 * 1024
MOST_SECONDS = 60
# Fifteen, and what a phone needs to stop; where a recording does not say its length, its size does.
MOST_SPOKEN = 16
MOST_SPOKEN_BYTES = 1024 * 1024
MOST_OF_STUDENT = 2 * 1024**3
MOST_CLIPS = 2000
SPOKEN = (Clip.Kind.M4A, Clip.Kind.WEBA)
SWEPT_AT_ONCE = 200
LONGEST_WORDS = 200
STRAY_AFTER = timedelta(hours=1)
HIDDEN_FOR = timedelta(days=30)


def keep_clip(
    *,
    student: Recordable,
    author: User,
    upload: "UploadedFile[bytes]",
    ident: UUID,
    drill: Drill | None = None,
    entry: Entry | None = None,
    words: str = "",
    still: "UploadedFile[bytes] | None" = None,
) -> Clip:
    """Check a file by its content and keep it. The same id and content again adds nothing.

    `still` is a small picture of a film, drawn by its sender's browser. Raises Refused;
    then nothing is left behind.
    """
    if not access.may_be_seen(student):
        raise Refused(
            f"No guardian has agreed to clips of {student.name}. They can on their own page."
        )
    if upload.size is None or upload.size > MOST_BYTES:
        most = MOST_BYTES // (1024 * 1024)
        raise Refused(f"A clip may have {most} MB at most. Trim it to the swing.")
    if len(words) > LONGEST_WORDS:
        raise Refused(f"The words may have {LONGEST_WORDS} characters at most.")
    digest = _digest(upload)
    known = Clip.objects.filter(pk=ident).first()
    if known is not None:
        return _same(known, student, digest)
    _check_room(student, upload.size)
    with TemporaryFile() as copy:
        try:
            kind, seconds = _checked_copy(upload, copy)
        except NotTaken as error:
            raise Refused(str(error)) from None
        if kind in SPOKEN and not access.may_be_heard(student):
            raise Refused(
                f"No guardian has agreed to voice notes of {student.name} yet. They can on their"
                " own page."
            )
        size = copy.seek(0, 2)
        today = today_of(student)
        clip = Clip(
            pk=ident,
            student=student,
            author=author,
            drill=drill,
            entry=entry,
            kind=kind,
            words=words.strip(),
            size=size,
            seconds=seconds,
            digest=digest,
            expires_on=expiry(student, today),
        )
        small = _still(clip, copy, still)
        copy.seek(0)
        clip.file.save("clip", File(copy), save=False)
        if small is not None:
            clip.still.save("still", File(BytesIO(small)), save=False)
    return _stored(clip, student, digest)


def _stored(clip: Clip, student: Recordable, digest: str) -> Clip:
    """The row after its file: a file without a row is swept, a row without a file cannot be."""
    try:
        with transaction.atomic():
            clip.save(force_insert=True)
    except IntegrityError:
        for stored in (clip.file, clip.still):
            stored.storage.delete(stored.name or "")
        known = Clip.objects.filter(pk=clip.pk).first()
        if known is None:
            raise
        return _same(known, student, digest)
    return clip


def _same(known: Clip, student: Student, digest: str) -> Clip:
    if known.student_id != student.pk or known.digest != digest:
        raise Refused("Another clip has this id already. Choose the file again.")
    return known


def _digest(upload: "UploadedFile[bytes]") -> str:
    found = hashlib.sha256()
    for chunk in upload.chunks():
        found.update(chunk)
    return found.hexdigest()


def _check_room(student: Student, size: int) -> None:
    kept = Clip.objects.filter(student=student, removed_at=None)
    room = kept.aggregate(Sum("size"))["size__sum"] or 0
    if room + size > MOST_OF_STUDENT or kept.count() >= MOST_CLIPS:
        raise Refused("There is no more room for clips of this student. Remove old ones first.")


def _checked_copy(upload: "UploadedFile[bytes]", copy: BinaryIO) -> tuple[str, float | None]:
    """Write what is kept of it. Raises NotTaken."""
    upload.seek(0)
    shape = looks_like(upload.read(64))
    if shape == "picture":
        copy.write(drawn(upload, LONGEST_SIDE))
        return Clip.Kind.JPEG, None
    if shape not in {"mp4", "webm"}:
        raise NotTaken("This is no picture (JPEG, PNG, WebP) and no clip (MP4, MOV, WebM).")
    copy.writelines(upload.chunks())
    copy.flush()
    with jail.run(JAIL, copy, {"film": shape}) as told:
        film = json.loads(told.read())
    if film["sound"]:
        _check_spoken(film["seconds"], upload.size or 0)
        return (Clip.Kind.M4A if shape == "mp4" else Clip.Kind.WEBA), film["seconds"]
    _check_length(film["seconds"])
    return (Clip.Kind.MP4 if shape == "mp4" else Clip.Kind.WEBM), film["seconds"]


def drawn(upload: "UploadedFile[bytes]", longest: int) -> bytes:
    """A picture drawn anew, at most `longest` pixels a side. Raises NotTaken."""
    with TemporaryFile() as copy:
        copy.writelines(upload.chunks())
        copy.flush()
        with jail.run(JAIL, copy, {"longest": longest}) as made:
            return made.read()


def _still(clip: Clip, kept: BinaryIO, sent: "UploadedFile[bytes] | None") -> bytes | None:
    """The small picture of a clip: from a picture itself, of a film as its sender drew it."""
    if clip.is_picture:
        kept.seek(0)
        return drawn_anew(kept, STILL_SIDE)  # Our own picture by now.
    try:
        return drawn(sent, STILL_SIDE) if sent else None
    except NotTaken:
        return None


def _check_length(seconds: float) -> None:
    if not 0 <= seconds <= MOST_SECONDS:  # Said so that what is no number is refused too.
        long = f"This clip lasts {seconds:.0f} s."
        raise NotTaken(f"{long} Trim it to the swing: {MOST_SECONDS} s at most.")


def _check_spoken(seconds: float, size: int) -> None:
    if not 0 <= seconds <= MOST_SPOKEN or size > MOST_SPOKEN_BYTES:
        raise NotTaken("A voice note may last 15 s. Say it shorter, or in two.")


def remove_clip(*, clip: Clip) -> None:
    """Nobody sees it from now on; the file goes with the next sweep."""
    Clip.objects.filter(pk=clip.pk, removed_at=None).update(removed_at=timezone.now())


def choose_model(*, clip: Clip, is_model: bool) -> None:
    """Mark it as the one to copy; one for each drill."""
    student = access.recordable(clip.student)
    with transaction.atomic():
        if is_model:
            others = Clip.objects.filter(student=student, drill=clip.drill, is_model=True)
            others.exclude(pk=clip.pk).update(is_model=False)
        Clip.objects.filter(pk=clip.pk).update(is_model=is_model)


# --- the sweep: what the worker does -------------------------------------------------------


def sweep() -> int:
    """Delete what was removed, has expired, or lost its consent for 30 days. Returns how many."""
    now = timezone.now()
    gone = Clip.objects.filter(Q(removed_at__isnull=False) | Q(expires_on__lt=now.date()))
    done = run("clips that are over", lambda: gone, _delete, most=SWEPT_AT_ONCE)
    whose = access.children_unseen_since(now - HIDDEN_FOR).filter(pk=OuterRef("student"))
    unseen = Clip.objects.filter(Exists(whose))
    return len(done) + len(run("clips unseen", lambda: unseen, _delete, most=SWEPT_AT_ONCE))


def _delete(clip: Clip) -> None:
    """Files first: a row that stays is tried again."""
    for name in (clip.file.name, clip.still.name):
        if name:
            clip_storage().delete(name)
    clip.delete()


def forget_without_file() -> None:
    """After a backup was brought back: a clip that was deleted since has a row and no file."""
    for clip in Clip.objects.iterator():
        if not clip_storage().exists(clip.file.name or ""):
            _delete(clip)


def sweep_strays() -> int:
    """Delete stored files that no row names, as a kill between file and row leaves them.

    Only what is older than an hour: the row of a younger one may still be on its way.
    """
    done = run("stray files of clips", _strays, clip_storage().delete, most=SWEPT_AT_ONCE, key=str)
    return len(done)


def _strays() -> Iterator[str]:
    before = timezone.now() - STRAY_AFTER
    for name in _stored_names():
        if clip_storage().get_modified_time(name) > before:
            continue
        if not Clip.objects.filter(Q(file=name) | Q(still=name)).exists():
            yield name


def _stored_names() -> Iterator[str]:
    """Every stored file by its name; none before the first is stored."""
    try:
        folders, _ = clip_storage().listdir("")
    except FileNotFoundError:
        return
    for folder in folders:
        for name in clip_storage().listdir(folder)[1]:
            yield f"{folder}/{name}"


def mark_seen(*, clips: Iterable[Clip], by: User | None) -> None:
    """Whoever follows the student looked at them: nobody need be told of them any more.

    A phone's own key may be of nobody who signs in. Of a student about whom nothing may be kept
    neither is this.
    """
    who = by and by.pk
    new = [clip.pk for clip in clips if clip.seen_at is None and clip.author_id != who]
    if new:
        may = access.recordable_students()
        looked_at = Clip.objects.filter(pk__in=new, seen_at=None, student__in=may)
        looked_at.update(seen_at=timezone.now())


def mark_played(*, student: Student, clips: Collection[UUID], by: User | None) -> None:
    """Those of this student that were played inside the phone's page."""
    mark_seen(clips=Clip.objects.filter(student=student, pk__in=clips), by=by)
