"""What a file really is. The films were made by FFmpeg, the pictures are by Pillow."""

from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from practice.clips.containers import (
    NotAClip,
    blank,
    boxes,
    elements,
    looks_like,
    read_mp4,
    read_webm,
)
from practice.clips.pictures import drawn_anew
from tests.clips.makers import movie, picture


@pytest.mark.parametrize(
    ("content", "shape"),
    [
        (picture("JPEG"), "picture"),
        (picture("PNG"), "picture"),
        (picture("WEBP"), "picture"),
        (movie("mp4"), "mp4"),
        (movie("webm"), "webm"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", ""),
        (b"<!doctype html><script>1</script>", ""),
        (b"GIF89a" + b"\0" * 60, ""),
        (b"#EXTM3U\nconcat:/etc/passwd", ""),
        (b"", ""),
    ],
)
def test_the_content_says_what_it_is(content, shape):
    assert looks_like(content[:64]) == shape


@pytest.mark.outside
@pytest.mark.parametrize("seconds", [1, 3, 7.5])
def test_the_length_is_that_of_ffmpegs_own_reader(seconds):
    """Source: FFmpeg's demuxer (libavformat 62.12) told 1.0, 3.0 and 7.5 s of these very files."""
    content = movie("mp4", seconds)
    assert read_mp4(BytesIO(content), len(content)).seconds == pytest.approx(seconds, abs=1e-3)


def test_a_box_of_a_makers_own_is_blanked():
    """XMP lies in a `uuid` box (ISO 16684-1), and so does what cameras add for themselves."""
    xmp = b"exif:GPSLatitude='51,30N'"
    content = movie("mp4") + (24 + len(xmp)).to_bytes(4) + b"uuid" + bytes(16) + xmp
    file = BytesIO(content)
    blank(file, read_mp4(file, len(content)).private)
    assert b"GPSLatitude" not in file.getvalue()
    assert file.getvalue()[: len(movie("mp4"))] == blanked_mp4(movie("mp4"))


def blanked_mp4(content: bytes) -> bytes:
    file = BytesIO(content)
    blank(file, read_mp4(file, len(content)).private)
    return file.getvalue()


def boxes_of(content: bytes) -> list[tuple[bytes, bytes]]:
    """The outer boxes with what they hold, free space left out."""
    found = [
        (box.kind, content[box.content : box.end])
        for box in boxes(BytesIO(content), 0, len(content))
    ]
    return [box for box in found if box[0] != b"free"]


def test_place_and_maker_are_blanked_and_the_film_is_untouched():
    """That it plays is tried in a browser: tests/browser/test_clips.py."""
    content = movie("mp4", place=True)
    assert b"+51.5000" in content
    kept = blanked_mp4(content)
    assert b"+51.5000" not in kept
    assert b"phone" not in kept
    assert len(kept) == len(content)
    film = {kind: held for kind, held in boxes_of(content) if kind in {b"ftyp", b"mdat"}}
    assert len(film) == 2
    assert film.items() <= dict(boxes_of(kept)).items()


WHOLE = movie("mp4")


@given(st.integers(0, len(WHOLE) - 1))
def test_a_cut_off_clip_is_refused_wherever_it_is_cut(keep):
    part = WHOLE[:keep]
    with pytest.raises(NotAClip):
        read_mp4(BytesIO(part), len(part))


@given(st.binary(max_size=300))
def test_any_bytes_after_the_head_are_read_or_refused(tail):
    content = WHOLE[:28] + tail
    with pytest.raises(NotAClip):
        read_mp4(BytesIO(content), len(content))


def test_a_picture_is_drawn_anew_without_its_place():
    content = picture(place=True)
    assert b"phone" in content
    kept = drawn_anew(BytesIO(content))
    assert b"phone" not in kept
    with Image.open(BytesIO(kept)) as drawn:
        assert (drawn.format, drawn.size, dict(drawn.getexif())) == ("JPEG", (64, 48), {})


def test_a_picture_held_upright_is_kept_upright():
    out = BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6  # Turned a quarter: EXIF 2.32, tag Orientation.
    Image.new("RGB", (64, 48)).save(out, "JPEG", exif=exif)
    with Image.open(BytesIO(drawn_anew(BytesIO(out.getvalue())))) as drawn:
        assert drawn.size == (48, 64)


def test_a_large_picture_is_made_smaller():
    kept = drawn_anew(BytesIO(picture(size=(4000, 2000))))
    with Image.open(BytesIO(kept)) as drawn:
        assert drawn.size == (1920, 960)


@pytest.mark.parametrize(
    "content",
    [b"", b"\xff\xd8\xff" + b"\0" * 40, picture()[:300], picture("PNG")[:60], movie()],
    ids=["empty", "head alone", "cut JPEG", "cut PNG", "a clip"],
)
def test_what_is_no_whole_picture_is_refused(content):
    with pytest.raises(NotAClip):
        drawn_anew(BytesIO(content))


def test_a_bomb_of_pixels_is_refused_before_it_is_opened():
    """A PNG that says 30,000 × 30,000 in its head and has next to nothing behind it."""
    content = bytearray(picture("PNG"))
    content[16:24] = (30000).to_bytes(4) * 2
    import zlib

    content[29:33] = zlib.crc32(content[12:29]).to_bytes(4)
    with pytest.raises(NotAClip):
        drawn_anew(BytesIO(bytes(content)))


@pytest.mark.outside
@pytest.mark.parametrize("seconds", [1, 7.5])
def test_the_length_of_a_webm_is_that_of_ffmpegs_own_reader(seconds):
    """Source: FFmpeg's demuxer (libavformat 62.12) told 1.0 and 7.5 s of these very files."""
    content = movie("webm", seconds)
    assert read_webm(BytesIO(content), len(content)).seconds == pytest.approx(seconds, abs=1e-3)


WEBM = movie("webm")
HEAD_OF_WEBM = 40


@given(st.integers(0, len(WEBM) - 1))
def test_a_cut_off_webm_is_refused_wherever_it_is_cut(keep):
    part = WEBM[:keep]
    with pytest.raises(NotAClip):
        read_webm(BytesIO(part), len(part))


@given(st.binary(max_size=300))
def test_any_bytes_after_the_head_of_a_webm_are_refused(tail):
    content = WEBM[:HEAD_OF_WEBM] + tail
    with pytest.raises(NotAClip):
        read_webm(BytesIO(content), len(content))


SEGMENT, CLUSTER, TAGS = (bytes.fromhex(ident) for ident in ("18538067", "1f43b675", "1254c367"))
UNKNOWN = bytes.fromhex("01ffffffffffffff")


def test_a_webm_as_browsers_record_it_has_no_length_and_is_read():
    """Segment and cluster of unknown size (RFC 8794, section 6.2), no duration."""
    live = WEBM[: WEBM.index(SEGMENT)] + SEGMENT + UNKNOWN + CLUSTER + UNKNOWN + b"\xe7\x81\0"
    assert read_webm(BytesIO(live), len(live)).seconds == 0


def blanked(content: bytes) -> bytes:
    file = BytesIO(content)
    blank(file, read_webm(file, len(content)).private)
    assert len(file.getvalue()) == len(content)
    return file.getvalue()


def private_words(content: bytes) -> set[bytes]:
    return {word for word in (b"+51.5000", b"phone", b"Lavf") if word in content}


def film_of(content: bytes) -> list[bytes]:
    """What the clusters of a segment of known size hold."""
    _, whole = elements(BytesIO(content), 0, len(content))
    held = elements(BytesIO(content), whole.content, whole.end or len(content))
    return [content[e.content : e.end] for e in held if e.ident == int.from_bytes(CLUSTER)]


def test_tags_of_a_webm_are_blanked_and_the_film_is_untouched():
    content = movie("webm", place=True)
    assert private_words(content) == {b"+51.5000", b"phone", b"Lavf"}
    kept = blanked(content)
    assert not private_words(kept)
    assert film_of(kept) == film_of(content) != []
    assert blanked(kept) == kept


def test_tags_behind_a_cluster_of_unknown_size_are_blanked_too():
    content = movie("webm", place=True)
    file = BytesIO(content)
    head, whole = elements(file, 0, len(content))
    held = {each.ident: each for each in elements(file, whole.content, whole.end)}
    tags, film = held[int.from_bytes(TAGS)], held[int.from_bytes(CLUSTER)]
    live = (
        content[: head.end] + SEGMENT + UNKNOWN + content[whole.content : tags.start]
        + CLUSTER + UNKNOWN + content[film.content : film.end] + content[tags.start : tags.end]
        + CLUSTER + UNKNOWN + b"\xe7\x81\0"
    )  # fmt: skip
    assert private_words(live) == {b"+51.5000", b"phone", b"Lavf"}
    kept = blanked(live)
    assert not private_words(kept)
    at = live.index(content[film.content : film.end])
    assert kept[at : at + film.end - film.content] == content[film.content : film.end]


def test_a_second_film_in_one_file_is_refused():
    with pytest.raises(NotAClip):
        read_webm(BytesIO(WEBM + WEBM), 2 * len(WEBM))
