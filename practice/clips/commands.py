"""Everything that writes a clip. No file is touched inside a transaction."""

import hashlib
from collections.abc import Iterator
from datetime import timedelta
from io import BytesIO
from tempfile import TemporaryFile
from typing import IO, BinaryIO, cast
from uuid import UUID

from django.core.files.base import File
from django.core.files.uploadedfile import UploadedFile
from django.db import IntegrityError, transaction
from django.db.models import Q, Sum
from django.utils import timezone

from practice.clips.containers import NotAClip, blank, looks_like, read_mp4, read_webm
from practice.clips.models import Clip, clip_storage, expiry
from practice.clips.pictures import drawn_anew
from practice.drills.models import Drill
from practice.log.models import Entry
from shared.people import access
from shared.people.models import Student, User
from shared.people.today import today_of

MOST_BYTES = 60 * 1024 * 1024
MOST_SECONDS = 60
MOST_OF_STUDENT = 2 * 1024**3
MOST_CLIPS = 2000
SWEPT_AT_ONCE = 200
LONGEST_WORDS = 200
STRAY_AFTER = timedelta(hours=1)
HIDDEN_FOR = timedelta(days=30)


class ClipError(ValueError):
    """Why a clip is not taken; the sentence is for whoever sent it."""


def keep_clip(
    *,
    student: Student,
    author: User,
    upload: UploadedFile,
    ident: UUID,
    drill: Drill | None = None,
    entry: Entry | None = None,
    words: str = "",
) -> Clip:
    """Check a file by its content and keep it. The same id and content again adds nothing.

    Raises ClipError; then nothing is left behind.
    """
    if not access.may_be_seen(student):
        raise ClipError(
            f"No guardian has agreed to clips of {student.name}. They can on their own page."
        )
    if upload.size is None or upload.size > MOST_BYTES:
        most = MOST_BYTES // (1024 * 1024)
        raise ClipError(f"A clip may have {most} MB at most. Trim it to the swing.")
    if len(words) > LONGEST_WORDS:
        raise ClipError(f"The words may have {LONGEST_WORDS} characters at most.")
    digest = _digest(upload)
    known = Clip.objects.filter(pk=ident).first()
    if known is not None:
        return _same(known, student, digest)
    _check_room(student, upload.size)
    with TemporaryFile() as copy:
        try:
            kind, seconds = _checked_copy(upload, copy)
        except NotAClip as error:
            raise ClipError(str(error)) from None
        size = copy.seek(0, 2)
        copy.seek(0)
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
        clip.file.save("clip", File(copy), save=False)
    return _stored(clip, student, digest)


def _stored(clip: Clip, student: Student, digest: str) -> Clip:
    """The row after its file: a file without a row is swept, a row without a file cannot be."""
    try:
        with transaction.atomic():
            clip.save(force_insert=True)
    except IntegrityError:
        clip.file.storage.delete(clip.file.name or "")
        known = Clip.objects.filter(pk=clip.pk).first()
        if known is None:
            raise
        return _same(known, student, digest)
    return clip


def _same(known: Clip, student: Student, digest: str) -> Clip:
    if known.student_id != student.pk or known.digest != digest:
        raise ClipError("Another clip has this id already. Choose the file again.")
    return known


def _digest(upload: UploadedFile) -> str:
    found = hashlib.sha256()
    for chunk in upload.chunks():
        found.update(chunk)
    return found.hexdigest()


def _check_room(student: Student, size: int) -> None:
    kept = Clip.objects.filter(student=student, removed_at=None)
    room = kept.aggregate(Sum("size"))["size__sum"] or 0
    if room + size > MOST_OF_STUDENT or kept.count() >= MOST_CLIPS:
        raise ClipError("There is no more room for clips of this student. Remove old ones first.")


def _checked_copy(upload: UploadedFile, copy: BinaryIO) -> tuple[str, float | None]:
    """Write what is kept of it. Raises NotAClip."""
    upload.seek(0)
    shape = looks_like(upload.read(64))
    upload.seek(0)
    if shape == "picture":
        copy.write(drawn_anew(cast("IO[bytes]", upload)))
        return Clip.Kind.JPEG, None
    if shape not in {"mp4", "webm"}:
        raise NotAClip("This is no picture (JPEG, PNG, WebP) and no clip (MP4, MOV, WebM).")
    copy.writelines(upload.chunks())
    size = copy.seek(0, 2)
    movie = read_mp4(copy, size) if shape == "mp4" else read_webm(copy, size)
    _check_length(movie.seconds)
    blank(copy, movie.private)
    kind = Clip.Kind.MP4 if shape == "mp4" else Clip.Kind.WEBM
    return kind, movie.seconds


def _check_length(seconds: float) -> None:
    if not 0 <= seconds <= MOST_SECONDS:  # Said so that what is no number is refused too.
        long = f"This clip lasts {seconds:.0f} s."
        raise NotAClip(f"{long} Trim it to the swing: {MOST_SECONDS} s at most.")


def remove_clip(*, clip: Clip) -> None:
    """Nobody sees it from now on; the file goes with the next sweep."""
    Clip.objects.filter(pk=clip.pk, removed_at=None).update(removed_at=timezone.now())


def choose_model(*, clip: Clip, is_model: bool) -> None:
    """Mark it as the one to copy; one for each drill."""
    with transaction.atomic():
        if is_model:
            others = Clip.objects.filter(student=clip.student, drill=clip.drill, is_model=True)
            others.exclude(pk=clip.pk).update(is_model=False)
        Clip.objects.filter(pk=clip.pk).update(is_model=is_model)


# --- the sweep: what the worker does -------------------------------------------------------


def sweep() -> int:
    """Delete what was removed, has expired, or lost its consent for 30 days. Returns how many."""
    now = timezone.now()
    gone = Clip.objects.filter(Q(removed_at__isnull=False) | Q(expires_on__lt=now.date()))
    done = 0
    for clip in gone[:SWEPT_AT_ONCE]:
        _delete(clip)
        done += 1
    unseen = Clip.objects.filter(student__in=access.children_unseen_since(now - HIDDEN_FOR))
    for clip in unseen.select_related("student")[:SWEPT_AT_ONCE]:
        if clip.student.is_minor:
            _delete(clip)
            done += 1
    return done


def _delete(clip: Clip) -> None:
    """Files first: a row that stays is tried again."""
    for name in (clip.file.name, clip.still.name):
        if name:
            clip_storage().delete(name)
    clip.delete()


def sweep_strays() -> int:
    """Delete stored files that no row names, as a kill between file and row leaves them.

    Only what is older than an hour: the row of a younger one may still be on its way.
    """
    done, before = 0, timezone.now() - STRAY_AFTER
    for name in _stored_names():
        if clip_storage().get_modified_time(name) > before:
            continue
        if not Clip.objects.filter(Q(file=name) | Q(still=name)).exists():
            clip_storage().delete(name)
            done += 1
    return done


def _stored_names() -> Iterator[str]:
    """Every stored file by its name; none before the first is stored."""
    try:
        folders, _ = clip_storage().listdir("")
    except FileNotFoundError:
        return
    for folder in folders:
        for name in clip_storage().listdir(folder)[1]:
            yield f"{folder}/{name}"


def make_stills() -> int:
    """Draw the still of each clip that waits for one. Returns how many were made."""
    from practice.clips.stills import still_of

    made = 0
    due = Clip.objects.filter(still_state=Clip.Still.DUE, removed_at=None, still_tries__lt=3)
    for clip in due.order_by("made_at")[:20]:
        # Counted before: what kills the worker is not tried for ever.
        Clip.objects.filter(pk=clip.pk).update(still_tries=clip.still_tries + 1)
        drawn = still_of(clip)
        if drawn is None:
            state = Clip.Still.FAILED if clip.still_tries + 1 >= 3 else Clip.Still.DUE
            Clip.objects.filter(pk=clip.pk).update(still_state=state)
            continue
        clip.still.save("still", File(BytesIO(drawn)), save=False)
        Clip.objects.filter(pk=clip.pk).update(still=clip.still.name, still_state=Clip.Still.MADE)
        made += 1
    return made
