"""Undo for what was sent: a week, one week for several, a change, a shorter week."""

from collections.abc import Collection, Iterable

from django.http import Http404
from django.utils.safestring import SafeString

from coaching.forecast.interventions import take_back_tried
from coaching.lessons.services import wait_for_week
from practice.flows.take_back_week import take_back_change, take_back_week
from practice.weeks.models import Week
from shared.kit.refused import Refused
from shared.kit.text import listed
from shared.people import access
from shared.people.models import User
from shared.people.requests import SignedInRequest
from shared.people.undo import Facts, id_of, takes_back, with_undo


def sent_with_undo(
    request: SignedInRequest, words: str, weeks: Iterable[Week], *, back: str
) -> SafeString:
    """The message of weeks that were sent just now, each to one student."""
    ids = " ".join(week.pk.hex for week in weeks)
    return with_undo(request, words, "week sent", back=back, weeks=ids)


def changed_with_undo(
    request: SignedInRequest, words: str, week: Week, was: str, *, back: str, **more: object
) -> SafeString:
    """The message of a change; `was` is how the week stood (take_back_week.as_it_is)."""
    return with_undo(request, words, "week changed", back=back, week=week.pk, was=was, **more)


@takes_back("week sent")
def _week_back(user: User, facts: Facts) -> str:
    """Each of them on its own: one that stays keeps no other."""
    mine = access.students_planned_by(user)
    weeks = Week.objects.filter(pk__in=facts["weeks"].split(), student__in=mine)
    back, told, stays = [], [], []
    for week in weeks.select_related("student").order_by("student__name", "pk"):
        try:
            taken, names = take_back_week(week_id=week.pk)
        except Refused as error:
            stays.append((week.student.name, str(error)))
            continue
        wait_for_week(week=taken)
        back.append(week.student.name)
        told += names
    if not (back or stays):
        raise Http404
    if not back:
        raise Refused(" ".join(dict.fromkeys(why for _, why in stays)))
    words = "The week is a draft again" + (f" for {listed(back)}." if stays else ".")
    if stays:
        words += f" {listed(name for name, _ in stays)} had it already and keeps it."
    return f"{words} {_told(told)}"


@takes_back("week changed")
def _change_back(user: User, facts: Facts) -> str:
    week = Week.objects.filter(pk=facts["week"]).values("student").first()
    if week is None:
        raise Http404
    access.student_planned_or_404(user, week["student"])
    _, told = take_back_change(week_id=id_of(facts, "week"), was=facts["was"])
    if "tried" in facts:
        take_back_tried(tried=id_of(facts, "tried"), by=user)
    return f"The week stands as before the change. {_told(told)}"


def _told(names: Collection[str]) -> str:
    """Whom a mail or a nudge has reached, which nothing calls back."""
    if not names:
        return "Nobody was told of it."
    return f"Told of it already, by mail or on the phone: {listed(dict.fromkeys(names))}."
