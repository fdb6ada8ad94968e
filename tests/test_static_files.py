"""Static files are compressed once, whole, and small enough to send."""

import gzip
import os

import brotli
from django.contrib.staticfiles.finders import get_finders

from shared.site.static_files import BIG, OnceCompressor


def compressed(path):
    return OnceCompressor(quiet=True).compress(str(path))


def test_both_copies_hold_the_file(tmp_path):
    path = tmp_path / "page.js"
    path.write_bytes(b"let x = 1;\n" * 500)
    assert {p.removeprefix(str(path)) for p in compressed(path)} == {".br", ".gz"}
    assert gzip.decompress((tmp_path / "page.js.gz").read_bytes()) == path.read_bytes()
    assert brotli.decompress((tmp_path / "page.js.br").read_bytes()) == path.read_bytes()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["page.js", "page.js.br", "page.js.gz"]


def test_an_unchanged_file_is_left_alone_and_a_changed_one_is_not(tmp_path):
    path = tmp_path / "page.js"
    path.write_bytes(b"let x = 1;\n" * 500)
    compressed(path)
    assert compressed(path) == []
    path.write_bytes(b"let y = 2;\n" * 500)
    os.utime(path, (0, 0))
    assert len(compressed(path)) == 2
    assert gzip.decompress((tmp_path / "page.js.gz").read_bytes()) == path.read_bytes()


def test_a_hashed_name_vouches_for_what_is_in_it(tmp_path):
    path = tmp_path / "page.0123456789ab.js"
    path.write_bytes(b"let x = 1;\n" * 500)
    compressed(path)
    os.utime(path, (0, 0))
    assert compressed(path) == []


def test_a_big_file_is_not_squeezed_for_seconds(monkeypatch):
    asked = []
    monkeypatch.setattr(brotli, "compress", lambda data, quality: asked.append(quality) or b"")
    OnceCompressor.compress_brotli(b"x" * (BIG + 1))
    OnceCompressor.compress_brotli(b"x")
    assert asked == [5, 11]


def test_no_file_is_collected_that_no_page_asks_for():
    """The API answers in JSON alone; its library's pages are a megabyte to compress at a start."""
    folders = {name.split("/")[0] for each in get_finders() for name, _ in each.list([])}
    assert folders >= {"account", "mfa", "css", "js"}
    assert "rest_framework" not in folders
