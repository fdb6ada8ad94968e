"""Real small files, made by the libraries that know the formats."""

from io import BytesIO
from pathlib import Path

from PIL import Image

FILMS = Path(__file__).parent / "films"


def picture(form: str = "JPEG", size=(64, 48), *, place: bool = False) -> bytes:
    out = BytesIO()
    image = Image.new("RGB", size, (40, 90, 80))
    if place:
        exif = Image.Exif()
        exif[0x010F] = "Somebody's phone"
        exif.get_ifd(0x8825)[1] = "N"
        image.save(out, form, exif=exif)
    else:
        image.save(out, form)
    return out.getvalue()


def movie(form: str = "mp4", seconds: float = 1, *, place: bool = False) -> bytes:
    """A film of 64 × 48 pixels, four a second, as FFmpeg 8 wrote it (libavformat 62.12).

    With its place and its maker in it, if asked.
    """
    return (FILMS / f"{seconds:g}s{'-place' * place}.{form}").read_bytes()
