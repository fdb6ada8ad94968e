"""Pictures that the demo's people sent, kept by the command of the page: drawn, of nobody."""

import uuid
from dataclasses import dataclass
from io import BytesIO

from django.core.files.uploadedfile import SimpleUploadedFile

from practice.clips import services
from practice.drills.models import Drill
from shared.people.access import Recordable

SIZE = (852, 640)
PAPER, INK, CLUB = (238, 234, 224), (38, 64, 56), (140, 60, 40)
HEAD = 26  # Pixels, the radius.
Point = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Pose:
    """A figure by its joints, in pixels of the picture."""

    head: Point
    neck: Point
    hips: Point
    knees: tuple[Point, Point]
    feet: tuple[Point, Point]
    hands: Point
    club: Point


@dataclass(frozen=True, slots=True)
class DemoPicture:
    """`by_coach`: drawn in the lesson as the one to copy; else the student's own."""

    drill: str
    words: str
    pose: Pose
    by_coach: bool


TOP = Pose(
    (448, 196), (438, 240), (408, 372), ((382, 468), (448, 470)), ((370, 570), (466, 570)),
    (516, 200), (392, 132),
)  # fmt: skip
WAIST = Pose(
    (430, 200), (426, 244), (418, 374), ((388, 470), (454, 470)), ((374, 570), (470, 570)),
    (512, 356), (610, 342),
)  # fmt: skip
PICTURES = {
    "Tamsin Orlebar": (
        DemoPicture("effort-ladder", "Flat at the top: this one to copy", TOP, by_coach=True),
        DemoPicture("effort-ladder", "Mine on Sunday. Is it flat?", WAIST, by_coach=False),
    ),
    "Haewon Tolvane": (
        DemoPicture("flat-lead-wrist", "Stop here and look at the face", WAIST, by_coach=True),
    ),
}


def load_clips(student: Recordable, shelf: dict[str, Drill]) -> None:
    """Keeps the files; so outside of the transaction that makes the student."""
    for picture in PICTURES.get(student.name, ()):
        author = student.lead_coach if picture.by_coach else student.user
        if author is None:
            raise RuntimeError(f"{student.name} has no sign-in.")
        clip = services.keep_clip(
            student=student,
            author=author,
            upload=SimpleUploadedFile("picture.png", drawn(picture.pose)),
            ident=uuid.uuid4(),
            drill=shelf[picture.drill],
            words=picture.words,
        )
        if picture.by_coach:
            services.choose_model(clip=clip, is_model=True)


def drawn(pose: Pose) -> bytes:
    """A figure of lines before a wall, as a PNG. Pillow loads with the first."""
    from PIL import Image, ImageDraw

    image = Image.new("RGB", SIZE, PAPER)
    pen = ImageDraw.Draw(image)
    pen.line([(0, 572), (SIZE[0], 572)], fill=INK, width=3)
    pen.line([(306, 30), (306, 572)], fill=INK, width=2)
    x, y = pose.head
    pen.ellipse([(x - HEAD, y - HEAD), (x + HEAD, y + HEAD)], outline=INK, width=7)
    pen.line([pose.neck, pose.hips], fill=INK, width=9, joint="curve")
    for knee, foot in zip(pose.knees, pose.feet, strict=True):
        pen.line([pose.hips, knee, foot], fill=INK, width=8, joint="curve")
    pen.line([pose.neck, pose.hands], fill=INK, width=7)
    pen.line([pose.hands, pose.club], fill=CLUB, width=5)
    out = BytesIO()
    image.save(out, "PNG")
    return out.getvalue()
