"""The numbers as JSON: the same answers as the pages give, in SI units."""

from importlib import import_module
from typing import Any, ClassVar
from uuid import UUID

from django.http import Http404
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers, status
from rest_framework.exceptions import APIException, ParseError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from practice.log.models import LogKey
from practice.numbers.balls.shots_list import bag, shot_page
from practice.numbers.kit import asked
from practice.numbers.kit.as_json import plain, schema_of
from practice.numbers.ladder.queries import read_ladders
from practice.numbers.ladder.table import ladders
from practice.numbers.load.queries import read_load
from practice.numbers.load.weeks import load_answer
from practice.numbers.moved.answer import Moved, moved_parts
from practice.numbers.moved.queries import read_moved
from practice.numbers.speed.book import speed_book
from practice.numbers.speed.queries import read_speeds
from practice.numbers.strength.sets import Strength, sets_of
from practice.numbers.wedges.card import WITHIN, wedge_card, what_to_hit
from practice.numbers.wedges.queries import read_wedges
from practice.phone.api import FaultSerializer
from practice.phone.sign_in import LogKeyAuthentication, OwnPagesAuthentication, SignedIn, signed_in
from practice.shots import limits, services
from practice.shots.models import Club, Shot, Sitting
from practice.strength.models import has_agreed
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import Student
from shared.people.today import today_of

FAULTS = {401: FaultSerializer, 404: FaultSerializer}


class NumbersSchema(AutoSchema):
    """Says the answer of a view by the dataclass it names."""

    def get_response_serializers(self) -> Any:
        name = getattr(self.view, "answer", "")
        if self.method != "GET" or not name:
            return super().get_response_serializers()
        module, _, kind = name.rpartition(".")
        faults = FAULTS | ({400: FaultSerializer} if self.get_override_parameters() else {})
        return {200: schema_of(getattr(import_module(module), kind)), **faults}

    def get_override_parameters(self) -> list[Any]:
        return list(getattr(self.view, "asks", ())) if self.method == "GET" else []


class NumbersView(APIView):
    """One student's numbers, for whoever may see them on the pages; a log key sees its own."""

    authentication_classes = [LogKeyAuthentication, OwnPagesAuthentication]
    permission_classes = [SignedIn]
    schema = NumbersSchema()
    answer: ClassVar[str] = ""
    asks: ClassVar[tuple[OpenApiParameter, ...]] = ()

    def finalize_response(
        self, request: Request, response: Response, *args: Any, **kwargs: Any
    ) -> Response:
        response = super().finalize_response(request, response, *args, **kwargs)
        response["Cache-Control"] = "no-store"
        return response

    def student(self, request: Request, student_id: UUID) -> Student:
        if isinstance(request.auth, LogKey) and request.auth.student_id != student_id:
            raise Http404
        return access.student_read_or_404(signed_in(request), student_id)


def _number(request: Request, name: str, low: float, high: float) -> float | None:
    """A number of the address, or None. Raises ParseError with a sentence."""
    found = asked.number(request.query_params, name, low, high)
    if found.fault:
        raise ParseError(f"{name}: {found.fault}")
    return found.value


class SpeedView(NumbersView):
    answer = "practice.numbers.speed.book.SpeedBook"

    def get(self, request: Request, student_id: UUID) -> Response:
        """The speed book: level, change, steadiness and trend of each line, in m/s."""
        student = self.student(request, student_id)
        return Response(plain(speed_book(read_speeds(student, today_of(student)))))


class WedgesView(NumbersView):
    answer = "practice.numbers.wedges.card.WedgeCard"
    asks = (
        OpenApiParameter("series", int, description="Place of the series; 0 has most balls."),
        OpenApiParameter("within", float, description="Metres to which a carry should be known."),
    )

    def get(self, request: Request, student_id: UUID) -> Response:
        """The wedge card: carries, holes, odd entries and missed distances, in metres."""
        student = self.student(request, student_id)
        facts = read_wedges(student, asked.place(request.query_params, "series"))
        within = _number(request, "within", 0.5, 20) or WITHIN
        return Response(plain(wedge_card(facts, today_of(student), within)))


class LookupView(NumbersView):
    answer = "practice.numbers.wedges.card.Lookup"
    asks = (
        OpenApiParameter("metres", float, required=True, description="The distance, 1 to 200."),
        OpenApiParameter("series", int, description="Place of the series; 0 has most balls."),
    )

    def get(self, request: Request, student_id: UUID) -> Response:
        """What to hit from a distance: the swings with the smallest expected miss, best first."""
        student = self.student(request, student_id)
        metres = _number(request, "metres", 1, 200)
        if metres is None:
            raise ParseError("Say the distance: ?metres=65")
        facts = read_wedges(student, asked.place(request.query_params, "series"))
        return Response(plain(what_to_hit(facts, wedge_card(facts, today_of(student)), metres)))


class LadderView(NumbersView):
    answer = "practice.numbers.ladder.table.Ladders"

    def get(self, request: Request, student_id: UUID) -> Response:
        """Clean reps by drill and felt effort over 21 days, and whether the move holds."""
        student = self.student(request, student_id)
        today = today_of(student)
        found = ladders(read_ladders(student, today), today)
        answer = plain(found)
        if isinstance(request.auth, LogKey) or not _teaches(request, student):
            # How far the student's own count runs high is the coach's to say.
            for drill in answer["drills"]:
                drill["gap"] = None
        return Response(answer)


class MovedView(NumbersView):
    answer = "practice.numbers.moved.answer.Moved"

    def get(self, request: Request, student_id: UUID) -> Response:
        """What was done and what moved, part by part, for those who teach the student."""
        student = self.student(request, student_id)
        if isinstance(request.auth, LogKey) or not _teaches(request, student):
            raise Http404
        facts = read_moved(student, today_of(student))
        return Response(plain(Moved(moved_parts(facts, is_minor=student.is_minor))))


class StrengthView(NumbersView):
    answer = "practice.numbers.strength.sets.Strength"

    def get(self, request: Request, student_id: UUID) -> Response:
        """Lifts of an adult who agreed, in kilograms: for the adult and those the consent names."""
        if isinstance(request.auth, LogKey):
            raise Http404
        user = signed_in(request)
        student = access.adult_places(user).filter(pk=student_id).first()
        student = student or access.strength_read_or_404(user, student_id)
        if not has_agreed(student):
            raise Http404
        return Response(plain(Strength(sets_of(student))))


def _teaches(request: Request, student: Student) -> bool:
    return access.students_taught_by(signed_in(request)).filter(pk=student.pk).exists()


class LoadView(NumbersView):
    answer = "practice.numbers.load.weeks.LoadAnswer"

    def get(self, request: Request, student_id: UUID) -> Response:
        """Load week by week, as a description and never as a forecast."""
        student = self.student(request, student_id)
        return Response(plain(load_answer(read_load(student, today_of(student)))))


class ClubsView(NumbersView):
    answer = "practice.numbers.balls.shots_list.Bag"

    def get(self, request: Request, student_id: UUID) -> Response:
        """The student's clubs."""
        return Response(plain(bag(self.student(request, student_id))))


def _figure(name: str, kind: Any = serializers.FloatField) -> Any:
    _, low, high = limits.LIMITS[name]
    return kind(required=False, allow_null=True, min_value=low, max_value=high)


class ShotSerializer(serializers.Serializer):
    """One ball, SI. `side` is positive to the right."""

    club = serializers.UUIDField(required=False, allow_null=True)
    length = serializers.ChoiceField(Shot.Length.choices, required=False, allow_blank=True)
    target = _figure("target")
    effort = _figure("effort", serializers.IntegerField)
    carry = _figure("carry")
    total = _figure("total")
    side = _figure("side")
    ball_speed = _figure("ball_speed")
    club_speed = _figure("club_speed")
    launch = _figure("launch")
    spin = _figure("spin")
    is_clean = serializers.BooleanField(required=False, allow_null=True)


def _words(most: int) -> Any:
    return serializers.CharField(required=False, allow_blank=True, max_length=most)


class SittingSerializer(serializers.Serializer):
    """Shots made one after another. The sender makes the id; sending it again adds nothing."""

    id = serializers.UUIDField()
    day = serializers.DateField()
    device = _words(60)
    ball = _words(60)
    place = _words(60)
    indoors = serializers.BooleanField(required=False, allow_null=True)
    evidence = serializers.ChoiceField(Sitting.Evidence.choices, required=False)
    note = _words(300)
    shots = serializers.ListField(
        child=ShotSerializer(), min_length=1, max_length=services.MOST_BALLS
    )


class KeptSerializer(serializers.Serializer):
    id = serializers.UUIDField()
    shots = serializers.IntegerField()


class CannotKeep(APIException):
    status_code = status.HTTP_422_UNPROCESSABLE_ENTITY
    default_code = "refused"


class ShotsView(NumbersView):
    answer = "practice.numbers.balls.shots_list.ShotPage"
    asks = (OpenApiParameter("page", int, description="From 0; 200 shots a page."),)

    def get(self, request: Request, student_id: UUID) -> Response:
        """The student's shots, newest first."""
        page = asked.place(request.query_params, "page") or 0
        return Response(plain(shot_page(self.student(request, student_id), page)))

    @extend_schema(
        request=SittingSerializer,
        responses={
            201: KeptSerializer,
            200: KeptSerializer,
            400: FaultSerializer,
            403: FaultSerializer,
            422: FaultSerializer,
            **FAULTS,
        },
    )
    def post(self, request: Request, student_id: UUID) -> Response:
        """Keep a sitting of shots, whole or not at all."""
        student = access.recordable_or_none(self.student(request, student_id))
        if student is None:
            raise Http404
        body = SittingSerializer(data=request.data)
        body.is_valid(raise_exception=True)
        told = _told(student, body.validated_data)
        is_new = not Sitting.objects.filter(pk=told.id).exists()
        try:
            kept = services.add_balls(student=student, by=signed_in(request), told=told)
        except Refused as refusal:
            field = f"{refusal.field}: " if refusal.field else ""
            raise CannotKeep(field + refusal.sentence) from refusal
        answer = {"id": str(kept.pk), "shots": kept.shots.count()}
        return Response(answer, status=201 if is_new else 200)


def _told(student: Student, said: dict[str, Any]) -> services.ShotSessionInput:
    names = {shot["club"] for shot in said["shots"] if shot.get("club")}
    clubs = {club.pk: club for club in Club.objects.filter(student=student, pk__in=names)}
    if strange := names - set(clubs):
        raise CannotKeep(f"This student has no club {min(strange)}.")
    setting = {
        name: said[name]
        for name in ("device", "ball", "place", "indoors", "evidence")
        if name in said
    }
    return services.ShotSessionInput(
        id=said["id"],
        day=said["day"],
        balls=[
            services.ShotInput(**shot | {"club": clubs.get(shot.get("club"))})
            for shot in said["shots"]
        ],
        setting=services.Setting(**setting),
        note=said.get("note", ""),
    )
