"""The phone's endpoints: a key, the week, and what was logged."""

import json
from typing import Any
from uuid import UUID

from django.db import DatabaseError, InterfaceError
from django.http import HttpRequest, HttpResponse
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers, status
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import NotFound, ParseError, PermissionDenied
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from practice.clips.services import mark_played
from practice.flows.take_entry import MOST_ENTRIES, Receipt, Sender, receive, receive_one
from practice.log.fields import instant_or_none
from practice.log.models import LogKey
from practice.log.services import mark_read
from practice.phone import keys, push, schema
from practice.phone.bundle import MOST_LINES, bundle, link_bundle
from practice.phone.queries import entry_of, is_taken_back, logged_by, the_student
from practice.phone.sign_in import LogKeyAuthentication, OwnPagesAuthentication, SignedIn, signed_in
from practice.phone.week_answer import fill, tag_of, week_answer
from shared.kit.refused import Refused
from shared.outbox.push_sender import LONGEST_ENDPOINT
from shared.people import access, known_devices, ready
from shared.people.events import tell_looked_at
from shared.people.middleware import nothing_kept
from shared.people.models import Student
from shared.site.api_limit import PerSender
from shared.site.middleware import answer_to_trouble

ANYTHING, JSON = "*/*", "application/json"
STUDENT = OpenApiParameter("student", UUID, description="With a sign-in for several students.")


class NameSerializer(serializers.Serializer):
    id = serializers.UUIDField()
    name = serializers.CharField()


class KeyRequestSerializer(serializers.Serializer):
    student = serializers.UUIDField(required=False)
    # With several students none is chosen: they are named, and no key is made.
    only = serializers.BooleanField(required=False)
    device = serializers.CharField(required=False, allow_blank=True, max_length=80)


class KeySerializer(serializers.Serializer):
    key = serializers.CharField()
    student = NameSerializer()
    expires = serializers.DateTimeField()


class StudentsSerializer(serializers.Serializer):
    students = NameSerializer(many=True)
    writer = NameSerializer()


class SyncRequestSerializer(serializers.Serializer):
    """Each entry is read by practice.log.document, not here: one bad one must not fail all."""

    sent = serializers.CharField(help_text="The phone's clock, with its UTC offset.")
    e = serializers.ListField(child=serializers.DictField(), max_length=MOST_ENTRIES)


class SyncSerializer(serializers.Serializer):
    ok = serializers.BooleanField()
    me = serializers.UUIDField()
    r = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))


class FaultSerializer(serializers.Serializer):
    code = serializers.CharField()
    detail = serializers.CharField()


def _faults(*statuses: int) -> dict[int, Any]:
    return dict.fromkeys(statuses, FaultSerializer)


class PhoneView(APIView):
    """Answers in JSON only, is never kept by a cache and never redirects."""

    authentication_classes = [LogKeyAuthentication, OwnPagesAuthentication]
    permission_classes = [SignedIn]

    def finalize_response(
        self, request: Request, response: Any, *args: Any, **kwargs: Any
    ) -> Response:
        done: Response = super().finalize_response(request, response, *args, **kwargs)
        done["Cache-Control"] = "no-store"
        return done

    def sender(self, request: Request) -> Sender:
        """The key's student, or the one a signed-in user means."""
        if isinstance(request.auth, LogKey):
            if request.auth.opened_for is None:
                raise access.NotRecordable
            return Sender(request.auth.opened_for, request.auth.user, request.auth)
        user = signed_in(request)
        return Sender(the_student(user, request.query_params.get("student")), user)


class KeyView(PhoneView):
    """Keys are made with a sign-in; a key cannot make another. It can end itself."""

    def get_authenticators(self) -> list[BaseAuthentication]:
        if getattr(self.request, "method", "") == "DELETE":  # None while the schema is made.
            return [LogKeyAuthentication()]
        return [OwnPagesAuthentication()]

    @extend_schema(responses={200: StudentsSerializer, 401: FaultSerializer})
    def get(self, request: Request) -> Response:
        """The students that the signed-in user may log for."""
        students = [_named(student) for student in logged_by(signed_in(request))]
        writer = {"id": str(request.user.pk), "name": str(request.user)}
        return Response({"students": students, "writer": writer})

    @extend_schema(
        request=KeyRequestSerializer,
        responses={201: KeySerializer, **_faults(400, 401, 403, 404)},
    )
    def post(self, request: Request) -> HttpResponse:
        """A key for this device and one student. It is shown this once.

        With `only`: for whoever logs for one student alone, and their week with it, so that a
        first visit is one question; others are told whom they log for.
        """
        body = KeyRequestSerializer(data=_object(request.data))
        body.is_valid(raise_exception=True)
        wanted = body.validated_data.get("student")
        told: dict[str, Any] = {}
        if body.validated_data.get("only"):
            listed = self.get(request)
            if len(listed.data["students"]) != 1:
                return listed
            wanted, told = listed.data["students"][0]["id"], listed.data
        student = the_student(signed_in(request), wanted)
        device = body.validated_data.get("device") or request.headers.get("User-Agent", "")
        response = HttpResponse(status=status.HTTP_201_CREATED, content_type="application/json")
        browser = known_devices.remember(request, response).id
        secret, key = keys.make_key(
            user=signed_in(request), student=student, device=device, browser=browser
        )
        ready.note_phone(request)
        made = {"key": secret, "student": _named(student), "expires": key.expires_at.isoformat()}
        if told:
            week = bundle(student, signed_in(request))
            told |= {"week": week | {"tag": f"W/{tag_of(week)}"}}
        return fill(request, response, made | told)

    @extend_schema(responses={204: None, 401: FaultSerializer})
    def delete(self, request: Request) -> Response:
        """End the key that asks: this phone is to forget its student."""
        keys.end(LogKey.objects.filter(pk=request.auth.pk))
        return Response(status=status.HTTP_204_NO_CONTENT)


class ApiWeekView(PhoneView):
    @extend_schema(
        parameters=[STUDENT], responses={200: dict[str, Any], 304: None, **_faults(401, 404)}
    )
    def get(self, request: Request) -> HttpResponse:
        """This week and the weeks beside it, and the ids that have arrived.

        By the key of a reminder's link: this week only, without notes, messages and pain.
        Nothing but 304 if all of it but the time is as `If-None-Match` has it.
        """
        sender = self.sender(request)
        whole = sender.key is None or sender.key.is_lasting
        make = bundle if whole else link_bundle
        return week_answer(request, make(sender.student, signed_in(request)))


class SyncView(PhoneView):
    @extend_schema(
        parameters=[STUDENT],
        request=SyncRequestSerializer,
        responses={200: SyncSerializer, **_faults(400, 401, 403, 404)},
    )
    def post(self, request: Request) -> HttpResponse:
        """Up to 50 entries, each with its own receipt."""
        body = _object(request.data)
        entries = body.get("e")
        if not isinstance(entries, list):
            raise ParseError("Send the entries as a list under “e”.")
        if len(entries) > MOST_ENTRIES:
            raise ParseError(f"Send at most {MOST_ENTRIES} entries at a time.")
        return _take(body, entries, self.sender(request))


def _take(body: dict[str, Any], entries: list[Any], sender: Sender) -> HttpResponse:
    receipts = receive(entries, sender=sender, sent=instant_or_none(body.get("sent")))
    if sender.key:
        keys.touch(sender.key)
    answers = {name: [it.verdict, it.reason] for name, it in receipts.items()}
    words = {name: it.sentence for name, it in receipts.items() if it.sentence}
    told = {"ok": True, "me": str(sender.student.pk), "r": answers, "why": words}
    return HttpResponse(json.dumps(told), content_type="application/json")


def sync_by_key(request: HttpRequest, key: LogKey) -> HttpResponse | None:
    """What `SyncView` answers to a log as phones send it, without the library's way around it.

    None where anything is otherwise: the view reads it anew, and says what is wrong.
    """
    plain = request.method == "POST" and request.META.get("CONTENT_TYPE") == JSON
    if not plain or request.META.get("HTTP_ACCEPT", ANYTHING) != ANYTHING:
        return None
    try:
        body = json.loads(request.body.decode(), parse_constant=_no_number)
    except (ValueError, RecursionError):
        return None
    entries = body.get("e") if isinstance(body, dict) else None
    if not isinstance(entries, list) or len(entries) > MOST_ENTRIES or key.opened_for is None:
        return None
    if not PerSender().allows(key):
        return None
    try:
        response = _take(body, entries, Sender(key.opened_for, key.user, key))
    except (DatabaseError, InterfaceError) as error:
        trouble = answer_to_trouble(request, error)
        if trouble is None:
            raise
        response = trouble
    except access.NotRecordable:
        return nothing_kept(request)
    response["Cache-Control"] = "no-store"
    return response


def _no_number(name: str) -> None:
    raise ValueError(f"{name} is no JSON.")


class ReadSerializer(serializers.Serializer):
    lines = serializers.ListField(child=serializers.UUIDField(), max_length=MOST_LINES)
    clips = serializers.ListField(
        child=serializers.UUIDField(), max_length=MOST_LINES, required=False
    )


class ReadView(PhoneView):
    @extend_schema(
        parameters=[STUDENT],
        request=ReadSerializer,
        responses={204: None, **_faults(400, 401, 403, 404)},
    )
    def post(self, request: Request) -> Response:
        """What was read or played on the phone. A link shows no words, and counts no look."""
        if isinstance(request.auth, LogKey) and not request.auth.is_lasting:
            raise PermissionDenied("A link shows no words. Sign in to read them.")
        sender = self.sender(request)
        body = ReadSerializer(data=_object(request.data))
        body.is_valid(raise_exception=True)
        mark_read(student=sender.student, by=sender.writer, only=body.validated_data["lines"])
        if played := body.validated_data.get("clips"):
            mark_played(student=sender.student, clips=played, by=sender.writer)
        if sender.writer is not None:
            tell_looked_at(sender.writer, sender.student)
        return Response(status=status.HTTP_204_NO_CONTENT)


class PushSerializer(serializers.Serializer):
    """As a browser gives its subscription, its two keys beside the address."""

    endpoint = serializers.CharField(max_length=LONGEST_ENDPOINT)
    p256dh = serializers.CharField(max_length=100)
    auth = serializers.CharField(max_length=40)


class PushView(PhoneView):
    """By a key of the phone's own only: what it is nudged about ends with that key."""

    authentication_classes = [LogKeyAuthentication]

    @extend_schema(request=PushSerializer, responses={204: None, **_faults(400, 401, 403)})
    def post(self, request: Request) -> Response:
        """Nudge this browser in the place of a mail. Sent again at each start, it stays fresh."""
        key, body = _own_key(request), PushSerializer(data=_object(request.data))
        if not access.may_write_to(key.student):
            raise PermissionDenied("Nobody has agreed yet that the coach may write here.")
        body.is_valid(raise_exception=True)
        try:
            push.keep(key=key, **body.validated_data)
        except Refused as fault:
            raise ParseError(str(fault)) from fault
        return Response(status=status.HTTP_204_NO_CONTENT)

    @extend_schema(responses={204: None, **_faults(401, 403)})
    def delete(self, request: Request) -> Response:
        """Mails again."""
        push.end(_own_key(request))
        return Response(status=status.HTTP_204_NO_CONTENT)


class PushOpenedView(PhoneView):
    authentication_classes = [LogKeyAuthentication]

    @extend_schema(request=None, responses={204: None, **_faults(401, 403)})
    def post(self, request: Request) -> Response:
        """A nudge was tapped: its reader has looked."""
        key = _own_key(request)
        tell_looked_at(key.user, key.student)
        return Response(status=status.HTTP_204_NO_CONTENT)


def _own_key(request: Request) -> LogKey:
    key = request.auth
    if not isinstance(key, LogKey) or not key.is_lasting:
        raise PermissionDenied("A link is nudged about nothing. Sign in on this phone first.")
    return key


class EntryAddressView(PhoneView):
    """One entry at an address of its own, for clients that are not the phone log."""

    @extend_schema(
        parameters=[STUDENT],
        responses={
            200: schema.kept_session(),
            **_faults(401, 403, 404),
        },
    )
    def get(self, request: Request, entry_id: UUID) -> Response:
        """The entry as it was sent, with its shots. By a sign-in only: a log key reads weeks."""
        if isinstance(request.auth, LogKey):
            raise PermissionDenied("A log key reads the week only. Sign in to read a session.")
        student = self.sender(request).student
        entry = entry_of(student, entry_id)
        if entry is None:
            raise NotFound
        answer = {"ok": True, "me": str(student.pk), "counts": entry.counts}
        answer |= {"received": entry.received_at.isoformat(), "session": entry.document}
        return Response(answer)

    @extend_schema(
        parameters=[STUDENT],
        request=schema.session(),
        responses={
            200: SyncSerializer,
            201: SyncSerializer,
            **_faults(400, 401, 403, 404, 409, 410, 422, 501),
        },
    )
    def put(self, request: Request, entry_id: UUID) -> Response:
        """Store an entry; sending it again changes nothing."""
        body = dict(_object(request.data))
        if body.setdefault("id", str(entry_id)) != str(entry_id):
            raise ParseError("The id in the entry is not the one in the address.")
        sender = self.sender(request)
        receipt = receive_one(body, sender=sender)
        if receipt.verdict == "had" and is_taken_back(sender.student, entry_id):
            fault = {"code": "taken_back", "detail": "This visit was taken back."}
            return Response(fault, status=status.HTTP_410_GONE)
        return _answer(receipt, sender.student, entry_id)


_STATUS = {
    "differs": status.HTTP_409_CONFLICT,
    "other_person": status.HTTP_403_FORBIDDEN,
    "version": status.HTTP_501_NOT_IMPLEMENTED,
}


def _answer(receipt: Receipt, student: Student, entry_id: UUID) -> Response:
    if receipt.reason == "id_taken":
        raise NotFound
    if receipt.reason:
        fault = {"code": receipt.reason, "detail": receipt.sentence}
        return Response(fault, status=_STATUS.get(receipt.reason, 422))
    answer = {"ok": True, "me": str(student.pk), "r": {str(entry_id): [receipt.verdict, ""]}}
    return Response(answer, status=201 if receipt.verdict == "stored" else 200)


def _object(data: object) -> dict[str, Any]:
    if not isinstance(data, dict):
        raise ParseError("Send a JSON object.")
    return data


def _named(student: Student) -> dict[str, str]:
    return {"id": str(student.pk), "name": student.name}
