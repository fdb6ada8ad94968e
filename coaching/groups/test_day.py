"""Test day: one protocol, entered for one student or for a group, ball by ball.

What is typed becomes an entry in each student's log, credited where the week asks for the
test. Nothing is judged here: the result is written before anybody reads a verdict.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid4, uuid5

from django import forms
from django.core.exceptions import ValidationError

from practice.care.work import Held, Work
from practice.compliance.limits import limits_of_many
from practice.compliance.parts import dose_of
from practice.drills.models import Drill, DrillRevision, Measures
from practice.drills.protocol import in_order
from practice.drills.queries import test_choices
from practice.flows.coach_logging import log_beside
from practice.log.measured import CLUB_LENGTH, NAME_LENGTH
from practice.log.shot_figures import FIGURES, LENGTHS, MOST_BALLS
from practice.numbers.balls.forms import read_line
from practice.phone.shot_fields import LENGTH_WORDS, unit_of
from practice.shots.models import Sitting
from practice.shots.odd import SURE, odd_one, question
from practice.shots.queries import known_figures
from practice.weeks.models import Part, Week
from shared.kit.weeks import week_start
from shared.people.access import Recordable
from shared.people.models import Student, Studio, User

NO_TEST = {
    Held.STOPPED: "A limit stands until a coach clears it: no test.",
    Held.RESTS: "A rest from hard swings: no test.",
    Held.EVENT: "No hard swings before the event: no test.",
}
DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
SPEEDS = (Measures.BALL_SPEED, Measures.CLUB_SPEED)
LONGEST = 2000
KEPT = {"stored", "had"}


@dataclass(frozen=True, slots=True)
class TestDayRow:
    """One student on the page: a box for the figures, or why there is none."""

    student: Student
    field: forms.BoundField | None
    limit: str


def tests_of(studio: Studio) -> list[Drill]:
    """The studio's tests that measure every ball. One query."""
    return list(test_choices(studio).exclude(current__measures=""))


def wording_of(test: Drill) -> DrillRevision:
    if test.current is None:
        raise ValueError(f"{test.pk} has no wording.")
    return test.current


def limits_of(students: Sequence[Student], test: Drill) -> dict[UUID, str]:
    """Who does not take this test, and why: a stop, a rest, an event, or too young. One query."""
    wording = wording_of(test)
    work = Work(test.pk, dose_of(wording.dose), wording.area)
    found: dict[UUID, str] = {}
    for student, limits in limits_of_many(students).items():
        if held := limits.why_not(work):
            found[student] = NO_TEST[held]
        elif limits.is_too_young(wording.min_age):
            found[student] = f"From {wording.min_age} years on."
    return found


class TestDayForm(forms.Form):
    """Where and with what, and a line of figures for each student. Sent twice it counts once."""

    id = forms.UUIDField(widget=forms.HiddenInput)
    day = forms.DateField(label="Day", widget=DAY)
    device = forms.CharField(
        label="Device", max_length=NAME_LENGTH, required=False,
        help_text="Empty if it was judged by eye.",
    )  # fmt: skip
    ball = forms.CharField(label="Ball", max_length=NAME_LENGTH, required=False)
    place = forms.CharField(label="Place", max_length=NAME_LENGTH, required=False)
    roof = forms.ChoiceField(
        label="Roof",
        choices=[("", "not noted"), ("in", "indoors"), ("out", "outdoors")],
        required=False,
    )
    club = forms.CharField(label="Club", max_length=CLUB_LENGTH, required=False)
    sure = forms.BooleanField(label=SURE, required=False)
    asks = False  # Whether something typed is asked about.

    def __init__(
        self, *args: Any, test: Drill, students: Sequence[Recordable], reader: User, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs | {"label_suffix": ""})
        self.test, self.reader, self.students = test, reader, students
        self.wording = wording_of(test)
        self.limits = limits_of(students, test)
        if self.wording.measures in SPEEDS:
            choices = [(str(each.value), str(each.label)) for each in SPEEDS]
            self.fields["measure"] = forms.ChoiceField(
                label="Measured", choices=choices, initial=self.wording.measures
            )
        else:
            lengths = [("", "not said"), *((length, LENGTH_WORDS[length]) for length in LENGTHS)]
            self.fields["length"] = forms.ChoiceField(
                label="Swing", choices=lengths, required=False
            )
        for student in self._able():
            self.fields[_box(student)] = forms.CharField(
                label=student.name,
                max_length=LONGEST,
                required=False,
                widget=forms.Textarea(attrs={"rows": 1, "inputmode": "decimal"}),
            )

    @property
    def sign(self) -> str:
        return unit_of(self.wording.measures, self.reader).sign

    @property
    def targets(self) -> tuple[float, ...]:
        said = self.wording
        return in_order(said.targets, said.target_order, said.target_tries, said.target_seed)

    @property
    def target_words(self) -> str:
        """'65, 40, 90 m' in the unit of whoever reads."""
        unit = unit_of(self.wording.measures, self.reader)
        return f"{', '.join(f'{unit.from_si(each):.0f}' for each in self.targets)} {unit.sign}"

    def setting_fields(self) -> list[forms.BoundField]:
        names = ("day", "measure", "device", "ball", "place", "roof", "club", "length")
        return [self[name] for name in names if name in self.fields]

    def rows(self) -> list[TestDayRow]:
        return [
            TestDayRow(
                student,
                self[_box(student)] if student.pk not in self.limits else None,
                self.limits.get(student.pk, ""),
            )
            for student in self.students
        ]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        self.balls: dict[UUID, list[dict[str, Any]]] = {}
        for student in self._able():
            try:
                balls = self._read(said.get(_box(student)) or "")
            except ValidationError as error:
                self.add_error(_box(student), error)
                continue
            if balls:
                self.balls[student.pk] = balls
        if not self.balls and not self.errors:
            raise ValidationError("Write the figures of at least one student.")
        if not said.get("sure"):
            self._ask_about_speeds()
        return said

    def _ask_about_speeds(self) -> None:
        """A speed far from all that this student has swung is asked about before it is kept."""
        measure = str(self.cleaned_data.get("measure") or "")
        if not measure:
            return
        club = self.cleaned_data.get("club") or ""
        swing = {"club__name": club} if club else {}
        known = known_figures(self.tested(), measure, **swing)
        unit = unit_of(measure, self.reader)
        for student in self.tested():
            figures = [ball[measure] for ball in self.balls[student.pk]]
            odd = odd_one(figures, known.get(student.pk, []))
            if odd is not None:
                self.asks = True
                figure, usual = map(unit.from_si, odd)
                self.add_error(_box(student), question(round(figure, 1), usual, unit.sign))

    def tested(self) -> list[Recordable]:
        """Those with figures. Only of a valid form."""
        return [student for student in self.students if student.pk in self.balls]

    def _able(self) -> Iterable[Student]:
        return (student for student in self.students if student.pk not in self.limits)

    def _read(self, text: str) -> list[dict[str, Any]]:
        measure = str(self.cleaned_data.get("measure") or self.wording.measures)
        unit, limit = unit_of(measure, self.reader), FIGURES[measure]
        figures = read_line(text)
        if len(figures) > MOST_BALLS:
            raise ValidationError(f"At most {MOST_BALLS} balls at a time.")
        balls: list[dict[str, Any]] = []
        for number, figure in enumerate(figures):
            value = unit.to_si(figure)
            if not limit.low <= value <= limit.high:
                least, most = unit.from_si(limit.low), unit.from_si(limit.high)
                raise ValidationError(
                    f"{figure:g} cannot be: from {least:.3g} to {most:.3g} {unit.sign}."
                )
            balls.append({measure: round(value, 4)} | self._swing(number))
        return balls

    def _swing(self, number: int) -> dict[str, Any]:
        said = {name: self.cleaned_data.get(name) or "" for name in ("club", "length")}
        swing: dict[str, Any] = {name: words for name, words in said.items() if words}
        targets = self.targets
        if targets:
            swing["target"] = targets[number % len(targets)]
        return swing


def _box(student: Student) -> str:
    return f"balls-{student.pk}"


def first_values(by: User, test: Drill, today: date) -> dict[str, Any]:
    """Today, and where and with what this user entered it the last time. Two queries."""
    values: dict[str, Any] = {"id": uuid4(), "day": today}
    last = Sitting.objects.filter(written_by=by, drill=test).order_by("-day", "-at").first()
    if last is not None:
        roof = {True: "in", False: "out", None: ""}[last.indoors]
        values |= {"device": last.device, "ball": last.ball, "place": last.place, "roof": roof}
        shot = last.shots.select_related("club").first()
        values["club"] = shot.club.name if shot and shot.club else ""
        if shot and wording_of(test).measures in SPEEDS:
            values["measure"] = SPEEDS[shot.ball_speed is None]
    return values


def keep(form: TestDayForm, *, by: User, at: datetime) -> tuple[list[Recordable], list[str]]:
    """Log the test for each; those kept, and a sentence for each who could not be.

    Each student stands alone. Only of a valid form.
    """
    day = form.cleaned_data["day"]
    parts = _parts_asked(form.tested(), form.test, day)
    kept, problems = [], []
    for student in form.tested():
        receipt = log_beside(
            student=student,
            by=by,
            entry=uuid5(form.cleaned_data["id"], str(student.pk)),
            day=day,
            at=at,
            blocks=[_block(form, parts.get(student.pk), form.balls[student.pk])],
        )
        if receipt.verdict in KEPT:
            kept.append(student)
        else:
            problems.append(f"{student.name}: {receipt.sentence}")
    return kept, problems


def _parts_asked(students: Sequence[Student], test: Drill, day: date) -> dict[UUID, UUID]:
    """The part of each student's sent week that asks for this test. One query."""
    opens = {s.pk: week_start(day, s.studio.first_weekday) for s in students}
    parts = Part.objects.filter(
        drill=test,
        removed_at=None,
        week__student__in=opens,
        week__opens__in=set(opens.values()),
        week__state=Week.State.SENT,
    ).values_list("week__student", "week__opens", "pk")
    return {student: pk for student, day_opens, pk in parts if opens[student] == day_opens}


def _block(form: TestDayForm, part: UUID | None, balls: list[dict[str, Any]]) -> dict[str, Any]:
    said = form.cleaned_data
    setting = {name: said[name] for name in ("device", "ball", "place")}
    roof = {"in": True, "out": False}.get(said["roof"])
    return {
        "p": str(part) if part else None,
        "d": str(form.test.pk),
        "w": "",
        "s": [],
        "min": None,
        "shots": setting | {"indoors": roof, "balls": balls},
    }


def entered_lately(by: User, students: Sequence[Student], test: Drill) -> list[Sitting]:
    """Sittings of this test that this user entered for them, newest first. One query."""
    found = Sitting.objects.filter(
        written_by=by, student__in=students, drill=test, counts=True, entry__writer=by
    )
    return list(found.select_related("student").order_by("-at", "student__name")[:60])
