import pytest
from django.core.files.storage import FileSystemStorage, storages

from practice.clips import models


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """Each test keeps its clips in a folder of its own."""
    store = FileSystemStorage(location=tmp_path / "clips", base_url=None)
    monkeypatch.setitem(storages._storages, "clips", store)
    for name in ("file", "still"):
        monkeypatch.setattr(models.Clip._meta.get_field(name), "storage", store)
    return tmp_path / "clips"


def files_in(folder):
    return sorted(path.name for path in folder.rglob("*") if path.is_file())
