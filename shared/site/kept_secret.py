"""A secret that is made here once, and read from then on: only this system user may."""

import os
import stat
from collections.abc import Callable
from pathlib import Path
from tempfile import NamedTemporaryFile

MOST_OPEN_MODE = 0o700


def make_private(folder: Path) -> None:
    """Only this system user reads what is kept here. One that others made is left as it is."""
    folder.mkdir(mode=MOST_OPEN_MODE, parents=True, exist_ok=True)
    found = folder.stat()
    is_shared = found.st_mode & stat.S_ISVTX  # As /tmp is.
    if found.st_uid == os.geteuid() and not is_shared and found.st_mode & 0o077:
        folder.chmod(MOST_OPEN_MODE)


def kept_secret(path: Path, make: Callable[[], str]) -> str:
    """What the file says; made, the first time, by whichever process is first."""
    try:
        return path.read_text().strip()
    except FileNotFoundError:
        make_private(path.parent)
    made = make()
    with NamedTemporaryFile("w", dir=path.parent) as file:  # Of mode 0600, as made.
        file.write(made)
        file.flush()
        try:
            os.link(file.name, path)  # Whole: whoever reads beside this one finds no half of it.
        except FileExistsError:  # Another process was first.
            return path.read_text().strip()
    return made
