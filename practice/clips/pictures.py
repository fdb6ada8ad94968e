"""Pictures drawn anew: what is kept was made here, without place, maker or hidden parts."""

from io import BytesIO
from typing import IO

from practice.clips.containers import NotAClip

LONGEST_SIDE = 1920
STILL_SIDE = 480
MOST_PIXELS = 60_000_000
QUALITY = 85


def drawn_anew(file: IO[bytes], longest: int = LONGEST_SIDE) -> bytes:
    """The picture as a fresh JPEG, turned as it was held, at most `longest` pixels a side.

    Raises NotAClip for what is no picture, too large to open, or cut off.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    bad = (
        UnidentifiedImageError,
        OSError,
        ValueError,
        SyntaxError,
        Image.DecompressionBombError,
        Image.DecompressionBombWarning,
    )
    try:
        with Image.open(file, formats=("JPEG", "PNG", "WEBP")) as picture:
            _check_size(*picture.size)
            picture.draft("RGB", (longest, longest))
            # Smaller first: a copy of all its pixels would take twice the room.
            picture.thumbnail((longest, longest))
            ImageOps.exif_transpose(picture, in_place=True)
            out = BytesIO()
            picture.convert("RGB").save(out, "JPEG", quality=QUALITY)
    except NotAClip:
        raise
    except bad:
        raise NotAClip("This picture cannot be opened. It may be cut off.") from None
    return out.getvalue()


def _check_size(width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        raise NotAClip(f"This picture has {width} × {height} pixels: too many to open.")
