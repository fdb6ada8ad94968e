"""A folder of one process, which goes when the process ends."""

import atexit
import os
import shutil
import tempfile


def made() -> str:
    """Its path. What the process forks leaves it in place."""
    folder, maker = tempfile.mkdtemp(prefix="between-lessons-tests-"), os.getpid()

    def clear() -> None:
        if os.getpid() == maker:
            shutil.rmtree(folder, ignore_errors=True)

    atexit.register(clear)
    return folder
