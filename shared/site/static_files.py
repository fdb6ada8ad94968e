"""Static files: those that come with an installed package, and compressing each only once."""

import re
from collections.abc import Iterable, Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import brotli
from django.apps import apps
from django.contrib.staticfiles.finders import AppDirectoriesFinder, BaseFinder
from django.contrib.staticfiles.utils import matches_patterns
from django.core.files.storage import FileSystemStorage
from whitenoise.compress import Compressor
from whitenoise.storage import CompressedManifestStaticFilesStorage

BUNDLE = "plotly.min.js"
PREFIX = "plotly"
BIG = 1_000_000  # Bytes; the best of Brotli would take the start of a server ten seconds.
_HASHED = re.compile(r"\.[0-9a-f]{12}\.\w+$")


class AppFolders(AppDirectoriesFinder):
    """What apps bring, but for the pages of an API that only ever answers in JSON."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        names = [app.name for app in apps.get_app_configs() if app.name != "rest_framework"]
        super().__init__(names)


class PackageStorage(FileSystemStorage):
    """A folder of a package; `prefix` is where it stands among the static files."""

    prefix = PREFIX


class PlotlyBundle(BaseFinder):
    """Finds plotly/plotly.min.js in the installed package, and no more of it."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        spec = find_spec("plotly")  # Does not import it.
        if spec is None or spec.origin is None:
            raise RuntimeError("The package plotly is not installed.")
        self.storage = PackageStorage(location=Path(spec.origin).parent / "package_data")
        super().__init__(*args, **kwargs)

    def check(self, **kwargs: Any) -> list[Any]:
        return []

    def find(self, path: str, *args: Any, **kwargs: Any) -> Any:
        """The path of the file; a list of paths if all are asked for (Django's own way)."""
        found = [self.storage.path(BUNDLE)] if path == f"{PREFIX}/{BUNDLE}" else []
        wants_all = any(args) or any(kwargs.values())
        return found if wants_all or not found else found[0]

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[tuple[str, Any]]:
        if not matches_patterns(BUNDLE, ignore_patterns or []):
            yield BUNDLE, self.storage


class OnceCompressor(Compressor):
    """Leaves alone what was compressed before, so that a restart costs nothing."""

    def compress(self, path: str) -> list[str]:
        return [] if _is_compressed(Path(path)) else super().compress(path)

    @staticmethod
    def compress_brotli(data: bytes) -> bytes:
        return bytes(brotli.compress(data, quality=5 if len(data) > BIG else 11))

    def write_data(self, path: str, data: bytes, suffix: str, stat_result: Any) -> str:
        """Whole or not at all: a cut-off file would be taken for a finished one."""
        written = Path(super().write_data(path, data, f"{suffix}.part", stat_result))
        return str(written.rename(written.with_suffix("")))


def _is_compressed(path: Path) -> bool:
    """A hashed name says what is in the file; another has kept the time of its source."""
    try:
        made = Path(f"{path}.gz").stat().st_mtime
    except FileNotFoundError:
        return False
    return bool(_HASHED.search(path.name)) or abs(made - path.stat().st_mtime) < 1e-3


class Storage(CompressedManifestStaticFilesStorage):
    """Hashed names and compressed copies, each made once."""

    def create_compressor(self, **kwargs: Any) -> Compressor:
        return OnceCompressor(**kwargs)
