"""The store of backups: files put there whole or not at all, sealed if there is a passphrase."""

import os
import sqlite3  # The one that shared.site.sqlite has put in place.
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from functools import wraps
from importlib.util import find_spec
from pathlib import Path
from shutil import rmtree
from tempfile import TemporaryDirectory
from typing import IO, ParamSpec, TypeVar

from django.conf import settings
from django.core.files import File
from django.core.files.storage import FileSystemStorage, Storage, storages
from django.utils import timezone

from shared.backups import sealing
from shared.backups.databases import BackupError
from shared.site.kept_secret import make_private

LONGEST = timedelta(hours=2)  # That one backup takes.
SCRATCH, PART = "backup-", ".part"
PIECE = 1 << 20
Given = ParamSpec("Given")
Made = TypeVar("Made")


def store() -> Storage:
    return storages["backups"]


def told(work: Callable[Given, Made]) -> Callable[Given, Made]:
    """Say in one sentence what a disk or a store answered, as BackupError."""

    @wraps(work)
    def inner(*args: Given.args, **kwargs: Given.kwargs) -> Made:
        try:
            return work(*args, **kwargs)
        except _refusals() as error:
            why = " ".join(str(error).split())[-300:]
            raise BackupError(
                f"A file could not be read or written ({why}). Is there room on the disk? Does "
                f"BACKUPS_URL name a store that takes this key?"
            ) from error

    return inner


def _refusals() -> tuple[type[Exception], ...]:
    if find_spec("boto3") is None:
        return (OSError, sqlite3.Error)
    from boto3.exceptions import Boto3Error
    from botocore.exceptions import BotoCoreError, ClientError

    return (OSError, sqlite3.Error, Boto3Error, BotoCoreError, ClientError)


def put(name: str, file: IO[bytes]) -> None:
    if not settings.BACKUP_PASSPHRASE:
        _put_whole(name, file)
        return
    with scratch() as folder, (folder / "sealed").open("w+b") as sealed:
        sealing.seal(file, sealed, settings.BACKUP_PASSPHRASE)
        sealed.seek(0)
        _put_whole(name, sealed)


def _put_whole(name: str, file: IO[bytes]) -> None:
    """An S3 store shows an object when it is whole. In a folder it is written beside first."""
    place = store()
    if not isinstance(place, FileSystemStorage):
        place.save(name, File(file))
        return
    path = Path(place.path(name))
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    beside = path.with_name(path.name + PART)
    try:
        with beside.open("wb") as target:
            beside.chmod(0o600)
            for piece in iter(lambda: file.read(PIECE), b""):
                target.write(piece)
            target.flush()
            os.fsync(target.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def fetch(name: str, target: Path) -> None:
    """Raises BackupError where there is no such file, and CannotOpen."""
    try:
        source = store().open(name)
    except FileNotFoundError as error:
        raise BackupError(f"There is no {name} in the store of backups.") from error
    with source, target.open("wb") as file:
        head = source.read(len(sealing.MAGIC))
        source.seek(0)
        if sealing.is_sealed(head):
            sealing.unseal(source, file, settings.BACKUP_PASSPHRASE)
            return
        for piece in iter(lambda: source.read(PIECE), b""):
            file.write(piece)


def names(place: Storage, folder: str = "") -> Iterator[str]:
    """Every file below a folder of a store."""
    try:
        folders, files = place.listdir(folder)
    except FileNotFoundError:
        return
    start = f"{folder}/" if folder else ""
    yield from (start + name for name in files)
    for inner in folders:
        yield from names(place, start + inner)


@contextmanager
def scratch() -> Iterator[Path]:
    """A folder on the disk of the data: /tmp may be memory."""
    make_private(settings.DATA_DIR)
    with TemporaryDirectory(dir=settings.DATA_DIR, prefix=SCRATCH) as name:
        yield Path(name)


def clear_up() -> None:
    """What a backup left behind that was killed: a copy of everything in parts."""
    before = (timezone.now() - LONGEST).timestamp()
    for folder in settings.DATA_DIR.glob(f"{SCRATCH}*"):
        if folder.is_dir() and folder.stat().st_mtime < before:
            rmtree(folder)
    place = store()
    if isinstance(place, FileSystemStorage):
        for name in list(names(place)):
            if name.endswith(PART) and Path(place.path(name)).stat().st_mtime < before:
                place.delete(name)
