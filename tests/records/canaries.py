"""A person with a row in every kind of record, and a word of their own in every field of text.

Made by walking the models: a field that is new is planted without anybody thinking of it.
"""

import json
from datetime import date, time, timedelta
from decimal import Decimal
from itertools import count
from uuid import uuid4

from django.core.cache import caches
from django.core.files.base import ContentFile
from django.db import models
from django.utils import timezone

from coaching.bring.models import Batch
from coaching.forecast.models import BoardLook
from coaching.groups.models import GroupSession
from coaching.records.kinds import KINDS, OF_STUDENT, OF_USER, RecordKind
from coaching.track_record.models import WordKept
from practice.drills.models import Drill, DrillRevision
from shared.jobs.models import Retry
from shared.people.models import (
    Guardianship,
    Invitation,
    SecurityEvent,
    Student,
    Studio,
    User,
    UserSession,
)
from tests import factories

CANARY = "q{:03d}z"  # Fits into the shortest field of text.
EMAIL = "canary.person@example.org"
KIND_OF = {kind.model: kind for kind in KINDS}
# What a field must be so that the row may be kept at all.
FITTING = {
    "lessons.Finding.position": 0,
    "lessons.Lesson.state": "planned",
    "timetable.Series.minutes": 60,
    "care.Stop.cleared_at": None,
    "clips.Clip.removed_at": None,
    "people.Guardianship.consents_to_record": True,
    "people.Student.born_year": 2018,
    "people.Student.left_on": None,
    "people.Invitation.accepted_by": None,
    "reminders.ReminderRule.at": time(17),
    "strength.Lift.reps": 3,
    "strength.Lift.body_mass": 60.0,
    "records.Erasure.taken_back_at": None,
    "checked.CheckedCount.effort": 70,
    "kept.WordKept.said": "Tight",
    "kept.WordKept.studio": None,
    "kept.WordKept.was": None,
}


class Planter:
    """Makes one row of each kind; `words` are the canaries by the field that holds them."""

    def __init__(self) -> None:
        self.words: dict[str, str] = {}
        self.rows: dict[type[models.Model], models.Model] = {}
        self._numbers = count()
        self.coach = factories.make_coach(name="Coach of all")
        self.studio = factories.studio_of(self.coach)
        drill = factories.make_drill(self.studio)
        group = self.studio.groups.create(name="Juniors", made_by=self.coach)
        self.rows |= {Studio: self.studio, Drill: drill, DrillRevision: drill.current}
        self.rows |= {type(group): group}
        met = group.sessions.create(day=date(2031, 2, 26), minutes=60, by=self.coach)
        self.rows[GroupSession] = met
        self.rows[Batch] = Batch.objects.create(studio=self.studio, by=self.coach)
        self.rows[drill.cautions.model] = drill.cautions.create(when="If", stop="stop.", who="Me.")

    def plant(self) -> None:
        self.user = self.rows[User] = User.objects.create_user(
            EMAIL, name=self.word("people.User.name"), time_zone="UTC"
        )
        for kind in (*OF_USER, *OF_STUDENT):
            if kind.model is not User and kind.model not in self.rows:
                self.add(kind)
        self.loose()

    def add(self, kind: RecordKind) -> models.Model:
        model = kind.model
        if model not in self.rows:
            fields = [field for field in model._meta.concrete_fields if not field.primary_key]
            row = model(**{field.name: self.value(model, field) for field in fields})
            if model is UserSession:
                row.pk = self.word("people.UserSession.session_key")
            row.save(force_insert=True)
            self.rows[model] = row
        return self.rows[model]

    def value(self, model: type[models.Model], field: models.Field) -> object:
        name = f"{model._meta.label}.{field.name}"
        if name in FITTING:
            return FITTING[name]
        if field.is_relation:
            return self.other(model, field)
        if isinstance(field, models.EmailField) or name == "people.AccountMail.address":
            return EMAIL
        if field.choices:
            return field.flatchoices[0][0]
        return self.plain(model, field)

    def other(self, model: type[models.Model], field: models.Field) -> models.Model:
        """The row it points to: the person's own where there may be one."""
        target = field.related_model
        if target is User:
            kind = KIND_OF[model]
            mine = kind.path == field.name or field.name in {"user", "recipient"}
            return self.user if mine else self.coach
        if target not in self.rows:
            self.add(KIND_OF[target])
        return self.rows[target]

    def plain(self, model: type[models.Model], field: models.Field) -> object:
        name = f"{model._meta.label}.{field.name}"
        made = {
            models.UUIDField: uuid4,
            models.BooleanField: lambda: True,
            models.DateTimeField: timezone.now,
            models.DateField: lambda: date(2031, 2, 24) + timedelta(days=next(self._numbers)),
            models.TimeField: lambda: time(17),
            models.FloatField: lambda: 30.0,
            models.DecimalField: lambda: Decimal(2),
            models.BinaryField: lambda: self.word(name).encode(),
            models.JSONField: lambda: {"words": self.word(name)},
        }
        if KIND_OF[model] not in (*OF_USER, *OF_STUDENT):
            return self.nobodys(field)
        if isinstance(field, models.FileField):
            return ContentFile(self.word(name).encode(), name="film.mp4")
        for kind, make in made.items():
            if isinstance(field, kind):
                return make()
        if isinstance(field, models.CharField | models.TextField):
            zone = name.endswith(".time_zone")
            return "UTC" if zone else self.word(name)
        if isinstance(field, models.IntegerField):
            return 2
        raise AssertionError(f"no value for {name}")

    def nobodys(self, field: models.Field) -> object:
        """For a row of a house, about no person: a moment, a count or some words."""
        if isinstance(field, models.DateTimeField):
            return timezone.now()
        return 2 if isinstance(field, models.IntegerField) else "nobody's"

    def word(self, name: str) -> str:
        return self.words.setdefault(name, CANARY.format(next(self._numbers)))

    def loose(self) -> None:
        """What names the person by nothing that the database knows of."""
        student = self.rows[Student]
        note = {"by": self.user.pk, "whom": student.pk, "studio": self.studio.pk}
        SecurityEvent.objects.create(
            kind="signed_in", network=self.word("network"), device=self.word("device"), **note
        )
        Retry.objects.create(
            sweep="clips", row=str(student.pk), next_try_at=timezone.now(), why=self.word("why")
        )
        BoardLook.objects.create(
            user=self.coach, at=timezone.now(), places={str(student.pk): "Tight"}
        )
        caches["default"].set(f"allauth:rl:people:user:{self.user.pk}", [1.0])
        guardian = factories.make_user("Guardian zq998qz", email="zq999qz@example.org")
        Guardianship.objects.filter(student=student).update(user=guardian)
        # A guardian's invitation names no student.
        Invitation.objects.create(
            studio=self.studio, kind="guardian", email=guardian.email, name="zq997qz",
            nonce=self.word("nonce"), invited_by=self.coach, accepted_by=guardian,
            expires_at=timezone.now() + timedelta(days=7),
        )  # fmt: skip
        self.words |= {"guardian": "zq998qz", "guardian's mail": "zq999qz", "invited": "zq997qz"}
        self.ids = [str(student.pk), str(self.user.pk), str(guardian.pk)]
        WordKept.objects.filter(student=student).update(closed_at=timezone.now())


def plant() -> dict[str, object]:
    """Plant them all. Returns what to look for, and how many kinds there are."""
    planter = Planter()
    planter.plant()
    looked_for = [*planter.words.values(), EMAIL, *planter.ids]
    looked_for += [ident.replace("-", "") for ident in planter.ids]
    return {
        "words": looked_for,
        "fields": planter.words,
        "student": planter.ids[0],
        "kinds": len(planter.rows),
    }


def as_json() -> str:
    return json.dumps(plant())
