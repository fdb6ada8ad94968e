"""Where an installation keeps everything: outside the code, so that cleaning it deletes nothing."""

from pathlib import Path

from shared.site import environment as env

CLONE = Path(__file__).resolve().parents[2]
OLD_PLACE = CLONE / "data"


def usual_place() -> Path:
    """By the XDG Base Directory Specification 0.8."""
    base = Path(env.text("XDG_DATA_HOME", "~/.local/share")).expanduser()
    if not base.is_absolute():  # As the specification has it: a relative one is no use.
        base = Path("~/.local/share").expanduser()
    return base / "between-lessons"


def has_a_studio(folder: Path) -> bool:
    """A database, or the key of an installation whose database is elsewhere."""
    return (folder / "practice.sqlite3").is_file() or (folder / "secret_key").is_file()


def find() -> Path:
    """DATA_DIR; else what an earlier release left inside the clone; else the usual place."""
    if env.text("DATA_DIR"):
        return env.folder("DATA_DIR", OLD_PLACE)
    usual = usual_place()
    if (OLD_PLACE / "practice.sqlite3").is_file():
        return OLD_PLACE
    if has_a_studio(OLD_PLACE) and not has_a_studio(usual):
        return OLD_PLACE
    return env.folder("DATA_DIR", usual)


def said(folder: Path) -> str:
    """Where it is kept, and what to do if that is inside the clone."""
    if folder != OLD_PLACE:
        return f"Your studio is kept in {folder}"
    return (
        f"Your studio is kept in {folder}, inside the code, where “git clean” would delete it.\n"
        f"To move it, stop this and run: mkdir -p {usual_place().parent} && "
        f"mv {folder} {usual_place()}"
    )
