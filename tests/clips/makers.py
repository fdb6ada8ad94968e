"""Real small files, made by the libraries that know the formats."""

from fractions import Fraction
from io import BytesIO

import av
import numpy as np
from PIL import Image


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
    out = BytesIO()
    options = {"movflags": "use_metadata_tags"} if form == "mp4" else {}
    with av.open(out, "w", format=form, options=options) as clip:
        if place:
            clip.metadata["location"] = "+51.5000-000.1000/"
            clip.metadata["make"] = "Somebody's phone"
        stream = clip.add_stream("mpeg4" if form == "mp4" else "libvpx", rate=4)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        stream.time_base = Fraction(1, 4)
        for n in range(int(seconds * 4)):
            frame = av.VideoFrame.from_ndarray(np.full((48, 64, 3), n % 255, np.uint8))
            frame.pts = n
            for packet in stream.encode(frame):
                clip.mux(packet)
        for packet in stream.encode():
            clip.mux(packet)
    return out.getvalue()
