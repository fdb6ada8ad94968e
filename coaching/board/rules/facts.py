"""What is known about one student's week when the board is read. Plain figures, no verdicts."""

from dataclasses import dataclass
from datetime import date, timedelta

from coaching.board.rules.drill import DrillCheck
from coaching.board.rules.no_word import NoWordSpell
from coaching.board.rules.trend import NO_DRIFT, NO_TREND, CreditTrend, Drift
from coaching.forecast.deciding import Decided
from coaching.forecast.outlook import Outlook
from coaching.forecast.thresholds import DEFAULTS, Thresholds
from practice.numbers.now.values import NO_NUMBERS, Numbers, SpeedNow


@dataclass(frozen=True, slots=True)
class PartFacts:
    """One part of the present week. `credit` is None for a part that dropped out."""

    name: str
    priority: int
    credit: float | None
    sessions_asked: float
    sessions_done: float
    session_minutes: float
    minutes_left: float
    minutes_done: float
    by_total: bool = False
    stopped: bool = False
    # Sessions credited on each of the seven days.
    by_day: tuple[float, ...] = ()

    @property
    def sessions_left(self) -> float:
        return max(0.0, self.sessions_asked - self.sessions_done)


@dataclass(frozen=True, slots=True)
class PainFacts:
    """Pain as it was told; `part` is the drill it was told with, if any."""

    day: date
    level: int
    where: str = ""
    signs: tuple[str, ...] = ()
    part: str = ""
    serious: bool = False


@dataclass(frozen=True, slots=True)
class OpenStop:
    """A stop not yet cleared; without a part it stops all hard work."""

    since: date
    part: str = ""


@dataclass(frozen=True, slots=True)
class LoadBeside:
    """Hard swings of this week beside the mean of the four before it."""

    now: int = 0
    usual: float | None = None
    jump: bool = False
    # The ceiling of the first weeks, where there is no base yet, once it is passed.
    ceiling_passed: int | None = None
    # Whatever the studio's own lines are: with pain the limits say rest.
    is_much: bool = False


@dataclass(frozen=True, slots=True)
class CrammingFacts:
    """In how many of the last lessons most minutes fell on the two days before."""

    times: int = 0
    lessons: int = 0
    last_share: float = 0
    # No lesson is written down, so one a week was taken for granted.
    weekly_assumed: bool = False

    @property
    def is_habit(self) -> bool:
        return self.times >= 2


@dataclass(frozen=True, slots=True)
class Favourite:
    """A part with far more than its share of the minutes, two weeks running."""

    part: str
    share: float
    first_part: str
    first_minutes: float


@dataclass(frozen=True, slots=True)
class PlanSizeFacts:
    """This week's plan beside usual minutes, and two weeks of less than half credited."""

    asked: float = 0
    usual: float | None = None
    half_twice: bool = False
    too_big: bool = False


@dataclass(frozen=True, slots=True)
class Counts:
    """How many of the counts given in the last weeks were exactly as asked."""

    as_asked: int = 0
    given: int = 0
    question: bool = False
    # Taps of 'Done as asked' on the day itself, set aside: this student's counts were
    # checked or measured lately.
    tapped: int = 0


@dataclass(frozen=True, slots=True)
class EventFacts:
    name: str
    day: date


@dataclass(frozen=True, slots=True)
class Facts:
    today: date
    opens: date
    silence: NoWordSpell
    outlook: Outlook
    has_week: bool = True
    # The next week is sent already.
    is_sent_ahead: bool = False
    excused: bool = False
    excused_since: date | None = None
    excused_until: date | None = None
    finished: bool = False
    done_on: date | None = None
    asked: float = 0
    credited: float = 0
    # Minutes of practice that nobody asked for.
    unasked: float = 0
    parts: tuple[PartFacts, ...] = ()
    outlook_since: date | None = None
    # Minutes today that would make it In step; None if no number of them would.
    to_step: float | None = None
    # What count and chance say of the week, and which of them decides.
    decided: Decided | None = None
    write_up_weekday: int | None = None
    stops: tuple[OpenStop, ...] = ()
    pains: tuple[PainFacts, ...] = ()
    # The day of the oldest question that waits for an answer.
    asks_since: date | None = None
    # The last two days on which part 1 was done, newest first.
    first_part_days: tuple[date, ...] = ()
    first_part_skipped: bool = False
    load: LoadBeside = LoadBeside()
    cramming: CrammingFacts = CrammingFacts()
    favourite: Favourite | None = None
    size: PlanSizeFacts = PlanSizeFacts()
    counts: Counts = Counts()
    event: EventFacts | None = None
    minor: bool = False
    past_plan: bool = False
    drill: DrillCheck | None = None
    trend: CreditTrend = NO_TREND
    drift: Drift = NO_DRIFT
    # What the newest tests say; nothing of the speed of somebody who grows.
    numbers: Numbers = NO_NUMBERS
    # Speed that is down and held, also of somebody who grows: never a reason for anything
    # alone, told beside pain while hard swings jump.
    speed_down: SpeedNow | None = None
    borders: Thresholds = DEFAULTS

    @property
    def next_opens(self) -> date:
        return self.opens + timedelta(weeks=1)

    @property
    def left(self) -> float:
        return self.outlook.left
