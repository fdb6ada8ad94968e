"""Clips and voice notes that waited on a phone: each under the id that the phone made."""

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.exceptions import APIException, PermissionDenied
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from practice.clips.services import LONGEST_WORDS, keep_clip
from practice.drills.models import Drill
from practice.log.models import Entry
from practice.phone.api import FaultSerializer, PhoneView, SyncSerializer
from practice.phone.sign_in import LogKeyAuthentication, signed_in
from shared.kit.refused import Refused
from shared.people.access import Recordable


class NotYet(APIException):
    """What it belongs to still waits on the phone."""

    status_code = status.HTTP_409_CONFLICT
    default_code = "entry"
    default_detail = "What this clip belongs to has not arrived yet. The phone sends that first."


class NotKept(APIException):
    """This file will never be taken; the phone shows why."""

    status_code = status.HTTP_422_UNPROCESSABLE_ENTITY
    default_code = "refused"


class ClipRequestSerializer(serializers.Serializer[Any]):
    file = serializers.FileField()
    still = serializers.FileField(required=False)
    drill = serializers.UUIDField(required=False)
    entry = serializers.UUIDField(required=False)
    words = serializers.CharField(required=False, allow_blank=True, max_length=LONGEST_WORDS)


class ClipUploadView(PhoneView):
    """By a lasting key alone: a form of another site could send files with the sign-in cookie."""

    authentication_classes = [LogKeyAuthentication]
    parser_classes = [MultiPartParser]

    @extend_schema(
        request=ClipRequestSerializer,
        responses={
            200: SyncSerializer,
            **dict.fromkeys((401, 403, 404, 409, 415, 422), FaultSerializer),
        },
    )
    def post(self, request: Request, clip_id: UUID) -> Response:
        """Keep a clip or a voice note; sending it again changes nothing."""
        sender = self.sender(request)
        if sender.key is None or not sender.key.is_lasting:
            raise PermissionDenied("A link sends no clips. Sign in to send it.", code="link")
        body = ClipRequestSerializer(data=request.data)
        if not body.is_valid():
            raise NotKept("This clip came without its file. Choose it again.")
        said = body.validated_data
        try:
            keep_clip(
                student=sender.student,
                author=signed_in(request),
                upload=said["file"],
                ident=clip_id,
                drill=_drill(sender.student, said.get("drill")),
                entry=_entry(sender.student, said.get("entry")),
                words=said.get("words", ""),
                still=said.get("still"),
            )
        except Refused as error:
            raise NotKept(str(error)) from None
        receipt = {str(clip_id): ["stored", ""]}
        return Response({"ok": True, "me": str(sender.student.pk), "r": receipt})


def _drill(student: Recordable, ident: UUID | None) -> Drill | None:
    return Drill.objects.filter(pk=ident, studio=student.studio_id).first() if ident else None


def _entry(student: Recordable, ident: UUID | None) -> Entry | None:
    """Raises NotYet: a clip without its session would say nothing."""
    if ident is None:
        return None
    entry = Entry.objects.filter(pk=ident, student=student).first()
    if entry is None:
        raise NotYet
    return entry
