"""What a file really is, by its content. Pure: bytes in, plain values out.

MP4 and QuickTime: ISO/IEC 14496-12 (boxes of a big-endian size and a four-letter type;
`mvhd` holds time scale and duration). WebM: RFC 8794 (EBML), document type `webm`; RFC 9559
(Matroska): a segment whose `Info` may hold time scale and duration, whose clusters hold the
film, and whose other elements may hold tags, attached files and names.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

MOST_BOXES = 4096
MOST_MOOV = 8 * 1024 * 1024
BRANDS = {
    b"isom", b"iso2", b"iso4", b"iso5", b"iso6", b"mp41", b"mp42", b"avc1", b"qt  ",
    b"M4V ", b"M4A ",
}  # fmt: skip
# Places, makers and names that phones write into a clip.
PRIVATE = {b"udta", b"meta", b"uuid"}


class NotAClip(ValueError):
    """What the file is not; the sentence is for whoever sent it."""


@dataclass(frozen=True, slots=True)
class Box:
    """One box: its type, where it begins, where its content begins and where it ends."""

    kind: bytes
    start: int
    content: int
    end: int


@dataclass(frozen=True, slots=True)
class Movie:
    """What is known of a clip: its length, whether it is sound alone, and what in it says where,
    when and with what."""

    seconds: float
    is_sound: bool
    private: tuple["Box | Element", ...]


def looks_like(head: bytes) -> str:
    """'picture', 'mp4', 'webm' or nothing, from the first bytes alone."""
    if head[:3] == b"\xff\xd8\xff" or head[:8] == b"\x89PNG\r\n\x1a\n":
        return "picture"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "picture"
    if head[4:8] == b"ftyp" and head[8:12] in BRANDS:
        return "mp4"
    if head[:4] == b"\x1a\x45\xdf\xa3" and b"webm" in head[:64]:
        return "webm"
    return ""


def boxes(file: BinaryIO, start: int, end: int) -> Iterator[Box]:
    """The boxes between two offsets. Raises NotAClip where one reaches past the end."""
    at = start
    for _ in range(MOST_BOXES):
        if at == end:
            return
        file.seek(at)
        head = file.read(16)
        if len(head) < 8:
            raise NotAClip("This clip is cut off. Send it again.")
        size, kind = struct.unpack(">I4s", head[:8])
        content = at + 8
        if size == 1:
            if len(head) < 16:
                raise NotAClip("This clip is cut off. Send it again.")
            size, content = struct.unpack(">Q", head[8:])[0], at + 16
        elif size == 0:
            size = end - at
        if size < content - at or at + size > end:
            raise NotAClip("This clip is cut off. Send it again.")
        yield Box(kind, at, content, at + size)
        at += size
    raise NotAClip("This clip is not one that can be read.")


def read_mp4(file: BinaryIO, size: int) -> Movie:
    """Length and private boxes. Raises NotAClip for what is cut off or holds no movie."""
    found = {box.kind: box for box in boxes(file, 0, size)}
    moov = found.get(b"moov")
    if moov is None or b"mdat" not in found:
        raise NotAClip("This clip is cut off. Send it again.")
    if moov.end - moov.start > MOST_MOOV:
        raise NotAClip("This clip is not one that can be read.")
    inside = list(boxes(file, moov.content, moov.end))
    header = next((box for box in inside if box.kind == b"mvhd"), None)
    if header is None:
        raise NotAClip("This clip is not one that can be read.")
    private = [box for box in found.values() if box.kind in PRIVATE]
    private += [box for box in inside if box.kind in PRIVATE]
    shown = set()
    for track in inside:
        if track.kind == b"trak":
            held = list(boxes(file, track.content, track.end))
            private += [box for box in held if box.kind in PRIVATE]
            shown |= {_handler(file, box) for box in held if box.kind == b"mdia"}
    return Movie(_seconds(file, header), shown == {b"soun"}, tuple(private))


def _handler(file: BinaryIO, media: Box) -> bytes:
    """What a track holds (`hdlr`, 8.4.3 of the standard): `vide`, `soun` or another."""
    found = (box for box in boxes(file, media.content, media.end) if box.kind == b"hdlr")
    header = next(found, None)
    if header is None:
        return b""
    file.seek(header.content + 8)
    return file.read(4)


def _seconds(file: BinaryIO, header: Box) -> float:
    file.seek(header.content)
    body = file.read(header.end - header.content)
    form = ">4xQQIQ" if body[:1] == b"\x01" else ">4xIIII"
    if len(body) < struct.calcsize(form):
        raise NotAClip("This clip is not one that can be read.")
    _, _, scale, duration = struct.unpack_from(form, body)
    if not scale:
        raise NotAClip("This clip is not one that can be read.")
    return float(duration / scale)


EBML, DOCTYPE = 0x1A45DFA3, 0x4282
SEGMENT, INFO, CLUSTER = 0x18538067, 0x1549A966, 0x1F43B675
TRACKS, TRACK, TRACK_TYPE, SOUND = 0x1654AE6B, 0xAE, 0x83, b"\2"
SCALE, DURATION = 0x2AD7B1, 0x4489
VOID, CHECKSUM = 0xEC, 0xBF
USUAL_SCALE = 1_000_000  # Nanoseconds of one tick, where none is given.
MOST_INFO = 64 * 1024
MOST_BLOCKS = 100_000
TAGS, FILES, CHAPTERS = 0x1254C367, 0x1941A469, 0x1043A770
INDEXES = {0x114D9B74, 0x1C53BB6B}
# What stands beside a cluster: the first of these ends one of unknown size.
BESIDE_CLUSTERS = {CLUSTER, INFO, TRACKS, TAGS, FILES, CHAPTERS} | INDEXES
# Title, date, programs, file names and unique ids in `Info`; the name of a track.
NAMES = {0x7BA9, 0x4461, 0x4D80, 0x5741, 0x7384, 0x3C83AB, 0x3E83BB, 0x73A4, 0x3CB923, 0x3EB923}
TRACK_NAME = 0x536E


@dataclass(frozen=True, slots=True)
class Element:
    """One EBML element: its id, where it begins, where its content begins, where it ends.

    No end: its size is not known.
    """

    ident: int
    start: int
    content: int
    end: int | None


def _number(file: BinaryIO, longest: int, *, keep_mark: bool) -> int | None:
    """A number of variable length (RFC 8794, section 4); None if every bit says 'unknown'."""
    first = file.read(1)
    length = 9 - first[0].bit_length() if first else 9
    rest = file.read(length - 1) if length <= longest else b""
    if length > longest or len(rest) < length - 1:
        raise NotAClip("This clip is cut off. Send it again.")
    value = int.from_bytes(first + rest)
    bare = value & ((1 << (7 * length)) - 1)
    if keep_mark:
        return value
    return None if bare == (1 << (7 * length)) - 1 else bare


def elements(file: BinaryIO, start: int, end: int, most: int = MOST_BOXES) -> Iterator[Element]:
    """The elements between two offsets, up to one of unknown size. Raises NotAClip."""
    at = start
    for _ in range(most):
        if at >= end:
            return
        file.seek(at)
        ident = _number(file, 4, keep_mark=True)
        size = _number(file, 8, keep_mark=False)
        content = file.tell()
        if size is not None and content + size > end:
            raise NotAClip("This clip is cut off. Send it again.")
        yield Element(ident or 0, at, content, None if size is None else content + size)
        if size is None:
            return
        at = content + size
    raise NotAClip("This clip is not one that can be read.")


def read_webm(file: BinaryIO, size: int) -> Movie:
    """Length (0 where it does not say) and private elements. Raises NotAClip as `read_mp4` does."""
    top = list(elements(file, 0, size))
    if [each.ident for each in top if each.ident != VOID] != [EBML, SEGMENT]:
        raise NotAClip("This clip is not one that can be read.")
    head, segment = (each for each in top if each.ident != VOID)
    kinds = list(elements(file, head.content, head.end or size))
    if not any(each.ident == DOCTYPE and _content(file, each) == b"webm" for each in kinds):
        raise NotAClip("This clip is not one that can be read.")
    held = list(_of_segment(file, segment.content, segment.end or size))
    if not any(each.ident == CLUSTER for each in held):
        raise NotAClip("This clip is cut off. Send it again.")
    infos = [each for each in held if each.ident == INFO]
    seconds = _webm_seconds(file, infos[0]) if infos else None
    return Movie(seconds or 0, _track_types(file, held) == {SOUND}, tuple(_private(file, held)))


def _track_types(file: BinaryIO, held: list[Element]) -> set[bytes]:
    """What the tracks hold (RFC 9559, 5.1.4.1.3): 1 is film, 2 is sound."""
    tracks = [
        track
        for each in held
        if each.ident == TRACKS
        for track in elements(file, each.content, each.end or each.content)
        if track.ident == TRACK
    ]
    return {
        _content(file, each)
        for track in tracks
        for each in elements(file, track.content, track.end or track.content)
        if each.ident == TRACK_TYPE
    }


def _of_segment(file: BinaryIO, start: int, end: int) -> Iterator[Element]:
    """What a segment holds, also behind clusters whose size is not known (RFC 8794, 6.2)."""
    at: int | None = start
    while at is not None:
        last = None
        for last in elements(file, at, end):
            yield last
        at = None
        if last is not None and last.end is None:
            if last.ident != CLUSTER:
                raise NotAClip("This clip is not one that can be read.")
            blocks = elements(file, last.content, end, MOST_BLOCKS)
            at = next((each.start for each in blocks if each.ident in BESIDE_CLUSTERS), None)


def _private(file: BinaryIO, held: list[Element]) -> Iterator[Element]:
    """Whatever is not film, and not needed to play it."""
    for each in held:
        if each.ident in {TAGS, FILES, CHAPTERS, VOID}:
            yield each
        elif each.ident == INFO:
            yield from _inside(file, each, NAMES)
        elif each.ident == TRACKS:
            yield from _inside(file, each, set())
            for track in elements(file, each.content, each.end or each.content):
                if track.ident == TRACK:
                    yield from _inside(file, track, {TRACK_NAME})


def _inside(file: BinaryIO, parent: Element, names: set[int]) -> Iterator[Element]:
    """These of a parent, and its check sum, which no longer holds without them."""
    for each in elements(file, parent.content, parent.end or parent.content):
        if each.ident in names | {CHECKSUM, VOID}:
            yield each


def _webm_seconds(file: BinaryIO, info: Element) -> float | None:
    if info.end is None:
        return None
    inside = {each.ident: _content(file, each) for each in elements(file, info.content, info.end)}
    scale = int.from_bytes(inside.get(SCALE, b"")) or USUAL_SCALE
    ticks = inside.get(DURATION, b"")
    form = {4: ">f", 8: ">d"}.get(len(ticks))
    return struct.unpack(form, ticks)[0] * scale / 1e9 if form else None


def _content(file: BinaryIO, element: Element) -> bytes:
    file.seek(element.content)
    return file.read(min(MOST_INFO, (element.end or element.content) - element.content))


def blank(file: BinaryIO, private: "tuple[Box | Element, ...]") -> None:
    """Turn what is private into free space: no place, no maker, no name is kept."""
    for each in private:
        if isinstance(each, Box):
            file.seek(each.start + 4)
            file.write(b"free")
            left = each.end - each.content
            file.seek(each.content)
        else:
            head = _void(each)
            file.seek(each.start)
            file.write(head)
            left = (each.end or each.content) - each.start - len(head)
        while left > 0:
            left -= file.write(b"\0" * min(left, 65536))


def _void(element: Element) -> bytes:
    """The head of a Void element (RFC 8794, 11.3.2) that is just as long."""
    length = (element.end or element.content) - element.start
    if length <= 128:
        return bytes((VOID, 0x80 | length - 2))
    return bytes((VOID,)) + (1 << 56 | length - 9).to_bytes(8)
