"""The still of a clip, drawn in a process of its own with limits: a hostile file can end
that process and nothing else."""

import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from practice.clips.containers import NotAClip
from practice.clips.models import Clip
from practice.clips.pictures import STILL_SIDE, drawn_anew

SECONDS = 20


def still_of(clip: Clip) -> bytes | None:
    """A small JPEG; None if none could be drawn."""
    with TemporaryDirectory() as folder:
        source = Path(folder) / f"clip.{clip.suffix}"
        with clip.file.open("rb") as stored, source.open("wb") as copy:
            for chunk in stored.chunks():
                copy.write(chunk)
        if not clip.is_picture:
            frame = Path(folder) / "frame.png"
            if not _first_frame(source, frame):
                return None
            source = frame
        try:
            with source.open("rb") as file:
                return drawn_anew(file, STILL_SIDE)
        except NotAClip:
            return None


def _first_frame(source: Path, frame: Path) -> bool:
    command = [sys.executable, "-m", "practice.clips.first_frame", str(source), str(frame)]
    try:
        done = subprocess.run(  # noqa: S603 (our own module, our own paths)
            command, timeout=SECONDS, check=False, capture_output=True
        )
    except subprocess.TimeoutExpired:
        return False
    return done.returncode == 0 and frame.exists()
