"""The invented studio of the demo: its people, what each was asked, and how each practises.

Nobody here is real. Only behaviour is written down; every line that the coach
reads about these people comes out of the rules.
"""

from dataclasses import dataclass, field

STUDIO = "Saltmarsh Lane Golf Room"
TOWN_ZONE = "Europe/London"
COACH = "Odile Marchbank"
ASSISTANT = "Jonty Okereke-Lunn"
STRENGTH_COACH = "Sunniva Dray"
OWNER = "Basil Otway-Quint"
SQUAD = "Saturday juniors"
WEEKS_BACK = 12

LADDER = "12@40, 9@60, 6@80, 3@95"


@dataclass(frozen=True, slots=True)
class CastPart:
    """One part of the usual week: a shipped drill, its dose, sessions and minutes a session."""

    drill: str
    dose: str
    sessions: int
    minutes: float
    cue: str = ""
    # Share of reps the student calls clean, per step of the dose.
    clean: tuple[float, ...] = ()
    # Days it is fixed to, from the day the week opens.
    days: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class CastWeek:
    """One past week: credited minutes from its third day on, and whether it was finished."""

    late: float
    finished: bool


@dataclass(frozen=True, slots=True)
class CastWork:
    """Some sessions' worth of one part on one day; a part of -1 is practice nobody asked for."""

    day: int
    part: int
    share: float = 1.0
    swap: str = ""
    minutes: float | None = None
    balls: int = 0
    hard: int = 0
    what: str = ""


@dataclass(frozen=True, slots=True)
class Remark:
    """What was written with a day's entry: days back from today, words, pain."""

    days_ago: int
    note: str = ""
    pain: int = 0
    where: str = ""
    part: int = 0


@dataclass(frozen=True, slots=True)
class CastMember:
    """A student of the demo. Offsets of lesson and event are days from today."""

    name: str
    parts: tuple[CastPart, ...]
    past: tuple[CastWeek, ...]
    now: tuple[CastWork, ...]
    style: str = "spread"
    years: int | None = None
    guardian: str = ""
    left_handed: bool = False
    seated: bool = False
    zone: str = TOWN_ZONE
    lesson: int = 5
    event: tuple[int, str] | None = None
    # This week's parts where they differ from the usual ones.
    parts_now: tuple[CastPart, ...] = ()
    excused: tuple[tuple[int, int], ...] = ()
    remarks: tuple[Remark, ...] = ()
    # Part -> not done in the last so many weeks.
    skips: dict[int, int] = field(default_factory=dict)
    # Hard swings in each of the last weeks, oldest first, where range balls fill them up.
    hard_past: tuple[int, ...] = ()
    # Range balls that nobody asked for, every past week.
    range_balls: int = 0
    # An unfinished week of theirs is nearly done all the same.
    diligent: bool = False
    hour: int = 18
    goal: str = ""
    # Uses the practice screen; minutes said before its clock run so far above it.
    says: float = 0.0


def _past(text: str) -> tuple[CastWeek, ...]:
    """Oldest first: '42+ 30+ 38-' (+ finished, - not)."""
    return tuple(CastWeek(float(word[:-1]), word[-1] == "+") for word in text.split())


TAMSIN = CastMember(
    name="Tamsin Orlebar",
    says=1.1,
    goal="Break eighty on the links",
    lesson=5,
    style="last day",
    parts=(
        CastPart("effort-ladder", LADDER, 3, 15, "knuckles to the sky", (0.9, 0.8, 0.6, 0.5)),
        CastPart("quiet-hands-half-wedge", "18 balls", 2, 20, "long arms", (0.6,)),
        CastPart("putting-gate-and-ladder", "24 balls", 2, 10, "", (0.7,)),
    ),
    past=_past("62- 95+ 62- 95+ 70- 95+ 62- 95+ 66- 72- 97+ 63-"),
    now=(CastWork(0, 2),),
)

RAVINDU = CastMember(
    diligent=True,
    says=1.25,
    name="Ravindu Peshala",
    goal="Stay on the ball with every club",
    lesson=1,
    parts=(
        CastPart("sway-gate", LADDER, 4, 15, "turn in the barrel", (0.95, 0.83, 0.78, 0.64)),
        CastPart("same-swing-four-wedges", "15 balls", 2, 15, "same finish", (0.8,)),
    ),
    past=_past("40+ 44+ 30+ 42+ 42+ 30+ 40+ 44+ 38- 46+ 28+ 40+"),
    now=(CastWork(0, 0), CastWork(0, 1), CastWork(1, 0, 1.5), CastWork(1, 1, 0.1)),
)

CALLUM = CastMember(
    name="Callum Ferreby",
    years=15,
    guardian="Morag Ferreby",
    goal="A place in the county side",
    lesson=3,
    parts=(
        CastPart("speed-set", "3x4@max", 2, 20),
        CastPart("wall-back-turn", "3x8", 4, 15, "tail stays on the wall", (0.9,)),
        CastPart("quiet-hands-half-wedge", "20 balls", 2, 25, "", (0.7,)),
    ),
    past=_past("90+ 95+ 90+ 100+ 90+ 95+ 90+ 100+ 90+ 95+ 90+ 100+"),
    hard_past=(40, 48, 44, 52),
    parts_now=(
        CastPart("speed-set", "3x4@max", 2, 20, days=(3,)),
        CastPart("wall-back-turn", "3x8", 4, 15, "tail stays on the wall", (0.9,)),
        CastPart("quiet-hands-half-wedge", "20 balls", 2, 25, "", (0.7,)),
    ),
    now=(
        CastWork(0, 0, minutes=35),
        CastWork(0, 1, 1.5),
        CastWork(0, 2),
        CastWork(0, -1, what="range", minutes=40, balls=60, hard=52),
        CastWork(1, 0, minutes=35),
        CastWork(1, 1, 1.5),
        CastWork(1, 2),
        CastWork(1, -1, what="range", minutes=31, balls=60, hard=52),
    ),
    remarks=(
        Remark(2, "felt quick today", 3, "lead wrist"),
        Remark(1, "wrist a bit sore after", 3, "lead wrist"),
    ),
    hour=16,
)

WANJIRU = CastMember(
    name="Wanjiru Kalunde",
    left_handed=True,
    zone="Africa/Nairobi",
    goal="Compress the ball",
    lesson=9,
    parts=(
        CastPart("stop-and-start", "3x5, 2x5@40", 4, 15, "body goes, club waits", (0.7, 0.6)),
        CastPart("line-brush", "3x9", 2, 15, "", (0.8,)),
        CastPart("landing-spot", "18 balls", 2, 10, "", (0.6,)),
    ),
    past=_past("60+ 64+ 58+ 66- 20- 0-"),
    now=(),
    remarks=(Remark(9, "New job starts tomorrow, long days for a while."),),
)

LOTTE = CastMember(
    name="Lotte Brandvold",
    zone="America/Chicago",
    goal="Wedges that start on line",
    lesson=6,
    parts=(
        CastPart("start-line-gate", "12@50, 9@70", 4, 15, "face looks at the gate", (0.8, 0.7)),
        CastPart("putting-gate-and-ladder", "30 balls", 3, 12, "", (0.7,)),
    ),
    past=_past("34+ 40+ 38- 30+ 36+ 40+ 34- 41+ 26+ 30- 38+ 29+"),
    now=(CastWork(1, 0), CastWork(1, 1, 0.5)),
    excused=((0, 0), (2, 4)),
)

PIET = CastMember(
    diligent=True,
    name="Piet Slagveld",
    goal="More speed, the same every day",
    lesson=2,
    parts=(
        CastPart("speed-set", "3x5@max", 2, 20),
        CastPart("three-tempos", "3x9", 3, 15, "", (0.8,)),
        CastPart("landing-spot", "18 balls", 2, 15, "", (0.6,)),
    ),
    past=_past("70+ 65+ 70+ 60- 70+ 75+ 70+ 65+ 70+ 72+ 70+ 66+"),
    now=(CastWork(0, 0), CastWork(0, 1), CastWork(1, 1), CastWork(1, 2)),
)

INES = CastMember(
    name="Ines Calderao",
    zone="Atlantic/Canary",
    goal="Keep the posture at full speed",
    lesson=4,
    parts=(
        CastPart("effort-ladder", LADDER, 4, 20, "tall through the ball", (0.95, 0.9, 0.85, 0.81)),
        CastPart("speed-set", "3x5@max", 2, 20),
        CastPart("quiet-hands-half-wedge", "24 balls", 3, 20, "", (0.8,)),
        CastPart("turn-and-hip-routine", "10 min", 3, 10),
    ),
    parts_now=(
        CastPart("effort-ladder", LADDER, 4, 20, "tall through the ball", (0.95, 0.9, 0.85, 0.81)),
        CastPart("speed-set", "3x5@max", 2, 20, days=(2, 5)),
        CastPart("quiet-hands-half-wedge", "24 balls", 3, 20, "", (0.8,)),
        CastPart("turn-and-hip-routine", "10 min", 3, 10),
    ),
    past=_past("140+ 150+ 140+ 145+ 150+ 140+ 150+ 145+ 140+ 150+ 145+ 140+"),
    now=(
        CastWork(0, 0),
        CastWork(0, 2),
        CastWork(0, 3),
        CastWork(1, 0),
        CastWork(1, 1),
        CastWork(1, 3),
    ),
    hour=10,
)

GERALD = CastMember(
    name="Gerald Umpleby",
    says=1.0,
    goal="Turn without swaying, play with the grandchildren",
    lesson=6,
    parts=(
        CastPart("effort-ladder", "12@40, 9@60, 6@80", 4, 14.5, "turn the pocket", (0.7, 0.5, 0.4)),
        CastPart("landing-spot", "20 balls", 2, 14, "", (0.6,)),
        CastPart("putting-gate-and-ladder", "30 balls", 2, 17, "", (0.8,)),
    ),
    past=_past("30- 28- 30- 32- 20- 24- 18- 22- 16- 25- 20- 14-"),
    now=(CastWork(0, 1), CastWork(0, 2, 3.0), CastWork(1, 1), CastWork(1, 2, 3.12)),
    skips={0: 5},
    remarks=(
        Remark(38, "stiff after the turns", 3, "lower back"),
        Remark(40, "a bit stiff", 3, "lower back"),
    ),
    hour=11,
)

HAEWON = CastMember(
    diligent=True,
    name="Haewon Tolvane",
    left_handed=True,
    goal="Face square at waist height",
    lesson=2,
    parts=(
        CastPart("flat-lead-wrist", "12@40, 9@60", 4, 15, "hand on the wall", (0.65, 0.6)),
        CastPart("start-line-gate", "3x6@70", 2, 15, "", (0.6,)),
        CastPart("putting-gate-and-ladder", "24 balls", 2, 10, "", (0.7,)),
    ),
    past=_past("60+ 55+ 52- 58+ 60+ 52- 55+ 50- 62+ 49- 58+ 51-"),
    now=(CastWork(0, 0), CastWork(0, 1), CastWork(1, 0), CastWork(1, 2, 1.5), CastWork(1, 1, 0.13)),
)

MARLON = CastMember(
    name="Marlon Quashie-Holt",
    goal="Hit it in the air, on purpose",
    lesson=3,
    parts=(
        CastPart("feet-together", "2x10@50", 3, 12, "", (0.5,)),
        CastPart("three-tempos", "3x9", 2, 12, "", (0.6,)),
    ),
    past=_past("25- 40-"),
    now=(CastWork(0, 0), CastWork(1, 0), CastWork(1, 1, 0.5)),
)

FREYA = CastMember(
    name="Freya Lindqvale",
    years=13,
    guardian="Stellan Lindqvale",
    goal="Finish and hold it",
    lesson=3,
    style="written later",
    parts=(
        CastPart("feet-together", "2x9@50", 3, 12, "", (1.0,)),
        CastPart("wall-back-turn", "3x8", 2, 12, "", (1.0,)),
    ),
    past=_past("60+ 60+ 60+ 60+ 60+ 60+ 60+ 60+ 60+ 60+ 60+ 60+"),
    now=(),
    hour=17,
)

OSKAR = CastMember(
    name="Oskar Vennemo",
    zone="Pacific/Auckland",
    goal="Wedges close enough to hole",
    lesson=7,
    event=(2, "Estuary Open"),
    parts=(
        CastPart("same-swing-four-wedges", "16 balls", 3, 15, "hip to hip", (0.9,)),
        CastPart("in-between", "20 balls", 1, 15, "", (0.7,)),
        CastPart("random-target", "18 balls", 1, 15, "", (0.6,)),
    ),
    parts_now=(
        CastPart("same-swing-four-wedges", "12 balls", 2, 11, "hip to hip", (0.9,)),
        CastPart("random-target", "12 balls", 2, 11, "", (0.6,)),
    ),
    past=_past("50+ 46+ 50+ 52+ 48+ 50+ 50+ 46+ 52+ 48+ 24+ 55+"),
    now=(CastWork(0, 0), CastWork(1, 1)),
    hour=6,
)

PETRONEL = CastMember(
    name="Petronel Achterberg",
    seated=True,
    goal="A longer turn from the chair",
    lesson=4,
    parts=(
        CastPart("wall-back-turn", "3x8", 4, 12, "shoulder to the window", (0.7,)),
        CastPart("landing-spot", "16 balls", 2, 16, "", (0.6,)),
    ),
    past=_past("44- 30- 44- 36- 44- 30- 52- 41- 36- 47+ 28- 45+"),
    now=(
        CastWork(0, 0, swap="turn-and-hip-routine"),
        CastWork(0, 1, 0.5),
        CastWork(1, 0, swap="turn-and-hip-routine"),
        CastWork(1, 1, 0.5),
    ),
    hour=14,
)

DOUGAL = CastMember(
    name="Dougal Abernant",
    goal="Stay down through the strike",
    lesson=1,
    parts=(
        CastPart("effort-ladder", LADDER, 4, 15, "stay bent over", (0.9, 0.82, 0.46, 0.4)),
        CastPart("line-brush", "3x9", 2, 12, "", (0.7,)),
        CastPart("putting-gate-and-ladder", "24 balls", 2, 8, "", (0.7,)),
    ),
    past=_past("30- 42- 30- 38- 30- 42- 38- 74- 25- 40- 35- 28-"),
    range_balls=150,
    now=(
        CastWork(0, 1),
        CastWork(0, -1, what="range", minutes=40, balls=80, hard=20),
        CastWork(1, 1),
        CastWork(1, 2, 0.75),
        CastWork(1, -1, what="range", minutes=40, balls=75, hard=20),
    ),
)

STUDENTS = (
    TAMSIN,
    RAVINDU,
    CALLUM,
    WANJIRU,
    LOTTE,
    PIET,
    INES,
    GERALD,
    HAEWON,
    MARLON,
    FREYA,
    OSKAR,
    PETRONEL,
    DOUGAL,
)
