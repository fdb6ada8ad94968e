"""A notice as a mail: plain text and the same in simple HTML, built right before sending."""

from datetime import date, timedelta

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.core.signing import BadSignature, dumps, loads
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from coaching.board.queries import board
from coaching.lessons.next_up import lesson_lines
from coaching.reminders import facts, words
from coaching.reminders.due import Kind, local_day
from coaching.reminders.models import Notice
from coaching.reminders.words import Letter, PartWords
from practice.compliance.models import WeekTally
from practice.log.links import week_link
from practice.weeks.models import Part
from practice.weeks.places import place_words
from practice.weeks.queries import standing_parts, week_of
from shared.people import access
from shared.people.models import Student, User
from shared.weeks import week_start

SALT = "coaching.reminders.stop"
SUMMARY_ROWS = 12
LONGEST_SUBJECT = 120


class NothingToSay(Exception):
    """What the notice was about is no longer there."""


def build(notice: Notice) -> EmailMultiAlternatives:
    """The whole mail. Raises NothingToSay, or ValueError for an address no mail can go to."""
    letter, link = _letter(notice)
    stop = stop_link(notice) if not letter.must else ""
    filling = {"letter": letter, "link": link, "stop": stop}
    message = EmailMultiAlternatives(
        " ".join(letter.subject.split())[:LONGEST_SUBJECT],
        render_to_string("reminders/mail/letter.txt", filling),
        to=[notice.recipient.email],
        headers=_headers(notice, stop),
    )
    message.attach_alternative(render_to_string("reminders/mail/letter.html", filling), "text/html")
    message.message()  # A bad header or address is found out now, not while sending.
    return message


def _headers(notice: Notice, stop: str) -> dict[str, str]:
    """The same Message-ID on every copy; one-click ending as RFC 8058 has it."""
    headers = {"Message-ID": notice.message_id, "Auto-Submitted": "auto-generated"}
    if stop:
        headers["List-Unsubscribe"] = f"<{stop}>"
        headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    return headers


def stop_link(notice: Notice) -> str:
    student = str(notice.student_id) if notice.student_id else ""
    token = dumps([str(notice.recipient_id), student], salt=SALT)
    return settings.SITE_URL + reverse("reminders:stop", args=[token])


def read_stop_link(token: str) -> tuple[User, Student | None] | None:
    """Whom a link stops, and about whom. It never runs out; None if it is none of ours."""
    try:
        user_id, student_id = loads(token, salt=SALT)
    except BadSignature:
        return None
    user = User.objects.filter(pk=user_id).first()
    student = Student.objects.filter(pk=student_id).first() if student_id else None
    if user is None or (student_id and student is None):
        return None
    return user, student


def _letter(notice: Notice) -> tuple[Letter, str]:
    kind = Kind(notice.kind)
    if kind is Kind.COACH_MONDAY:
        return _summary(notice.recipient), settings.SITE_URL + reverse("board:who")
    if kind is Kind.COACH_EVENING:
        tomorrow = notice.local_day + timedelta(days=1)
        letter = words.coach_evening(lesson_lines(notice.recipient, tomorrow, timezone.now()))
        return letter, settings.SITE_URL + reverse("lessons:next_up")
    student = notice.student
    if student is None:
        raise NothingToSay
    if kind is Kind.PAIN_TOLD:
        return _pain(notice.recipient, student)
    return _practice(notice, student, kind)


def _pain(reader: User, student: Student) -> tuple[Letter, str]:
    if access.children_of(reader).filter(pk=student.pk).exists():
        page = reverse("log:child", args=[student.pk])
        return words.pain_told_to_guardian(_first_name(student)), settings.SITE_URL + page
    page = reverse("board:care", args=[student.pk])
    return words.pain_told_to_coach(student.name), settings.SITE_URL + page


def _practice(notice: Notice, student: Student, kind: Kind) -> tuple[Letter, str]:
    day = notice.local_day
    opens = week_start(day, student.studio.first_weekday)
    child = "" if notice.recipient_id == student.user_id else _first_name(student)
    if kind is Kind.NEW_WEEK:
        week = facts.new_week_of(student, day, notice.recipient)
        live = week_of(student, week.opens) if week else None
        if week is None or live is None:
            raise NothingToSay
        parts = [_words(part) for part in standing_parts(live)]
        opens = week.opens
        letter = words.new_week(opens, week.note, parts, child=child)
    else:
        letter = _of_the_day(student, kind, day, child)
    return letter, week_link(student, opens, notice.recipient)


def _of_the_day(student: Student, kind: Kind, day: date, child: str) -> Letter:
    if kind is Kind.LESSON_TOMORROW:
        return words.lesson_tomorrow(child=child)
    if kind is Kind.TEST_TOMORROW:
        return _test(student, day + timedelta(days=1), child)
    opens = week_start(day, student.studio.first_weekday)
    left = facts.left_parts(student, opens)
    today = [part for part in left if facts.is_for(part, (day - opens).days)]
    first = next(iter(today or left), None)
    if first is None:
        raise NothingToSay
    if kind is Kind.PRACTICE_CALL:
        return words.practice_call(_words(first, (day - opens).days), child=child)
    sessions = _sessions_left(student, opens, left)
    return words.midweek_offer(_words(first), sessions_left=sessions, child=child)


def _test(student: Student, day: date, child: str) -> Letter:
    opens = week_start(day, student.studio.first_weekday)
    tests = [part for part in facts.left_parts(student, opens) if part.drill.is_test]
    names = [part.revision.name for part in tests if (day - opens).days in part.days]
    if not names:
        raise NothingToSay
    return words.test_tomorrow(names[0], child=child)


def _sessions_left(student: Student, opens: date, left: list[Part]) -> int:
    tally = WeekTally.objects.filter(student=student, opens=opens).first()
    return tally.sessions_left if tally else sum(part.sessions for part in left)


def _words(part: Part, offset: int | None = None) -> PartWords:
    """`offset`: the day of the week that is meant, where one is."""
    cue = part.cue or part.revision.cue
    where = place_words(part.places.get(str(offset), ""))
    return PartWords(part.priority, part.minutes, part.revision.name, cue, where)


def _first_name(student: Student) -> str:
    return student.name.split(" ")[0]


def _summary(user: User) -> Letter:
    """Where everybody stands, by the board's own order; health stays on the page."""
    now = timezone.now()
    found = board(user, now)
    lines = []
    for group in found.groups:
        for row in group.rows:
            said = "something hurts, see the page" if group.tone == "care" else row.reason
            lines.append(f"{row.name}: {said}")
    more = len(lines) - SUMMARY_ROWS
    kept = lines[:SUMMARY_ROWS] + ([f"and {more} more"] if more > 0 else [])
    return words.coach_monday(kept, _last_week(user))


def _last_week(user: User) -> str:
    studio = access.studios_of(user).order_by("created_at").first()
    if studio is None:
        raise NothingToSay
    today = local_day(timezone.now(), user.time_zone)
    opens = week_start(today, studio.first_weekday) - timedelta(days=7)
    tallies = WeekTally.objects.filter(
        student__in=access.students_taught_by(user), opens=opens, has_plan=True
    )
    asked, done = tallies.count(), tallies.filter(finished=True).count()
    return f"Last week {asked} students had a week, and {done} finished it." if asked else ""
