"""Open a picture or a film of somebody; run by shared.site.jail, apart from all that is ours."""

import json
from io import BytesIO
from typing import IO, Any

from practice.clips.containers import NotAClip, blank, read_mp4, read_webm
from practice.clips.pictures import drawn_anew
from shared.site.jail import NotTaken


def opened(source: IO[bytes], out: IO[bytes], **asked: Any) -> None:
    """`longest`: draw a picture anew. `film`: its length, whether it is sound alone, and
    what is private in it blanked."""
    try:
        if "longest" in asked:
            out.write(drawn_anew(BytesIO(source.read()), asked["longest"]))
        else:
            out.write(json.dumps(_film(source, asked["film"])).encode())
    except NotAClip as error:
        raise NotTaken(str(error)) from None


def _film(source: Any, shape: str) -> dict[str, float | bool]:
    size = source.seek(0, 2)
    movie = read_mp4(source, size) if shape == "mp4" else read_webm(source, size)
    blank(source, movie.private)
    source.flush()
    return {"seconds": movie.seconds, "sound": movie.is_sound}
