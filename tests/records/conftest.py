"""Every test has files of its own: the ledger is kept outside the database."""

import pytest


@pytest.fixture(autouse=True)
def own_files(settings, tmp_path):
    store = {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": str(tmp_path / "backups")},
    }
    settings.DATA_DIR = tmp_path / "data"
    settings.DATA_DIR.mkdir()
    settings.STORAGES = settings.STORAGES | {"backups": store}
