"""Making a backup and bringing one back: the database of one moment, and the clips.

A store holds `database-<time>.backup`, a tar of the manifest, the copy and, where it is
sealed, the keys kept in DATA_DIR; and every clip once, under `clips/`. A clip that was
deleted goes from there with the next backup.
"""

import json
import shutil
import tarfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files import File
from django.core.files.storage import storages
from django.core.management import call_command
from django.db import connection
from django.utils import timezone

from shared.backups import databases
from shared.backups.databases import BackupError
from shared.backups.store import LONGEST, clear_up, fetch, names, put, scratch, store, told
from shared.jobs.sweep import last_ended, ran, sweep
from shared.outbox import push_sender, send

GOOD = "good backups"
MOST_NAMED = 5
TOO_OLD = (
    "This is older than KEEP_ENDS_DAYS. It would open what was ended since,"
    " as nobody knows it any more."
)
VERSION = 1
# Kept in DATA_DIR: what signs, and by what browsers know whoever nudges them.
KEYS = ("secret_key", push_sender.KEY_FILE)
PARTS = ("manifest.json", "database")
SAID = {"version": int, "engine": str, "made_at": str, "says": dict, "clips": list}
NO_BACKUP = "This is no whole backup of Between Lessons. Choose another one."
START, END = "database-", ".backup"
FORM = "%Y%m%dT%H%M%SZ"
DAILY, WEEKLY, MONTHLY = 7, 4, 6
# What others do when an installation was brought back, as to let go again of who was erased.
brought_back: list[Callable[[], object]] = []


def make_if_due() -> None:
    """The worker's: one a day, by one worker, tried again later if it fails."""
    if settings.BACKUP_HOURS:
        sweep("backups", _due, lambda _: make(), key=str, lease=LONGEST)


def _due() -> list[str]:
    last, now = last_ended(GOOD), timezone.now()
    every = timedelta(hours=settings.BACKUP_HOURS)
    return ["the whole"] if last is None or not last <= now < last + every else []


@told
def make() -> str:
    """Make one, and let old ones go. Returns its name. Raises BackupError."""
    clear_up()
    now = timezone.now()
    name = f"{START}{now.astimezone(UTC):{FORM}}{END}"
    with scratch() as folder:
        says = databases.copy_to(folder / "database")
        clips = sorted(names(storages["clips"]))
        manifest = {
            "version": VERSION,
            "made_at": now.isoformat(),
            "engine": connection.vendor,
            "says": says,
            "clips": clips,
        }
        (folder / "manifest.json").write_text(json.dumps(manifest))
        with tarfile.open(folder / "tar", "w") as tar:
            for part in PARTS:
                tar.add(folder / part, part)
            for key in KEYS if settings.BACKUP_PASSPHRASE else ():
                if (settings.DATA_DIR / key).exists():
                    tar.add(settings.DATA_DIR / key, key)
        _copy_clips(set(clips))  # Before the rows that name them count as kept.
        with (folder / "tar").open("rb") as file:
            put(name, file)
    for old in to_drop(databases_kept()):
        store().delete(old)
    ran(GOOD)
    return name


def databases_kept() -> list[str]:
    """Names in the store, oldest first."""
    try:
        _, files = store().listdir("")
    except FileNotFoundError:
        return []
    return sorted(name for name in files if name.startswith(START) and name.endswith(END))


def to_drop(names: list[str]) -> list[str]:
    """All but the newest of each of the last seven days, four weeks and six months."""
    kept: set[str] = set()
    newest_first = sorted(names, reverse=True)
    for form, many in (("%Y-%m-%d", DAILY), ("%G-%V", WEEKLY), ("%Y-%m", MONTHLY)):
        first_of: dict[str, str] = {}
        for name in newest_first:
            first_of.setdefault(_made_at(name).strftime(form), name)
        kept |= set(list(first_of.values())[:many])
    return [name for name in names if name not in kept]


def _made_at(name: str) -> datetime:
    return datetime.strptime(name, f"{START}{FORM}{END}").replace(tzinfo=UTC)


@told
def restore(name: str) -> tuple[int, int]:
    """Bring one back into an empty installation. Raises BackupError.

    Returns the number of rows, each compared with what the copy said, and of clips that are
    no longer in the store, since they were deleted after the backup. Mails that were on their
    way then are not sent again, and who was erased since goes again.
    """
    if not databases.is_empty():
        raise BackupError("This installation is not empty. Restore into one with a new DATA_DIR.")
    if others := databases.tables_of_others():
        raise BackupError(
            f"Something else lies in this database: {', '.join(others[:MOST_NAMED])}."
            " Restore into a database of its own."
        )
    with scratch() as folder:
        fetch(name, folder / "tar")
        _unpack(folder)
        manifest = _manifest(folder / "manifest.json")
        if manifest["version"] > VERSION or manifest["engine"] != connection.vendor:
            raise BackupError(
                f"This backup is of {manifest['engine']}, version {manifest['version']}."
                f" Here is {connection.vendor}, version {VERSION}."
            )
        if is_too_old(datetime.fromisoformat(manifest["made_at"])):
            raise BackupError(TOO_OLD)
        databases.bring_back(folder / "database")
        differs = _differences(manifest["says"], databases.says_now())
        if differs:
            raise BackupError(f"These tables are not as they were: {', '.join(differs)}.")
        for key in KEYS:
            _bring_key(folder / key)
    gone = sum(not _bring_clip(clip) for clip in manifest["clips"])
    call_command("migrate", interactive=False, verbosity=0)
    send.forget_open("brought back from a backup")
    for hook in brought_back:
        hook()
    return sum(count for count, _ in manifest["says"].values()), gone


def _unpack(folder: Path) -> None:
    """Take each part out by its name: what else an archive holds is written nowhere."""
    try:
        with tarfile.open(folder / "tar") as tar:
            there = tar.getnames()
            for part in (*PARTS, *(key for key in KEYS if key in there)):
                # A link may lead to itself: none is followed.
                held = tar.extractfile(part) if tar.getmember(part).isfile() else None
                if held is None:
                    raise BackupError(NO_BACKUP)
                with held, (folder / part).open("wb") as file:
                    shutil.copyfileobj(held, file)
    except (tarfile.TarError, KeyError) as error:
        raise BackupError(NO_BACKUP) from error


def _manifest(file: Path) -> dict[str, Any]:
    try:
        said: dict[str, Any] = json.loads(file.read_text())
        is_whole = (
            isinstance(said, dict)
            and all(isinstance(said.get(name), kind) for name, kind in SAID.items())
            and datetime.fromisoformat(said["made_at"]).tzinfo is not None
        )
    except (ValueError, RecursionError) as error:
        raise BackupError(NO_BACKUP) from error
    if not is_whole:
        raise BackupError(NO_BACKUP)
    return said


def is_too_old(made_at: datetime) -> bool:
    return made_at < timezone.now() - timedelta(days=settings.KEEP_DAYS["ends"])


def _differences(then: databases.Says, now: databases.Says) -> list[str]:
    return sorted(name for name in then.keys() | now.keys() if then.get(name) != now.get(name))


def _bring_key(kept: Path) -> None:
    key = settings.DATA_DIR / kept.name
    if kept.exists():
        key.write_bytes(kept.read_bytes())
        key.chmod(0o600)


def _copy_clips(wanted: set[str]) -> None:
    there = {name.removeprefix("clips/") for name in names(store(), "clips")}
    for name in wanted - there:
        with storages["clips"].open(name) as file:
            put(f"clips/{name}", file)
    for name in there - wanted:
        store().delete(f"clips/{name}")
    # A folder has the name of a student, who may be gone: an empty one goes as well.
    folders = {name.rpartition("/")[0] for name in there - wanted}
    for folder in folders - {name.rpartition("/")[0] for name in wanted} - {""}:
        store().delete(f"clips/{folder}")


def _bring_clip(name: str) -> bool:
    """Whether it is in the store: a clip that was deleted since is not, and stays gone."""
    if not store().exists(f"clips/{name}"):
        return False
    with scratch() as folder:
        fetch(f"clips/{name}", folder / "clip")
        if not storages["clips"].exists(name):
            with (folder / "clip").open("rb") as file:
                storages["clips"].save(name, File(file))
    return True
